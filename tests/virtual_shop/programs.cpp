// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/programs.h"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <fstream>
#include <sstream>
#include <stdexcept>

extern char** environ;

namespace hangtrue::virtual_shop {
namespace {

std::string text_of(const std::filesystem::path& file) {
    std::ostringstream out;
    out << std::ifstream(file, std::ios::binary).rdbuf();
    return out.str();
}

}  // namespace

Ended ran(const std::vector<std::string>& words, const std::filesystem::path& work) {
    // Through files, not pipes: nothing can wait for a full pipe.
    const auto output = work / "output.txt", complaint = work / "complaint.txt";
    std::vector<std::string> own = words;
    std::vector<char*> arguments;
    for (std::string& word : own) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, output.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0644);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, complaint.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0644);
    pid_t child = 0;
    const int error = posix_spawnp(&child, arguments[0], &actions, nullptr, arguments.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    if (error != 0) throw std::runtime_error(words[0] + " cannot be started: " + std::strerror(error));
    int state = 0;
    while (waitpid(child, &state, 0) < 0) {
        if (errno != EINTR) throw std::runtime_error(words[0] + " was lost: " + std::strerror(errno));
    }
    return {WIFEXITED(state) ? WEXITSTATUS(state) : 128 + WTERMSIG(state), text_of(output), text_of(complaint)};
}

nlohmann::json told(const std::vector<std::string>& words, const std::filesystem::path& work) {
    const Ended ended = ran(words, work);
    auto json = nlohmann::json::parse(ended.output, nullptr, false);
    if (ended.status == 0 && !json.is_discarded()) return json;
    std::string line;
    for (const std::string& word : words) line += (line.empty() ? "" : " ") + word;
    std::string why = ended.complaint;
    if (!json.is_discarded() && json.is_object() && json.contains("sentence")) why += json["sentence"].dump();
    throw std::runtime_error(line + " ended with status " + std::to_string(ended.status) + ": " + why);
}

}  // namespace hangtrue::virtual_shop

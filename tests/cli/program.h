// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Running the real program in a process of its own, as a user would.

#include <fcntl.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "tests/support/made_weights.h"
#include "tests/support/pictures.h"
#include "tests/support/shop_text.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::cli_test {

namespace fs = std::filesystem;
using Json = nlohmann::json;
using Words = std::vector<std::string>;

struct Ran {
    int status = -1;  ///< -1: ended by a signal.
    int signal = 0;
    std::string out;
    std::string err;

    /// The document on standard output; the whole of it must be one.
    Json json() const { return Json::parse(out); }
};

struct Surroundings {
    std::map<std::string, std::string> environment;  ///< Beside the test's own.
    std::string standard_output;                     ///< A path instead of the pipe; "-": closed.
    std::optional<unsigned> end_after_microseconds;  ///< SIGKILL then.
};

/// In the child, between fork and exec.
inline void become_program(const Words& words, const Surroundings& surroundings) {
    // A sanitized program tells on standard error which leaks of other libraries it passed over: not its own words.
    const char* leaks = getenv("LSAN_OPTIONS");
    const std::string quiet_leaks = (leaks == nullptr ? "" : std::string(leaks) + ":") + "print_suppressions=0";
    setenv("LSAN_OPTIONS", quiet_leaks.c_str(), 1);
    for (const auto& [name, value] : surroundings.environment) setenv(name.c_str(), value.c_str(), 1);
    std::vector<std::string> all{HANGTRUE_PROGRAM};
    all.insert(all.end(), words.begin(), words.end());
    std::vector<char*> arguments;
    for (std::string& word : all) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    execv(HANGTRUE_PROGRAM, arguments.data());
    _exit(127);
}

inline Ran run_program(const Words& words, const Surroundings& surroundings = {}) {
    std::array<int, 2> out{};
    std::array<int, 2> err{};
    if (pipe2(out.data(), O_CLOEXEC) != 0 || pipe2(err.data(), O_CLOEXEC) != 0) throw std::runtime_error("pipe");
    const pid_t child = fork();
    if (child < 0) throw std::runtime_error("fork");
    if (child == 0) {
        dup2(out[1], STDOUT_FILENO);
        dup2(err[1], STDERR_FILENO);
        if (surroundings.standard_output == "-") {
            close(STDOUT_FILENO);
        } else if (!surroundings.standard_output.empty()) {
            const int file = open(surroundings.standard_output.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
            if (file < 0) _exit(126);
            dup2(file, STDOUT_FILENO);
        }
        become_program(words, surroundings);
    }
    close(out[1]);
    close(err[1]);
    if (surroundings.end_after_microseconds) {
        usleep(*surroundings.end_after_microseconds);
        kill(child, SIGKILL);
    }
    Ran ran;
    std::array<pollfd, 2> ends{{{out[0], POLLIN, 0}, {err[0], POLLIN, 0}}};
    std::array<char, 65536> buffer;
    while (ends[0].fd >= 0 || ends[1].fd >= 0) {
        if (poll(ends.data(), ends.size(), -1) < 0) continue;
        for (std::size_t i = 0; i < ends.size(); ++i) {
            if (ends[i].fd < 0 || ends[i].revents == 0) continue;
            const ssize_t count = read(ends[i].fd, buffer.data(), buffer.size());
            if (count > 0) (i == 0 ? ran.out : ran.err).append(buffer.data(), static_cast<std::size_t>(count));
            if (count == 0) {
                close(ends[i].fd);
                ends[i].fd = -1;
            }
        }
    }
    int state = 0;
    waitpid(child, &state, 0);
    if (WIFEXITED(state)) ran.status = WEXITSTATUS(state);
    if (WIFSIGNALED(state)) ran.signal = WTERMSIG(state);
    return ran;
}

/// A shop with one medium in two sizes.
inline std::string test_shop() {
    support::ShopMedium paper = support::plain_paper("plain-paper");
    paper.sizes.push_back({"6 x 4", "6 x 4 in", "9.00"});
    return support::shop_text("Test Prints", "order_page = \"https://prints.example.invalid\"\n", {paper});
}

/// A photographer's folder: a picture of 300 x 200 px, the shop above, an empty ledger, an output folder, networks that
/// are small, quick and know nothing.
class Studio {
  public:
    Studio() : picture(root() / "ridge.tif"), data(root() / "data"), out(root() / "out"), models(root() / "models") {
        fs::create_directories(data / "shops");
        fs::create_directory(models);
        for (const char* name : {"fine.weights", "quick.weights"}) support::made_weights(4, 1, 7).write(models / name);
        fs::create_directory(out);
        const std::string shop = test_shop();
        support::write_bytes(data / "shops/test-prints.toml", std::as_bytes(std::span(shop)));
        support::write_tiff(picture, support::gradient({300, 200}, 3, 8), {});
    }

    const fs::path& root() const { return m_folder.path(); }

    /// `words` and the folders.
    Ran run(Words words, const Surroundings& surroundings = {}) const {
        words.insert(words.end(), {"--data", data.string(), "--models", models.string()});
        return run_program(words, surroundings);
    }

    /// make, of the picture at 3 x 2 in, with more words after.
    Words making(const Words& more = {}) const {
        Words words{"make",        picture.string(), "--shop", "test-prints", "--medium",
                    "plain-paper", "--size",         "3x2in",  "--to",        out.string()};
        words.insert(words.end(), more.begin(), more.end());
        return words;
    }

    Ran make(const Words& more = {}, const Surroundings& surroundings = {}) const {
        return run(making(more), surroundings);
    }

    /// Names in the output folder, hidden ones too.
    std::vector<std::string> made() const {
        std::vector<std::string> names;
        for (const auto& entry : fs::directory_iterator(out)) names.push_back(entry.path().filename().string());
        std::sort(names.begin(), names.end());
        return names;
    }

  private:
    support::TemporaryFolder m_folder;

  public:
    const fs::path picture;
    const fs::path data;
    const fs::path out;
    const fs::path models;
};

/// Of the studio's print files, without tickets.
inline std::vector<fs::path> print_files(const Studio& studio) {
    std::vector<fs::path> files;
    for (const std::string& name : studio.made()) {
        if (name.ends_with(".tif") || name.ends_with(".jpg")) files.push_back(studio.out / name);
    }
    return files;
}

}  // namespace hangtrue::cli_test

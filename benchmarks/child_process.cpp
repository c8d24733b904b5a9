// SPDX-License-Identifier: Apache-2.0
#include "benchmarks/child_process.h"

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <csignal>
#include <fstream>
#include <stdexcept>

namespace hangtrue::benchmarks {
namespace {

using Time = std::chrono::steady_clock::time_point;

double seconds_since(Time start) {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

double seconds_of(const timeval& time) {
    return static_cast<double>(time.tv_sec) + static_cast<double>(time.tv_usec) * 1e-6;
}

/// 0 where the child has ended already.
double anonymous_bytes(pid_t child) {
    std::ifstream status("/proc/" + std::to_string(child) + "/status");
    std::string word;
    while (status >> word) {
        if (word != "RssAnon:") continue;
        double kibibytes = 0;
        status >> kibibytes;
        return kibibytes * 1024;
    }
    return 0;
}

pid_t started(const std::vector<std::string>& words, int output) {
    std::vector<std::string> copies = words;
    std::vector<char*> arguments;
    for (std::string& word : copies) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, output, STDOUT_FILENO);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    pid_t child = 0;
    const int failure = posix_spawn(&child, arguments[0], &actions, nullptr, arguments.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    if (failure != 0) throw std::runtime_error("cannot start " + words.front());
    return child;
}

}  // namespace

ChildRun run_child(const std::vector<std::string>& words, double interrupt_after) {
    std::array<int, 2> pipe_ends{};
    if (pipe2(pipe_ends.data(), O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
    ChildRun run;
    Time interrupted;
    const Time start = std::chrono::steady_clock::now();
    const pid_t child = started(words, pipe_ends[1]);
    close(pipe_ends[1]);

    int status = 0;
    rusage usage{};
    bool open = true;
    while (true) {
        // Waits 5 ms, or less where there is output: a full pipe would hold the child up.
        pollfd readable{pipe_ends[0], POLLIN, 0};
        if (open && poll(&readable, 1, 5) > 0) {
            std::array<char, 65536> bytes;
            const ssize_t count = read(pipe_ends[0], bytes.data(), bytes.size());
            if (count > 0) run.output.append(bytes.data(), static_cast<std::size_t>(count));
            open = count > 0;
        } else if (!open) {
            usleep(500);  // Standard output is closed: the end is near.
        }
        run.peak_anonymous = std::max(run.peak_anonymous, anonymous_bytes(child));
        const pid_t ended = wait4(child, &status, WNOHANG, &usage);
        if (ended == child && !open) break;
        if (ended == child) {
            // What is left in the pipe.
            std::array<char, 65536> bytes;
            for (ssize_t count = 0; (count = read(pipe_ends[0], bytes.data(), bytes.size())) > 0;) {
                run.output.append(bytes.data(), static_cast<std::size_t>(count));
            }
            break;
        }
        if (interrupt_after > 0 && !run.was_interrupted && seconds_since(start) >= interrupt_after) {
            interrupted = std::chrono::steady_clock::now();
            kill(child, SIGINT);
            run.was_interrupted = true;
        }
    }
    close(pipe_ends[0]);
    run.wall_seconds = seconds_since(start);
    if (run.was_interrupted) run.seconds_to_end = seconds_since(interrupted);
    run.cpu_seconds = seconds_of(usage.ru_utime) + seconds_of(usage.ru_stime);
    run.peak_resident = static_cast<double>(usage.ru_maxrss) * 1024;
    run.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    return run;
}

}  // namespace hangtrue::benchmarks

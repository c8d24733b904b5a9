// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Runs a program as a child and measures it from outside, the same way for every program.
///
/// One child at a time; from one thread. Throws std::runtime_error where the child cannot be
/// started.

#include <string>
#include <vector>

namespace hangtrue::benchmarks {

struct ChildRun {
    int status = 0;                ///< Exit status; 128 + signal where one ended it.
    double wall_seconds = 0;       ///< From start to end, loading included.
    double cpu_seconds = 0;        ///< User and system, all threads.
    double peak_anonymous = 0;     ///< Bytes: the largest RssAnon seen in /proc/PID/status, looked at every 5 ms.
    double peak_resident = 0;      ///< Bytes: ru_maxrss, file pages that are mapped included.
    double seconds_to_end = 0;     ///< From SIGINT to the end, where it was sent.
    bool was_interrupted = false;  ///< SIGINT was sent before the child had ended by itself.
    std::string output;            ///< Standard output; standard error is dropped.
};

/// `words`: the program, then its arguments. `interrupt_after` seconds, SIGINT is sent; 0: never.
ChildRun run_child(const std::vector<std::string>& words, double interrupt_after = 0);

}  // namespace hangtrue::benchmarks

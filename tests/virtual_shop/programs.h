// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Running the programs that play their parts, and reading what they print.

#include <filesystem>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

namespace hangtrue::virtual_shop {

struct Ended {
    int status = 0;  ///< Exit status; 128 and more: a signal.
    std::string output;
    std::string complaint;  ///< Standard error.
};

/// Waits for the end. Throws std::runtime_error where the program cannot be started.
Ended ran(const std::vector<std::string>& words, const std::filesystem::path& work);

/// As ran(), for a program that prints JSON; throws std::runtime_error with its complaint where it does not end with 0.
nlohmann::json told(const std::vector<std::string>& words, const std::filesystem::path& work);

}  // namespace hangtrue::virtual_shop

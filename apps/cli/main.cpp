// SPDX-License-Identifier: Apache-2.0
#include <string>
#include <vector>

#include "apps/cli/run.h"

int main(int argc, char** argv) {
    const std::vector<std::string> words(argv + (argc > 0 ? 1 : 0), argv + argc);
    return static_cast<int>(hangtrue::cli::run(words));
}

// SPDX-License-Identifier: Apache-2.0

#include <CLI/CLI.hpp>
#include <cstdio>
#include <nlohmann/json.hpp>

int main(int argc, char** argv) {
    CLI::App app("Print files for print shops, made and verified on your own computer.");
    app.set_version_flag("--version", "hangtrue " HANGTRUE_VERSION);
    CLI11_PARSE(app, argc, argv);
    return 0;
}

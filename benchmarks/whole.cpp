// SPDX-License-Identifier: Apache-2.0
// bench_whole: the main job on a real size, measured from outside, beside other programs that do
// the same work.
//
//     bench_whole [--runs N] [--peers] [--gigapixel] [--inputs] [--cancelling] [--detail]
//
// Without a choice: --peers. Files lie in TMPDIR, which should be a disk and not memory.

#include "benchmarks/whole.h"

#include <cstdlib>
#include <exception>
#include <iostream>
#include <string_view>

#include "benchmarks/figures.h"

namespace {

int usage() {
    std::cerr << "bench_whole [--runs N] [--peers] [--gigapixel] [--inputs] [--cancelling] [--detail]\n";
    return 2;
}

}  // namespace

int main(int count, char** arguments) {
    using namespace hangtrue::benchmarks;
    int runs = 5;
    bool peers = count == 1;
    bool gigapixel = false;
    bool inputs = false;
    bool cancelling = false;
    bool detail = false;
    for (int i = 1; i < count; ++i) {
        const std::string_view word = arguments[i];
        if (word == "--runs" && i + 1 < count) {
            runs = std::atoi(arguments[++i]);
            if (runs < 1) return usage();
            peers = peers || count == 3;
        } else if (word == "--peers") {
            peers = true;
        } else if (word == "--gigapixel") {
            gigapixel = true;
        } else if (word == "--inputs") {
            inputs = true;
        } else if (word == "--cancelling") {
            cancelling = true;
        } else if (word == "--detail") {
            detail = true;
        } else {
            return usage();
        }
    }
    try {
        std::cout << machine_text() << "\n\n";
        if (peers) peers_table(runs);
        if (gigapixel) gigapixel_table();
        if (inputs) inputs_table();
        if (detail) detail_table(runs);
        if (cancelling) cancelling_table(/*moments=*/20);
    } catch (const std::exception& error) {
        std::cerr << error.what() << '\n';
        return 1;
    }
    return 0;
}

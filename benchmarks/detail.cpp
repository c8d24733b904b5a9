// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <iostream>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "benchmarks/bench_pictures.h"
#include "benchmarks/bench_shop.h"
#include "benchmarks/child_process.h"
#include "benchmarks/figures.h"
#include "benchmarks/whole.h"

namespace hangtrue::benchmarks {

void detail_table(int runs) {
    const BenchFolder folder;
    const BenchPicture picture({9504, 6336});
    struct Input {
        const char* name;
        TiffKind kind;
    };
    const std::vector<Input> inputs{{"8-bit TIFF", {.bits = 8}},
                                    {"16-bit TIFF", {.bits = 16}},
                                    {"16-bit TIFF, deflate strips", {.bits = 16, .coding = TiffCoding::deflate}}};
    std::cout << "`hangtrue detail` of 9504x6336, two threads, " << runs << " runs\n\n";
    print_heading({"input", "best s", "median s", "CPU s", "peak anonymous MB"});
    for (const Input& input : inputs) {
        const auto file = folder.path() / "picture.tif";
        write_tiff(file, picture, input.kind);
        std::vector<double> walls;
        std::vector<double> processors;
        double peak = 0;
        for (int i = 0; i < runs; ++i) {
            const ChildRun run = run_child({HANGTRUE_PROGRAM, "detail", file.string(), "--threads", "2", "--json"});
            const auto json = nlohmann::json::parse(run.output, nullptr, /*allow_exceptions=*/false);
            if (run.status != 0 || json.is_discarded())
                throw std::runtime_error("hangtrue detail ended with " + std::to_string(run.status));
            walls.push_back(run.wall_seconds);
            processors.push_back(run.cpu_seconds);
            peak = std::max(peak, run.peak_anonymous);
        }
        print_row({input.name, text_of(*std::ranges::min_element(walls), 2), text_of(median(walls), 2),
                   text_of(median(processors), 2), text_of(peak / 1e6, 0)});
        std::filesystem::remove(file);
    }
    std::cout << '\n';
}

}  // namespace hangtrue::benchmarks

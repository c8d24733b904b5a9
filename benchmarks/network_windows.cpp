// SPDX-License-Identifier: Apache-2.0
#include "benchmarks/network_windows.h"

#include <algorithm>
#include <iostream>
#include <map>
#include <stdexcept>
#include <string>

#include "benchmarks/bench_pictures.h"
#include "benchmarks/bench_shop.h"
#include "benchmarks/child_process.h"
#include "benchmarks/figures.h"

namespace hangtrue::benchmarks {
namespace {

namespace fs = std::filesystem;

constexpr int runs = 2;

double seconds_of_view(const fs::path& picture, const BenchFolder& folder, const std::string& enlarging) {
    const ChildRun run =
        run_child({HANGTRUE_PROGRAM, "view", picture.string(), "--shop", bench_shop_id, "--medium", paper().id,
                   "--size", paper().size, "--enlarge", enlarging, "--window", "5003,3001,512,512", "--out",
                   (folder.path() / "window.png").string(), "--replace", "--data", (folder.path() / "data").string()});
    if (run.status != 0) throw std::runtime_error("hangtrue view ended with " + std::to_string(run.status));
    return run.wall_seconds;
}

}  // namespace

void windows_table() {
    const BenchFolder folder;
    folder.fresh_data("data");
    std::cout
        << "\n512x512 pixels at 5003,3001 of 12000x8000, a new process each time (opening and measuring the picture "
           "included), the best of "
        << runs << "\n\n";
    print_heading({"enlarging", "by", "whole s", "beyond the filter's s"});
    struct Picture {
        std::string factor;
        base::PixelSize size;
    };
    for (const Picture& one : {Picture{"1.3x", {9231, 6154}}, {"1.8x", {6667, 4445}}, {"3.3x", {3636, 2424}}}) {
        const fs::path file = folder.path() / "picture.tif";
        write_tiff(file, BenchPicture(one.size), {});
        std::map<std::string, double> best;
        for (int run = 0; run < runs; ++run) {
            for (const char* by : {"filter", "quick", "fine"}) {
                const double seconds = seconds_of_view(file, folder, by);
                best[by] = run == 0 ? seconds : std::min(best[by], seconds);
            }
        }
        for (const char* by : {"filter", "quick", "fine"}) {
            print_row({one.factor, by, text_of(best[by], 2), text_of(best[by] - best["filter"], 2)});
        }
    }
}

}  // namespace hangtrue::benchmarks

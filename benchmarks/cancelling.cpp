// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <iostream>
#include <string>
#include <vector>

#include "benchmarks/bench_pictures.h"
#include "benchmarks/bench_shop.h"
#include "benchmarks/figures.h"
#include "benchmarks/hangtrue_runs.h"
#include "benchmarks/whole.h"

namespace hangtrue::benchmarks {

void cancelling_table(int moments) {
    namespace fs = std::filesystem;
    const BenchFolder folder;
    struct Input {
        const char* name;
        fs::path file;
    };
    const std::vector<Input> inputs{
        {"16-bit TIFF", folder.path() / "strips.tif"},
        {"16-bit TIFF, one deflate strip, turned by a quarter", folder.path() / "strip.tif"},
        {"JPEG, progressive", folder.path() / "progressive.jpg"}};
    const BenchPicture picture({9504, 6336});
    write_tiff(inputs[0].file, picture, {});
    write_tiff(inputs[1].file, picture,
               {.coding = TiffCoding::deflate, .layout = TiffLayout::one_strip, .orientation = 6});
    write_jpeg(inputs[2].file, picture, {.progressive = true});

    constexpr int cancelled = 5;  // Exit status, docs/command-line.md.
    std::cout << "From Ctrl-C to the end, 9504x6336 to 12000x8000, measuring included, " << moments
              << " moments spread over the run\n\n";
    print_heading({"input", "median s", "longest s", "at s of the run", "ended as cancelled", "had ended before"});
    for (const Input& input : inputs) {
        const MakeRun whole = make({input.file, paper(), folder.fresh_data("data"), folder.path()});
        fs::remove(whole.file);
        std::vector<double> seconds;
        double longest = 0;
        double longest_at = 0;
        int ended_cancelled = 0;
        int ended_before = 0;
        for (int moment = 0; moment < moments; ++moment) {
            const double after = whole.child.wall_seconds * (moment + 0.5) / moments;
            const MakeCall call{input.file, paper(), folder.fresh_data("data"), folder.path()};
            const ChildRun run = run_child(words_of(call), after);
            fs::remove(whole.file);
            if (!run.was_interrupted) {
                ++ended_before;
                continue;
            }
            if (run.status == cancelled) ++ended_cancelled;
            seconds.push_back(run.seconds_to_end);
            if (run.seconds_to_end > longest) {
                longest = run.seconds_to_end;
                longest_at = after;
            }
        }
        print_row({input.name, text_of(median(seconds), 3), text_of(longest, 3), text_of(longest_at, 2),
                   std::to_string(ended_cancelled) + " of " + std::to_string(seconds.size()),
                   std::to_string(ended_before)});
    }
    std::cout << '\n';
}

}  // namespace hangtrue::benchmarks

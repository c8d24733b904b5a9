// SPDX-License-Identifier: Apache-2.0
#include <iostream>

#include "benchmarks/bench_pictures.h"
#include "benchmarks/bench_shop.h"
#include "benchmarks/figures.h"
#include "benchmarks/hangtrue_runs.h"
#include "benchmarks/whole.h"
#include "engine/base/output_file.h"

namespace hangtrue::benchmarks {

void gigapixel_table() {
    namespace fs = std::filesystem;
    const BenchFolder folder;
    base::scratch_file(folder.path(), 8'000'000'000, "a gigapixel print");
    const fs::path picture = folder.path() / "picture.tif";
    write_tiff(picture, BenchPicture({9504, 6336}), {});
    const fs::path data = folder.fresh_data("data");

    std::cout << "9504x6336 16-bit TIFF to 36000x28000\n\n";
    print_heading({"file", "GB", "peak anonymous MiB", "seconds by stage"});
    struct Wanted {
        const char* name;
        BenchMedium medium;
    };
    for (const Wanted& wanted : {Wanted{"8-bit TIFF", wall_8_bits()}, Wanted{"16-bit BigTIFF", wall_16_bits()}}) {
        const MakeRun made = make({picture, wanted.medium, data, folder.path()});
        print_row({wanted.name, text_of(static_cast<double>(fs::file_size(made.file)) / 1e9, 2),
                   text_of(made.child.peak_anonymous / (1 << 20), 0), stages_text(made.seconds)});
        fs::remove(made.file);
    }
    std::cout << '\n';
}

}  // namespace hangtrue::benchmarks

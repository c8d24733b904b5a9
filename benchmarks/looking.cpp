// SPDX-License-Identifier: Apache-2.0
// bench_looking: `check` of a picture of 20 megapixels, beside what decoding it alone takes: the best of five runs each,
// and their ratio.

#include <algorithm>
#include <chrono>
#include <exception>
#include <functional>
#include <iostream>
#include <string>
#include <vector>

#include "benchmarks/bench_pictures.h"
#include "benchmarks/bench_shop.h"
#include "benchmarks/figures.h"
#include "engine/jobs/make.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/print_samples.h"
#include "engine/jobs/settled_wish.h"

namespace hangtrue::benchmarks {
namespace {

namespace fs = std::filesystem;
constexpr int runs = 5;

double best_of(const std::function<void()>& work) {
    double best = 1e9;
    for (int run = 0; run < runs; ++run) {
        const auto start = std::chrono::steady_clock::now();
        work();
        best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    }
    return best;
}

void measure(const std::string& name, const fs::path& file, jobs::Context& context) {
    plan::Wish wish;
    for (const auto& [key, value] : {std::pair{"shop", std::string(bench_shop_id)}, std::pair{"medium", paper().id},
                                     std::pair{"size", paper().size}, std::pair{"enlarge", std::string("filter")}}) {
        jobs::set_wish_word(wish, key, value);
    }
    const fs::path scratch = fs::temp_directory_path();
    const double decode = best_of([&] {
        const auto reader = raster::open_picture(file, {scratch, context.faults}, context.progress);
        constexpr int rows = 32;
        std::vector<std::byte> out(rows * reader->info().bytes_per_row());
        for (int y = 0; y + rows <= reader->info().size.height; y += rows) {
            reader->read_rows(y, rows, out, context.progress);
        }
    });
    const ledger::Ledger ledger(jobs::ledger_file(context), ledger::Access::look);
    jobs::StageSeconds seconds;
    jobs::OpenedPicture picture = jobs::opened_picture(file, scratch, ledger, context, seconds);
    const jobs::SettledWish settled = jobs::settled_wish(wish, std::nullopt, picture, ledger, context);
    const double samples = best_of(
        [&] { (void)jobs::print_samples(settled.plans, picture, settled.file_profile, std::nullopt, context); });
    const double check = best_of([&] { (void)jobs::check(file, wish, context); });
    print_row({name, text_of(decode, 2), text_of(samples, 2), text_of(samples / decode, 1), text_of(check, 2),
               text_of(check / decode, 1)});
}

void measure_all() {
    const BenchFolder folder;
    base::Progress progress;
    base::Faults faults;
    const base::Clock clock;
    jobs::Context context{
        .data_folder = folder.fresh_data("data"), .threads = 2, .progress = progress, .faults = faults, .clock = clock};
    print_row({"20 megapixels", "decode s", "samples s", "of decode", "check s", "of decode"});
    const BenchPicture picture({5472, 3648});
    write_jpeg(folder.path() / "picture.jpg", picture, {});
    measure("JPEG", folder.path() / "picture.jpg", context);
    write_tiff(folder.path() / "picture.tif", picture, {});
    measure("16-bit TIFF", folder.path() / "picture.tif", context);
}

}  // namespace
}  // namespace hangtrue::benchmarks

int main() {
    try {
        hangtrue::benchmarks::measure_all();
    } catch (const std::exception& error) {
        std::cerr << error.what() << '\n';
        return 1;
    }
    return 0;
}

// SPDX-License-Identifier: Apache-2.0
#include "benchmarks/network_windows.h"

#include <algorithm>
#include <array>
#include <chrono>
#include <iostream>
#include <map>
#include <stdexcept>
#include <string>

#include "benchmarks/bench_pictures.h"
#include "benchmarks/bench_shop.h"
#include "benchmarks/child_process.h"
#include "benchmarks/figures.h"
#include "engine/base/workers.h"
#include "engine/jobs/make.h"
#include "engine/jobs/screen.h"

namespace hangtrue::benchmarks {
namespace {

namespace fs = std::filesystem;

constexpr int runs = 3;

double seconds_of(const std::vector<std::string>& words) {
    const ChildRun run = run_child(words);
    if (run.status != 0) throw std::runtime_error("hangtrue ended with " + std::to_string(run.status));
    return run.wall_seconds;
}

double seconds_of_view(const fs::path& picture, const BenchFolder& folder, const std::string& enlarging) {
    return seconds_of({HANGTRUE_PROGRAM, "view", picture.string(), "--shop", bench_shop_id, "--medium", paper().id,
                       "--size", paper().size, "--enlarge", enlarging, "--window", "5003,3001,512,512", "--out",
                       (folder.path() / "window.png").string(), "--replace", "--data",
                       (folder.path() / "data").string()});
}

/// So that the ledger remembers what was measured of the picture, and what both networks make of it.
void make_cards(const fs::path& picture, const BenchFolder& folder) {
    for (const char* by : {"quick", "fine"}) {
        seconds_of({HANGTRUE_PROGRAM, "make", picture.string(), "--shop", bench_shop_id, "--medium", card().id,
                    "--size", card().size, "--crop", "0,0,600,400", "--enlarge", by, "--to", folder.path().string(),
                    "--anyway", "--replace", "--data", (folder.path() / "data").string()});
    }
}

/// A window of a picture that is open and settled, as the window's program asks for it: the median and the longest of
/// the places. No piece is kept from one to the next.
struct OpenSeconds {
    double median = 0;
    double longest = 0;
};
OpenSeconds seconds_of_open_windows(const fs::path& picture, const BenchFolder& folder, const std::string& enlarging) {
    base::Progress progress;
    base::Faults faults;
    const base::Clock clock;
    jobs::Context context{.data_folder = folder.path() / "data",
                          .models_folder = HANGTRUE_MODELS,
                          .threads = base::default_thread_count(),
                          .progress = progress,
                          .faults = faults,
                          .clock = clock};
    plan::Wish wish;
    for (const auto& [key, value] : {std::pair{"shop", std::string(bench_shop_id)}, std::pair{"medium", paper().id},
                                     std::pair{"size", paper().size}, std::pair{"enlarge", enlarging}}) {
        jobs::set_wish_word(wish, key, value);
    }
    jobs::PictureAtHand at_hand(picture, context);
    const jobs::SettledPrint print = at_hand.settled(wish, context);
    std::vector<double> all;
    for (const auto& [x, y] : std::array<std::pair<int, int>, 7>{
             {{5003, 3001}, {0, 0}, {11488, 7488}, {7777, 1234}, {2222, 6001}, {9641, 4127}, {513, 2049}}}) {
        const auto start = std::chrono::steady_clock::now();
        (void)at_hand.window(print, /*panel=*/1, {x, y, 512, 512}, /*scale=*/1, context);
        all.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    }
    return {median(all), *std::max_element(all.begin(), all.end())};
}

}  // namespace

void windows_table() {
    const BenchFolder folder;
    std::cout
        << "\n512x512 pixels of 12000x8000. Open: at seven places of a picture that is open, nothing kept between "
           "them; the others at 5003,3001, a new process each time, the best of "
        << runs
        << ". New: opening and measuring the picture and trying the network on it included; known: the ledger "
           "remembers what was measured and tried\n\n";
    print_heading({"enlarging", "by", "open, median s", "longest s", "known s", "new s"});
    struct Picture {
        std::string factor;
        base::PixelSize size;
    };
    for (const Picture& one : {Picture{"1.3x", {9231, 6154}}, {"1.8x", {6667, 4445}}, {"3.3x", {3636, 2424}}}) {
        const fs::path file = folder.path() / "picture.tif";
        write_tiff(file, BenchPicture(one.size), {});
        const auto best_of_all = [&] {
            std::map<std::string, double> best;
            for (int run = 0; run < runs; ++run) {
                for (const char* by : {"filter", "quick", "fine"}) {
                    const double seconds = seconds_of_view(file, folder, by);
                    best[by] = run == 0 ? seconds : std::min(best[by], seconds);
                }
            }
            return best;
        };
        folder.fresh_data("data");
        auto fresh = best_of_all();
        make_cards(file, folder);
        auto known = best_of_all();
        for (const char* by : {"filter", "quick", "fine"}) {
            const OpenSeconds open = seconds_of_open_windows(file, folder, by);
            print_row({one.factor, by, text_of(open.median, 2), text_of(open.longest, 2), text_of(known[by], 2),
                       text_of(fresh[by], 2)});
        }
    }
}

}  // namespace hangtrue::benchmarks

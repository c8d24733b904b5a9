// SPDX-License-Identifier: Apache-2.0
#include <unistd.h>

#include <fstream>
#include <iostream>
#include <stdexcept>
#include <string>
#include <vector>

#include "benchmarks/bench_pictures.h"
#include "benchmarks/bench_shop.h"
#include "benchmarks/figures.h"
#include "benchmarks/hangtrue_runs.h"
#include "benchmarks/whole.h"
#include "engine/colour/profile.h"

namespace hangtrue::benchmarks {
namespace {

namespace fs = std::filesystem;

void write_profile(const fs::path& file, const colour::Profile& profile) {
    std::ofstream stream(file, std::ios::binary);
    for (const std::byte byte : profile.bytes()) stream.put(static_cast<char>(byte));
}

/// One program of the table, run again and again.
struct Row {
    std::string name;
    std::vector<std::string> words;  ///< Of a peer.
    std::vector<double> compared;    ///< Seconds of open + compute + write.
    std::vector<double> wall;
    std::vector<double> cpu;
    std::vector<double> anonymous;
};

void keep(Row& row, double compared, const ChildRun& child) {
    row.compared.push_back(compared);
    row.wall.push_back(child.wall_seconds);
    row.cpu.push_back(child.cpu_seconds);
    row.anonymous.push_back(child.peak_anonymous);
}

void run_peer(Row& row) {
    const ChildRun child = run_child(row.words);
    if (child.status != 0) throw std::runtime_error(row.words.front() + " failed");
    keep(row, std::stod(child.output), child);
}

std::vector<Row> peer_rows(const fs::path& folder, const fs::path& picture) {
    const std::string source = (folder / "adobe-rgb.icc").string();
    const std::string file_space = (folder / "srgb.icc").string();
    write_profile(source, colour::Profile::adobe_rgb());
    write_profile(file_space, colour::Profile::srgb());
    const std::string out = (folder / "peer.tif").string();
    std::vector<Row> rows;
    for (const std::string way : {"float", "sharpen"}) {
        Row row;
        row.name = way == "float" ? "libvips, one pipeline: resize, float unsharp, ICC"
                                  : "libvips, one pipeline: resize, its sharpen, ICC";
        row.words = {VIPS_PEER, picture.string(), out, "12000", "8000", source, file_space, way};
        rows.push_back(row);
    }
#ifdef OPENCV_PEER
    Row row;
    row.name = "OpenCV: read, Lanczos, unsharp, write (no colour conversion)";
    row.words = {OPENCV_PEER, picture.string(), out, "12000", "8000"};
    rows.push_back(row);
#endif
    return rows;
}

void print(const Row& row, double ours) {
    const double compared = median(row.compared);
    print_row({row.name, text_of(compared, 2), text_of(compared / ours, 2), text_of(median(row.wall), 2),
               text_of(median(row.cpu), 2), text_of(median(row.anonymous) / 1e6, 0)});
}

}  // namespace

void peers_table(int runs) {
    const BenchFolder folder;
    const fs::path picture = folder.path() / "picture.tif";
    write_tiff(picture, BenchPicture({9504, 6336}), {});
    const MakeCall call{picture, paper(), folder.fresh_data("data"), folder.path()};
    std::vector<Row> peers = peer_rows(folder.path(), picture);

    // The first time measures the picture; what it finds is kept by the picture's content.
    const MakeRun first = make(call);
    Row ours;
    ours.name = "Hangtrue";
    std::vector<jobs::StageSeconds> stages;
    for (int run = 0; run < runs; ++run) {
        // What one program leaves for the disk is not charged to the next.
        sync();
        const MakeRun made = make(call);
        fs::remove(made.file);
        // Writing overlaps computing, so the two are one figure.
        keep(ours, made.seconds.open + made.seconds.compute, made.child);
        stages.push_back(made.seconds);
        for (Row& peer : peers) {
            sync();
            run_peer(peer);
            fs::remove(folder.path() / "peer.tif");
        }
    }
    const auto stage = [&](double jobs::StageSeconds::*part) {
        std::vector<double> values;
        for (const jobs::StageSeconds& seconds : stages) values.push_back(seconds.*part);
        return median(values);
    };
    using Stages = jobs::StageSeconds;
    const Stages medians{stage(&Stages::open),  stage(&Stages::measure), stage(&Stages::compute),
                         stage(&Stages::write), stage(&Stages::sync),    stage(&Stages::read_back),
                         stage(&Stages::whole)};

    std::cout << "9504x6336 16-bit TIFF (Adobe RGB) to 12000x8000 16-bit TIFF (sRGB), medians of " << runs << "\n\n";
    print_heading({"program", "open + compute + write s", "over Hangtrue's", "whole process s", "CPU s, whole process",
                   "peak anonymous MB"});
    const double compared = median(ours.compared);
    print(ours, compared);
    for (const Row& peer : peers) print(peer, compared);
    std::cout << "\nHangtrue's stages, s: " << stages_text(medians)
              << "\nThe first time, with measuring: " << stages_text(first.seconds) << "\n\n";
}

}  // namespace hangtrue::benchmarks

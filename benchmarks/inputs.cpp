// SPDX-License-Identifier: Apache-2.0
#include <functional>
#include <iostream>
#include <string>
#include <vector>

#include "benchmarks/bench_pictures.h"
#include "benchmarks/bench_shop.h"
#include "benchmarks/figures.h"
#include "benchmarks/hangtrue_runs.h"
#include "benchmarks/whole.h"

namespace hangtrue::benchmarks {
namespace {

namespace fs = std::filesystem;

struct Input {
    std::string name;
    std::function<void(const fs::path&, const BenchPicture&)> write;
};

Input tiff(const std::string& name, TiffKind kind) {
    return {name, [kind](const fs::path& file, const BenchPicture& picture) { write_tiff(file, picture, kind); }};
}
Input jpeg(const std::string& name, JpegKind kind) {
    return {name, [kind](const fs::path& file, const BenchPicture& picture) { write_jpeg(file, picture, kind); }};
}
Input png(const std::string& name, PngKind kind) {
    return {name, [kind](const fs::path& file, const BenchPicture& picture) { write_png(file, picture, kind); }};
}

std::vector<Input> all_inputs() {
    using enum TiffCoding;
    using enum TiffLayout;
    std::vector<Input> inputs;
    for (const int bits : {8, 16}) {
        const std::string depth = std::to_string(bits) + "-bit TIFF, ";
        inputs.push_back(tiff(depth + "strips", {.bits = bits}));
        inputs.push_back(tiff(depth + "LZW strips", {.bits = bits, .coding = lzw}));
        inputs.push_back(tiff(depth + "deflate strips", {.bits = bits, .coding = deflate}));
        inputs.push_back(tiff(depth + "tiles", {.bits = bits, .layout = tiles}));
        inputs.push_back(tiff(depth + "deflate tiles", {.bits = bits, .coding = deflate, .layout = tiles}));
        inputs.push_back(tiff(depth + "one strip", {.bits = bits, .layout = one_strip}));
        inputs.push_back(tiff(depth + "one LZW strip", {.bits = bits, .coding = lzw, .layout = one_strip}));
        inputs.push_back(tiff(depth + "one deflate strip", {.bits = bits, .coding = deflate, .layout = one_strip}));
        inputs.push_back(tiff(depth + "LZW, upside down (3)", {.bits = bits, .coding = lzw, .orientation = 3}));
        inputs.push_back(tiff(depth + "turned by a quarter (6)", {.bits = bits, .orientation = 6}));
        inputs.push_back(
            tiff(depth + "tiles, turned by a quarter (8)", {.bits = bits, .layout = tiles, .orientation = 8}));
    }
    inputs.push_back(jpeg("JPEG, baseline", {}));
    inputs.push_back(jpeg("JPEG, baseline 4:2:0", {.subsampled = true}));
    inputs.push_back(jpeg("JPEG, upside down (3)", {.orientation = 3}));
    inputs.push_back(jpeg("JPEG, turned by a quarter (6)", {.orientation = 6}));
    inputs.push_back(jpeg("JPEG, progressive", {.progressive = true}));
    inputs.push_back(
        jpeg("JPEG, progressive 4:2:0, turned (8)", {.progressive = true, .subsampled = true, .orientation = 8}));
    for (const int bits : {8, 16}) {
        const std::string depth = std::to_string(bits) + "-bit PNG";
        inputs.push_back(png(depth, {.bits = bits}));
        inputs.push_back(png(depth + ", interlaced", {.bits = bits, .interlaced = true}));
    }
    return inputs;
}

}  // namespace

void inputs_table() {
    const BenchFolder folder;
    const BenchPicture picture({9504, 6336});
    std::cout << "9504x6336 to 12000x8000 (16-bit TIFF), one run each, measuring included\n\n";
    print_heading({"input", "peak anonymous MB", "decoder keeps MB", "without that MB", "spilled MB", "whole s"});
    for (const Input& input : all_inputs()) {
        const fs::path file = folder.path() / "picture";
        input.write(file, picture);
        // A fresh ledger each time: measuring reads every input as well.
        const MakeRun made = make({file, paper(), folder.fresh_data("data"), folder.path()});
        const double kept = made.decoder_bytes;
        print_row({input.name, text_of(made.child.peak_anonymous / 1e6, 0), text_of(kept / 1e6, 0),
                   text_of((made.child.peak_anonymous - kept) / 1e6, 0), text_of(made.spilled_bytes / 1e6, 0),
                   text_of(made.seconds.whole, 2)});
        fs::remove(made.file);
        fs::remove(file);
    }
    std::cout << '\n';
}

}  // namespace hangtrue::benchmarks

// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/pictures.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "engine/base/hash.h"
#include "engine/base/output_file.h"
#include "engine/colour/matrix_model.h"
#include "engine/raster/print_writer.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;

constexpr int chart_columns = 15, chart_rows = 12, patch_px = 200;

void write_rgb(const std::filesystem::path& file, base::PixelSize size, std::span<const std::uint8_t> samples) {
    base::Faults faults;
    base::OutputFile out(file, base::OutputFile::Existing::replace, faults);
    raster::PrintTags tags;
    tags.size = size;
    tags.ppi = {300};
    const auto profile = colour::Profile::srgb();
    tags.icc_profile.assign(profile.bytes().begin(), profile.bytes().end());
    raster::TiffWriter writer(out, tags, {});
    writer.append_rows(std::as_bytes(samples));
    writer.finish();
    out.name_it();
}

// sRGB codes 0 to 1, perhaps beyond.
std::array<double, 3> srgb_of(const Lab& lab) {
    static const colour::Profile profile = colour::Profile::srgb();
    static const colour::Matrix3 from_xyz = colour::inverse(profile.matrix_model()->to_xyz);
    const auto xyz = colour::xyz_from_lab(lab);
    auto rgb = colour::transformed(from_xyz, {xyz.x, xyz.y, xyz.z});
    for (std::size_t i = 0; i < 3; ++i) rgb[i] = profile.matrix_model()->curves[i].to_encoded(rgb[i]);
    return rgb;
}

std::uint8_t code_of(double value) { return static_cast<std::uint8_t>(std::lround(std::clamp(value, 0.0, 1.0) * 255)); }

// Smooth noise, -1 to 1: corners of squares of side `cell` at random, eased between them.
double smooth_noise(double x, double y, double cell, std::uint32_t channel) {
    const double u = x / cell, v = y / cell;
    const auto left = static_cast<std::uint32_t>(u), top = static_cast<std::uint32_t>(v);
    const auto ease = [](double t) { return t * t * (3 - 2 * t); };
    const double fu = ease(u - left), fv = ease(v - top);
    const auto corner = [&](std::uint32_t i, std::uint32_t j) {
        return base::place_hash(left + i, top + j, channel) / 2147483647.5 - 1;
    };
    return (1 - fv) * ((1 - fu) * corner(0, 0) + fu * corner(1, 0)) +
           fv * ((1 - fu) * corner(0, 1) + fu * corner(1, 1));
}

}  // namespace

void write_scene(const std::filesystem::path& file, std::uint64_t seed) {
    constexpr int shrink = 3;
    constexpr base::PixelSize coarse{1800, 1200}, size{coarse.width * shrink, coarse.height * shrink};
    std::vector<std::array<float, 3>> small(static_cast<std::size_t>(coarse.count()));
    const auto channel = [&](int octave, int axis) {
        return static_cast<std::uint32_t>(seed * 64 + static_cast<std::uint64_t>(octave * 4 + axis));
    };
    for (int y = 0; y < coarse.height; ++y) {
        for (int x = 0; x < coarse.width; ++x) {
            std::array<double, 3> sum{};
            int octave = 0;
            for (double cell = 640; cell > 8; cell /= 2, ++octave) {
                for (int axis = 0; axis < 3; ++axis) {
                    sum[static_cast<std::size_t>(axis)] += smooth_noise(x, y, cell, channel(octave, axis));
                }
            }
            const Lab lab{std::clamp(52 + 24 * sum[0], 4.0, 97.0), 11 * sum[1], 14 * sum[2]};
            const auto rgb = srgb_of(lab);
            auto& pixel = small[static_cast<std::size_t>(y * coarse.width + x)];
            for (std::size_t i = 0; i < 3; ++i) pixel[i] = static_cast<float>(std::clamp(rgb[i], 0.0, 1.0) * 255);
        }
    }
    std::vector<std::uint8_t> samples(static_cast<std::size_t>(size.count()) * 3);
    for (int y = 0; y < size.height; ++y) {
        const int top = std::min(y / shrink, coarse.height - 2);
        const float fy = static_cast<float>(y - top * shrink) / shrink;
        for (int x = 0; x < size.width; ++x) {
            const int left = std::min(x / shrink, coarse.width - 2);
            const float fx = static_cast<float>(x - left * shrink) / shrink;
            const auto* at = &small[static_cast<std::size_t>(top * coarse.width + left)];
            auto* out = &samples[3 * static_cast<std::size_t>(y * size.width + x)];
            // A little fine texture, the same in all channels.
            const float texture =
                static_cast<float>(base::place_hash(static_cast<std::uint32_t>(x), static_cast<std::uint32_t>(y), 99) &
                                   255U) /
                    64 -
                2;
            for (std::size_t i = 0; i < 3; ++i) {
                const float value = (1 - fy) * ((1 - fx) * at[0][i] + fx * at[1][i]) +
                                    fy * ((1 - fx) * at[coarse.width][i] + fx * at[coarse.width + 1][i]);
                out[i] = static_cast<std::uint8_t>(std::clamp(value + texture, 0.0f, 255.0f));
            }
        }
    }
    write_rgb(file, size, samples);
}

std::vector<ChartPatch> chart_patches() {
    std::vector<ChartPatch> out;
    const auto add = [&](std::array<std::uint8_t, 3> rgb) {
        const auto index = static_cast<int>(out.size());
        constexpr double mm = 25.4 / 300;
        out.push_back({rgb,
                       {(index % chart_columns + 0.2) * patch_px * mm, (index / chart_columns + 0.2) * patch_px * mm,
                        0.6 * patch_px * mm, 0.6 * patch_px * mm}});
    };
    for (std::size_t i = 0; i < neutral_patches; ++i) {
        const std::uint8_t code = code_of(srgb_of({14.0 + 10 * static_cast<double>(i), 0, 0})[0]);
        add({code, code, code});
    }
    // Three rounds of eight hues: skins and stones, leaves and skies, stronger ones. Angles and tones are not round, so
    // that no sheet has them by chance.
    const double chromas[] = {17, 29, 41}, tones[] = {63, 47, 56};
    for (int i = 0; i < static_cast<int>(colour_patches); ++i) {
        const double angle = (i % 8 * 45.0 + 13 + 15 * (i / 8)) * 0.017453292519943295;
        double chroma = chromas[i / 8];
        std::array<double, 3> rgb{};
        do {
            rgb = srgb_of({tones[i / 8] + 7 * std::sin(2.0 * i), chroma * std::cos(angle), chroma * std::sin(angle)});
            chroma -= 1;
        } while (*std::max_element(rgb.begin(), rgb.end()) > 1 || *std::min_element(rgb.begin(), rgb.end()) < 0);
        add({code_of(rgb[0]), code_of(rgb[1]), code_of(rgb[2])});
    }
    Chance chance(20260314);
    while (out.size() < static_cast<std::size_t>(chart_columns * chart_rows)) {
        const auto rgb = srgb_of({chance.between(12, 92), chance.between(-45, 45), chance.between(-45, 55)});
        if (*std::max_element(rgb.begin(), rgb.end()) > 1 || *std::min_element(rgb.begin(), rgb.end()) < 0) continue;
        add({code_of(rgb[0]), code_of(rgb[1]), code_of(rgb[2])});
    }
    return out;
}

void write_chart(const std::filesystem::path& file) {
    const auto patches = chart_patches();
    constexpr base::PixelSize size{chart_columns * patch_px, chart_rows * patch_px};
    std::vector<std::uint8_t> samples;
    for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x) {
            const auto& patch = patches[static_cast<std::size_t>(y / patch_px * chart_columns + x / patch_px)];
            samples.insert(samples.end(), patch.rgb.begin(), patch.rgb.end());
        }
    }
    write_rgb(file, size, samples);
}

std::string shop_file_text() {
    return R"(format = 1
name = "Virtual shop"
currency = "EUR"

[[medium]]
id = "paper"
name = "Paper"
blur = "inkjet-gloss"
ppi = { least = 100, wanted = 300, most = 300 }
pixels = "shape"
file_space = "srgb"
base = "white"
mirrored = false
bleed = { place = "none" }
safe_area = "3 mm"
improvement_off = ""
same_process_for_all_sizes = true

[medium.file]
formats = ["tiff"]
tiff_bits = [8]
tiff_compressions = ["none"]
embed_profile = true

[[medium.size]]
name = "18 x 12 in"
finished = "18 x 12 in"
process = "one printer"
price = 40.00
[[medium.size]]
name = "10 x 8 in"
finished = "10 x 8 in"
process = "one printer"
price = 8.00
)";
}

}  // namespace hangtrue::virtual_shop

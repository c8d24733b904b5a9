// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/print_file.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/raster/print_writer.h"
#include "engine/raster/row_reader.h"
#include "engine/text/document.h"
#include "engine/text/writer.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Xyz;

std::unique_ptr<raster::RowReader> opened(const std::filesystem::path& file, base::Faults& faults,
                                          base::Progress& progress) {
    auto reader = raster::open_picture(file, {std::filesystem::temp_directory_path(), faults}, progress);
    if (reader->info().model != raster::SampleModel::rgb) {
        throw base::UnreadableInput(file.string() + " is not RGB. The virtual shop prints RGB files alone.");
    }
    return reader;
}

std::vector<std::uint16_t> all_samples(raster::RowReader& reader, base::Progress& progress) {
    const auto& info = reader.info();
    const auto count = static_cast<std::size_t>(info.size.count()) * 3;
    std::vector<std::uint16_t> samples(count);
    if (info.bits == 16) {
        reader.read_rows(0, info.size.height, std::as_writable_bytes(std::span(samples)), progress);
        return samples;
    }
    std::vector<std::byte> row(info.bytes_per_row());
    for (int y = 0; y < info.size.height; ++y) {
        reader.read_rows(y, 1, row, progress);
        auto* out = &samples[static_cast<std::size_t>(y) * row.size()];
        for (std::size_t i = 0; i < row.size(); ++i)
            out[i] = static_cast<std::uint16_t>(std::to_integer<int>(row[i]) * 257);
    }
    return samples;
}

const std::vector<float>& cubes() {
    static const std::vector<float> table = [] {
        std::vector<float> made;
        for (int i = 0; i < 65536; ++i) made.push_back(static_cast<float>(std::pow(i / 65535.0, 3)));
        return made;
    }();
    return table;
}

// Sums over whole pixels; `get` gives a pixel's X, Y, Z.
template <typename Get>
Xyz mean_of(base::PixelSize size, const base::RealRect& part, Get&& get) {
    const int left = std::clamp(static_cast<int>(std::lround(part.x)), 0, size.width - 1);
    const int top = std::clamp(static_cast<int>(std::lround(part.y)), 0, size.height - 1);
    const int right = std::clamp(static_cast<int>(std::lround(part.x + part.width)), left + 1, size.width);
    const int bottom = std::clamp(static_cast<int>(std::lround(part.y + part.height)), top + 1, size.height);
    std::array<double, 3> sum{};
    for (int y = top; y < bottom; ++y) {
        std::array<float, 3> row{};
        for (int x = left; x < right; ++x) {
            const std::array<float, 3> value = get(
                3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(size.width) + static_cast<std::size_t>(x)));
            for (std::size_t i = 0; i < 3; ++i) row[i] += value[i];
        }
        for (std::size_t i = 0; i < 3; ++i) sum[i] += static_cast<double>(row[i]);
    }
    const double count = static_cast<double>(right - left) * (bottom - top);
    return {sum[0] / count, sum[1] / count, sum[2] / count};
}

base::RealRect in_pixels(const Print& print, const RectMm& part) {
    const double scale = print.ppi / 25.4;
    return {part.x * scale, part.y * scale, part.width * scale, part.height * scale};
}

template <typename Part, typename Mean>
std::vector<Xyz> all_blocks(const Part& part, int blocks, Mean&& mean) {
    std::vector<Xyz> out;
    for (int y = 0; y < blocks; ++y) {
        for (int x = 0; x < blocks; ++x) {
            out.push_back(mean(Part{part.x + part.width * x / blocks, part.y + part.height * y / blocks,
                                    part.width / blocks, part.height / blocks}));
        }
    }
    return out;
}

}  // namespace

SentFile read_sent(const std::filesystem::path& file) {
    base::Faults faults;
    base::Progress progress;
    auto reader = opened(file, faults, progress);
    SentFile out;
    out.size = reader->info().size;
    out.ppi = reader->info().ppi.value;
    if (!reader->info().icc_profile.empty()) {
        out.profile = colour::Profile::from_bytes(reader->info().icc_profile, file.string());
    }
    out.samples = all_samples(*reader, progress);
    return out;
}

Print printed(const SentFile& file, const Shop& shop, const ColourTable& table) {
    Print out{file.size,
              file.ppi > 0 ? file.ppi : 300,
              shop.blur_mm,
              shop.grain_sd,
              shop.grain_mm,
              shop.seed,
              std::vector<std::uint16_t>(file.samples.size())};
    constexpr float unit = 1.0f / 65535;
    for (std::size_t i = 0; i < file.samples.size(); i += 3) {
        const auto roots =
            table.cube_roots(static_cast<float>(file.samples[i]) * unit, static_cast<float>(file.samples[i + 1]) * unit,
                             static_cast<float>(file.samples[i + 2]) * unit);
        for (std::size_t c = 0; c < 3; ++c) {
            out.roots[i + c] = static_cast<std::uint16_t>(std::min(roots[c], 1.0f) * 65535 + 0.5f);
        }
    }
    return out;
}

void write_print(const Print& print, const std::filesystem::path& file) {
    text::Writer words(1);
    words.value("ppi", print.ppi).value("blur_mm", print.blur_mm).value("grain_sd", print.grain_sd);
    words.value("grain_mm", print.grain_mm).value("seed", static_cast<std::int64_t>(print.seed));
    raster::PrintTags tags;
    tags.size = print.size;
    tags.bits = 16;
    tags.ppi = {print.ppi};
    tags.copyright = words.text();
    base::Faults faults;
    base::OutputFile out(file, base::OutputFile::Existing::replace, faults);
    raster::TiffWriter writer(out, tags, {});
    writer.append_rows(std::as_bytes(std::span(print.roots)));
    writer.finish();
    out.name_it();
}

Print read_print(const std::filesystem::path& file) {
    base::Faults faults;
    base::Progress progress;
    auto reader = opened(file, faults, progress);
    if (reader->info().bits != 16 || reader->info().copyright.find("blur_mm") == std::string::npos) {
        throw base::UnreadableInput(file.string() + " is no print of the virtual shop.");
    }
    const auto document = text::Document::parse(reader->info().copyright, file.string(), 1);
    text::Table root = document.root();
    Print out;
    out.size = reader->info().size;
    out.ppi = root.required("ppi").real(1, 10000);
    out.blur_mm = root.required("blur_mm").real(0, 1);
    out.grain_sd = root.required("grain_sd").real(0, 10);
    out.grain_mm = root.required("grain_mm").real(0.02, 2);
    out.seed = static_cast<std::uint64_t>(root.required("seed").integer(0, INT64_MAX));
    out.roots = all_samples(*reader, progress);
    return out;
}

Xyz mean_in(const Print& print, const RectMm& part) {
    const auto& cube = cubes();
    return mean_of(print.size, in_pixels(print, part), [&](std::size_t at) {
        return std::array<float, 3>{cube[print.roots[at]], cube[print.roots[at + 1]], cube[print.roots[at + 2]]};
    });
}

Xyz mean_in(const SentFile& file, const ColourTable& table, const base::RealRect& part) {
    constexpr float unit = 1.0f / 65535;
    return mean_of(file.size, part, [&](std::size_t at) {
        auto value = table.cube_roots(static_cast<float>(file.samples[at]) * unit,
                                      static_cast<float>(file.samples[at + 1]) * unit,
                                      static_cast<float>(file.samples[at + 2]) * unit);
        for (float& root : value) root = root * root * root;
        return value;
    });
}

std::vector<Xyz> blocks_in(const Print& print, const RectMm& part, int blocks) {
    return all_blocks(part, blocks, [&](const RectMm& block) { return mean_in(print, block); });
}

std::vector<Xyz> blocks_in(const SentFile& file, const ColourTable& table, const base::RealRect& part, int blocks) {
    return all_blocks(part, blocks, [&](const base::RealRect& block) { return mean_in(file, table, block); });
}

}  // namespace hangtrue::virtual_shop

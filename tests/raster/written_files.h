// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the tests of writing and reading back share: samples, tags, written files and their bytes.

#include <fcntl.h>
#include <sys/mman.h>

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <filesystem>
#include <random>
#include <span>
#include <string>
#include <vector>

#include "engine/base/output_file.h"
#include "engine/base/progress.h"
#include "engine/raster/print_writer.h"
#include "engine/raster/read_back.h"

namespace hangtrue::raster {

inline std::size_t bytes_per_row(const PrintTags& tags) {
    return static_cast<std::size_t>(tags.size.width) * 3 * static_cast<std::size_t>(tags.bits / 8);
}

/// A soft ramp with noise, as photographs are: compresses a little, repeats itself rarely.
inline std::vector<std::byte> noisy_ramp(const PrintTags& tags, std::mt19937_64& random) {
    std::vector<std::byte> samples(bytes_per_row(tags) * static_cast<std::size_t>(tags.size.height));
    const std::size_t count = samples.size() / static_cast<std::size_t>(tags.bits / 8);
    for (std::size_t i = 0; i < count; ++i) {
        const std::uint64_t noise = random() % (tags.bits == 8 ? 8 : 1024);
        const std::uint64_t value = i * (tags.bits == 8 ? 200 : 60000) / count + noise;
        if (tags.bits == 8) {
            samples[i] = static_cast<std::byte>(value);
        } else {
            const auto sample = static_cast<std::uint16_t>(value);
            std::memcpy(samples.data() + 2 * i, &sample, 2);
        }
    }
    return samples;
}

inline std::vector<std::byte> random_bytes(std::size_t count, std::mt19937_64& random) {
    std::vector<std::byte> bytes(count);
    for (std::byte& byte : bytes) byte = static_cast<std::byte>(random() & 0xffU);
    return bytes;
}

inline void append_tiff(base::OutputFile& file, const PrintTags& tags, const TiffForm& form,
                        std::span<const std::byte> samples) {
    TiffWriter writer(file, tags, form);
    const std::size_t strip = bytes_per_row(tags) * static_cast<std::size_t>(form.rows_per_strip);
    for (std::size_t at = 0; at < samples.size(); at += strip) {
        const auto rows = samples.subspan(at, std::min(strip, samples.size() - at));
        if (form.compression == TiffCompression::none) {
            writer.append_rows(rows);
        } else {
            writer.append_encoded(writer.encoded_strip(rows));
        }
    }
    writer.finish();
}

inline void write_tiff(const std::filesystem::path& name, const PrintTags& tags, const TiffForm& form,
                       std::span<const std::byte> samples) {
    base::Faults faults;
    base::OutputFile file(name, base::OutputFile::Existing::replace, faults);
    append_tiff(file, tags, form, samples);
    file.sync();
    file.name_it();
}

inline std::vector<std::byte> file_bytes(const std::filesystem::path& name) {
    const std::string text = base::read_whole_file(name, std::int64_t{1} << 30);
    const auto bytes = std::as_bytes(std::span(text));
    return {bytes.begin(), bytes.end()};
}

struct ReadBack {
    FoundFile found;
    std::vector<std::byte> samples;
};

inline ReadBack read_back_all(int descriptor, int rows_at_once) {
    base::Progress progress;
    ReadBack result;
    const RowSink sink = [&](int, int, std::span<const std::byte> rows) {
        result.samples.insert(result.samples.end(), rows.begin(), rows.end());
    };
    result.found = read_back(descriptor, "print", rows_at_once, sink, progress);
    return result;
}

inline ReadBack read_back_all(const std::filesystem::path& name, int rows_at_once = 5) {
    const base::Descriptor descriptor(::open(name.c_str(), O_RDONLY | O_CLOEXEC));
    return read_back_all(descriptor.get(), rows_at_once);
}

/// Reads back a file that holds `bytes` and never touches a disk, for tests that damage thousands.
inline ReadBack read_back_bytes(std::span<const std::byte> bytes, int rows_at_once = 5) {
    const base::Descriptor descriptor(::memfd_create("print", MFD_CLOEXEC));
    base::Faults faults;
    base::write_at(descriptor.get(), bytes, 0, "print", faults);
    return read_back_all(descriptor.get(), rows_at_once);
}

inline RowSupply supply_of(const std::vector<std::byte>& samples, const PrintTags& tags) {
    const std::size_t row = bytes_per_row(tags);
    return [&samples, row](int first, int, std::span<std::byte> out) {
        std::memcpy(out.data(), samples.data() + static_cast<std::size_t>(first) * row, out.size());
    };
}

}  // namespace hangtrue::raster

// SPDX-License-Identifier: Apache-2.0

// The TIFF is laid out by our own hand: header, directory, values, then the strips without a gap. So its
// length is known before the first pixel, it is read again in one pass, and rows go to the disk without a
// copy.

#include <algorithm>
#include <cassert>
#include <limits>
#include <numeric>

#include "engine/base/error.h"
#include "engine/raster/print_writer.h"
#include "engine/raster/strip_encoder.h"
#include "engine/raster/tiff_directory.h"

namespace hangtrue::raster {
namespace {

std::size_t row_bytes(const PrintTags& tags) {
    return static_cast<std::size_t>(tags.size.width) * static_cast<std::size_t>(tags.channels * tags.bits / 8);
}

int strip_rows(const PrintTags& tags, const TiffForm& form) { return std::min(form.rows_per_strip, tags.size.height); }

int strip_count(const PrintTags& tags, const TiffForm& form) {
    const int rows = strip_rows(tags, form);
    return tags.size.height / rows + (tags.size.height % rows != 0 ? 1 : 0);
}

/// Bytes of each strip's samples before compression.
std::vector<std::int64_t> raw_strip_sizes(const PrintTags& tags, const TiffForm& form) {
    const int rows = strip_rows(tags, form);
    const auto row = static_cast<std::int64_t>(row_bytes(tags));
    std::vector<std::int64_t> sizes(static_cast<std::size_t>(strip_count(tags, form)), rows * row);
    if (const int left = tags.size.height % rows; left != 0) sizes.back() = left * row;
    return sizes;
}

DirectoryEntry numbers_entry(std::uint16_t tag, bool big, const std::vector<std::int64_t>& numbers) {
    constexpr std::uint16_t long_type = 4;
    constexpr std::uint16_t long8_type = 16;
    DirectoryEntry entry{tag, big ? long8_type : long_type, numbers.size(), {}};
    for (const std::int64_t number : numbers) {
        if (big) {
            append<std::uint64_t>(entry.value, static_cast<std::uint64_t>(number));
        } else {
            append<std::uint32_t>(entry.value, static_cast<std::uint32_t>(number));
        }
    }
    return entry;
}

std::uint16_t compression_code(TiffCompression compression) {
    switch (compression) {
        case TiffCompression::none: return 1;
        case TiffCompression::lzw: return 5;
        case TiffCompression::deflate: return 8;
    }
    return 1;
}

/// Everything before the strips. Its length does not depend on the numbers in the last two.
std::vector<std::byte> front(const PrintTags& tags, const TiffForm& form, const std::vector<std::int64_t>& offsets,
                             const std::vector<std::int64_t>& sizes) {
    const auto bits = static_cast<std::uint16_t>(tags.bits);
    const bool is_rgb = tags.channels == 3;
    const bool has_ppi = tags.ppi.value > 0;
    std::vector<DirectoryEntry> entries;
    entries.push_back(long_entry(256, static_cast<std::uint32_t>(tags.size.width)));
    entries.push_back(long_entry(257, static_cast<std::uint32_t>(tags.size.height)));
    entries.push_back(is_rgb ? short_entry(258, {bits, bits, bits}) : short_entry(258, {bits}));
    entries.push_back(short_entry(259, {compression_code(form.compression)}));
    entries.push_back(short_entry(262, {static_cast<std::uint16_t>(is_rgb ? 2 : 1)}));  // RGB, or black is zero
    entries.push_back(numbers_entry(273, form.big, offsets));
    entries.push_back(short_entry(274, {1}));  // the first row is the top, the first column the left
    entries.push_back(short_entry(277, {static_cast<std::uint16_t>(tags.channels)}));
    entries.push_back(long_entry(278, static_cast<std::uint32_t>(strip_rows(tags, form))));
    entries.push_back(numbers_entry(279, form.big, sizes));
    if (has_ppi) entries.push_back(rational_entry(282, as_rational(tags.ppi.value)));
    if (has_ppi) entries.push_back(rational_entry(283, as_rational(tags.ppi.value)));
    entries.push_back(short_entry(284, {1}));               // interleaved
    if (has_ppi) entries.push_back(short_entry(296, {2}));  // inch
    if (!tags.author.empty()) entries.push_back(text_entry(315, tags.author));
    if (form.compression != TiffCompression::none) entries.push_back(short_entry(317, {2}));
    if (!tags.copyright.empty()) entries.push_back(text_entry(33432, tags.copyright));
    if (!tags.icc_profile.empty()) {
        constexpr std::uint16_t undefined = 7;
        entries.push_back({34675, undefined, tags.icc_profile.size(), tags.icc_profile});
    }
    return directory_bytes(entries, form.big ? DirectoryForm::big : DirectoryForm::classic);
}

std::int64_t front_size(const PrintTags& tags, const TiffForm& form) {
    const std::vector<std::int64_t> zeros(static_cast<std::size_t>(strip_count(tags, form)));
    return static_cast<std::int64_t>(front(tags, form, zeros, zeros).size());
}

std::vector<std::int64_t> offsets_of(std::int64_t first, const std::vector<std::int64_t>& sizes) {
    std::vector<std::int64_t> offsets(sizes.size());
    std::exclusive_scan(sizes.begin(), sizes.end(), offsets.begin(), first);
    return offsets;
}

}  // namespace

std::int64_t tiff_bytes_at_most(const PrintTags& tags, const TiffForm& form) {
    std::int64_t bytes = front_size(tags, form);
    for (const std::int64_t size : raw_strip_sizes(tags, form)) {
        bytes += encoded_bytes_at_most(size, form.compression);
    }
    return bytes;
}

struct TiffWriter::State {
    base::OutputFile& file;
    PrintTags tags;
    TiffForm form;
    std::int64_t front_size;
    std::vector<std::int64_t> raw_sizes;  ///< Of every strip.
    std::vector<std::int64_t> sizes;      ///< Of the strips written.
    int rows_written = 0;
    bool half_reached = false;

    void append(std::span<const std::byte> bytes, int rows) {
        const std::int64_t end = file.size() + static_cast<std::int64_t>(bytes.size());
        if (!form.big && end > classic_tiff_limit) throw too_large();
        file.write(bytes);
        rows_written += rows;
        if (!half_reached && 2 * std::int64_t{rows_written} >= tags.size.height) {
            half_reached = true;
            file.faults().reached(base::Step::half_written);
        }
    }

    base::WriteFailed too_large() const {
        return base::WriteFailed(file.final_name().string() +
                                 " would pass 4 GiB, and a classic TIFF ends there. Choose a smaller size or 8 bit, "
                                 "or ask the shop whether it takes BigTIFF.");
    }
};

TiffWriter::TiffWriter(base::OutputFile& file, const PrintTags& tags, const TiffForm& form)
    : m_state(std::make_unique<State>(State{file, tags, form, 0, raw_strip_sizes(tags, form), {}})) {
    assert(tags.size.width > 0 && tags.size.height > 0 && form.rows_per_strip > 0);
    assert(tags.bits == 8 || tags.bits == 16);
    assert(tags.channels == 3 || (tags.channels == 1 && form.compression == TiffCompression::none));
    assert(tags.author.find('\0') == std::string::npos && tags.copyright.find('\0') == std::string::npos);
    assert(file.size() == 0);
    State& state = *m_state;
    state.front_size = front_size(tags, form);
    const bool known = form.compression == TiffCompression::none;
    if (known && !form.big && tiff_bytes_at_most(tags, form) > classic_tiff_limit) throw state.too_large();
    const std::vector<std::int64_t> unknown(state.raw_sizes.size());
    file.write(known ? front(tags, form, offsets_of(state.front_size, state.raw_sizes), state.raw_sizes)
                     : front(tags, form, unknown, unknown));
}

TiffWriter::~TiffWriter() = default;

std::vector<std::byte> TiffWriter::encoded_strip(std::span<const std::byte> samples) const {
    return encoded_rows(samples, row_bytes(m_state->tags), m_state->tags.bits, m_state->form.compression);
}

void TiffWriter::append_encoded(std::span<const std::byte> strip) {
    State& state = *m_state;
    assert(state.sizes.size() < state.raw_sizes.size());
    const auto raw = state.raw_sizes[state.sizes.size()];
    state.append(strip, static_cast<int>(raw / static_cast<std::int64_t>(row_bytes(state.tags))));
    state.sizes.push_back(static_cast<std::int64_t>(strip.size()));
}

void TiffWriter::append_rows(std::span<const std::byte> samples) {
    State& state = *m_state;
    assert(state.form.compression == TiffCompression::none);
    const auto rows = static_cast<int>(samples.size() / row_bytes(state.tags));
    assert(samples.size() % row_bytes(state.tags) == 0 && state.rows_written + rows <= state.tags.size.height);
    state.append(samples, rows);
}

void TiffWriter::finish() {
    State& state = *m_state;
    assert(state.rows_written == state.tags.size.height);
    if (state.form.compression != TiffCompression::none) {
        state.file.write_at(front(state.tags, state.form, offsets_of(state.front_size, state.sizes), state.sizes), 0);
    }
    state.file.faults().reached(base::Step::written);
}

}  // namespace hangtrue::raster

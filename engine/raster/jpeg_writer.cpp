// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <csetjmp>
#include <cstdio>
#include <exception>
#include <jpeglib.h>
#include <utility>

#include "engine/base/error.h"
#include "engine/raster/exif_block.h"
#include "engine/raster/jpeg_huffman.h"
#include "engine/raster/print_writer.h"
#include "engine/raster/tiff_directory.h"

namespace hangtrue::raster {
namespace {

using ByteSink = std::function<void(std::span<const std::byte>)>;
using Tables = std::array<SymbolCounter::Tables, 2>;  ///< Of the first component, and of the others.

constexpr int longest_side = JPEG_MAX_DIMENSION;  // 65500
constexpr int rows_at_once = 64;

/// A libjpeg compressor whose bytes go to a sink. What the sink throws is kept and thrown on outside of
/// libjpeg.
class Coder {
  public:
    explicit Coder(ByteSink sink) : m_sink(std::move(sink)), m_buffer(std::size_t{1} << 20) {
        m_info.err = jpeg_std_error(&m_errors);
        m_errors.error_exit = [](j_common_ptr info) { of(info).leave(); };
        m_errors.output_message = [](j_common_ptr) {};
        m_info.client_data = this;
        guarded([](j_compress_ptr info) { jpeg_create_compress(info); });
        m_destination.init_destination = [](j_compress_ptr info) { of(info).empty_buffer(); };
        m_destination.empty_output_buffer = [](j_compress_ptr info) -> boolean {
            of(info).hand_on(of(info).m_buffer.size());
            return TRUE;
        };
        m_destination.term_destination = [](j_compress_ptr info) {
            Coder& coder = of(info);
            coder.hand_on(coder.m_buffer.size() - coder.m_destination.free_in_buffer);
        };
        m_info.dest = &m_destination;
    }
    ~Coder() { jpeg_destroy_compress(&m_info); }
    Coder(const Coder&) = delete;
    Coder& operator=(const Coder&) = delete;

    jpeg_compress_struct& info() { return m_info; }

    /// Calls libjpeg. An error of it leaves `step` by longjmp: nothing in there may have a destructor.
    template <typename Step>
    void guarded(Step step) {
        if (setjmp(m_escape) == 0) {
            step(&m_info);
            return;
        }
        if (m_failure) std::rethrow_exception(std::exchange(m_failure, nullptr));
        std::array<char, JMSG_LENGTH_MAX> text{};
        m_errors.format_message(reinterpret_cast<j_common_ptr>(&m_info), text.data());
        throw base::WriteFailed("The JPEG cannot be coded: " + std::string(text.data()) + ".");
    }

  private:
    template <typename Info>
    static Coder& of(Info* info) {
        return *static_cast<Coder*>(info->client_data);
    }

    [[noreturn]] void leave() { std::longjmp(m_escape, 1); }

    void empty_buffer() {
        m_destination.next_output_byte = reinterpret_cast<JOCTET*>(m_buffer.data());
        m_destination.free_in_buffer = m_buffer.size();
    }

    void hand_on(std::size_t count) {
        try {
            m_sink(std::span(m_buffer).first(count));
        } catch (...) {
            m_failure = std::current_exception();
        }
        if (m_failure) leave();
        empty_buffer();
    }

    ByteSink m_sink;
    std::vector<std::byte> m_buffer;
    jpeg_compress_struct m_info{};
    jpeg_error_mgr m_errors{};
    jpeg_destination_mgr m_destination{};
    std::jmp_buf m_escape{};
    std::exception_ptr m_failure;
};

int density(const PrintTags& tags) { return static_cast<int>(std::clamp(std::round(tags.ppi.value), 1.0, 65535.0)); }

void put_table(JHUFF_TBL& to, const HuffmanTable& from) {
    std::copy(from.lengths.begin(), from.lengths.end(), std::begin(to.bits));
    std::fill(std::begin(to.huffval), std::end(to.huffval), JOCTET{0});
    std::copy(from.symbols.begin(), from.symbols.end(), std::begin(to.huffval));
}

HuffmanTable table_of(const JHUFF_TBL& from) {
    HuffmanTable table;
    std::copy(std::begin(from.bits), std::end(from.bits), table.lengths.begin());
    std::size_t count = 0;
    for (std::size_t length = 1; length <= 16; ++length) count += table.lengths[length];
    table.symbols.assign(std::begin(from.huffval), std::begin(from.huffval) + count);
    return table;
}

Tables standard_tables() {
    Coder coder([](std::span<const std::byte>) {});
    coder.guarded([](j_compress_ptr info) {
        info->in_color_space = JCS_RGB;
        info->input_components = 3;
        jpeg_set_defaults(info);
    });
    Tables tables;
    for (std::size_t i = 0; i < 2; ++i) {
        tables[i] = {table_of(*coder.info().dc_huff_tbl_ptrs[i]), table_of(*coder.info().ac_huff_tbl_ptrs[i])};
    }
    return tables;
}

/// ICC.1, annex B.4: "ICC_PROFILE", the number of this piece and of all, up to 65519 bytes of the profile.
std::vector<std::vector<std::byte>> profile_segments(const std::vector<std::byte>& profile) {
    constexpr std::size_t most = 65519;
    const std::size_t count = (profile.size() + most - 1) / most;
    if (count > 255) {
        throw base::WriteFailed("The profile is too large for a JPEG. Choose TIFF with --format tiff.");
    }
    std::vector<std::vector<std::byte>> segments(count);
    for (std::size_t i = 0; i < count; ++i) {
        append_text(segments[i], std::string_view("ICC_PROFILE\0", 12));
        append<std::uint8_t>(segments[i], static_cast<std::uint8_t>(i + 1));
        append<std::uint8_t>(segments[i], static_cast<std::uint8_t>(count));
        const std::size_t at = i * most;
        append_bytes(segments[i], std::span(profile).subspan(at, std::min(most, profile.size() - at)));
    }
    return segments;
}

void put_segment(Coder& coder, int marker, const std::vector<std::byte>& bytes) {
    const auto* data = reinterpret_cast<const JOCTET*>(bytes.data());
    const auto size = static_cast<unsigned>(bytes.size());
    coder.guarded([=](j_compress_ptr info) { jpeg_write_marker(info, marker, data, size); });
}

void set_up(Coder& coder, const PrintTags& tags, int quality, const Tables& tables) {
    const auto width = static_cast<JDIMENSION>(tags.size.width);
    const auto height = static_cast<JDIMENSION>(tags.size.height);
    const auto dpi = static_cast<UINT16>(density(tags));
    coder.guarded([=](j_compress_ptr info) {
        info->image_width = width;
        info->image_height = height;
        info->input_components = 3;
        info->in_color_space = JCS_RGB;
        jpeg_set_defaults(info);
        jpeg_set_quality(info, quality, TRUE);
        for (int i = 0; i < info->num_components; ++i) {
            info->comp_info[i].h_samp_factor = 1;
            info->comp_info[i].v_samp_factor = 1;
        }
        info->dct_method = JDCT_ISLOW;
        info->write_JFIF_header = TRUE;
        info->density_unit = 1;  // dots per inch
        info->X_density = dpi;
        info->Y_density = dpi;
    });
    for (std::size_t i = 0; i < 2; ++i) {
        put_table(*coder.info().dc_huff_tbl_ptrs[i], tables[i].dc);
        put_table(*coder.info().ac_huff_tbl_ptrs[i], tables[i].ac);
    }
}

struct Segments {
    std::vector<std::byte> exif;
    std::vector<std::vector<std::byte>> profile;
};

/// Codes the picture once with these tables; `after_rows` is told how many rows are coded.
void code(const PrintTags& tags, int quality, const Tables& tables, const Segments& segments, const RowSupply& rows,
          base::Progress& progress, const ByteSink& sink, const std::function<void(int)>& after_rows) {
    Coder coder(sink);
    set_up(coder, tags, quality, tables);
    coder.guarded([](j_compress_ptr info) { jpeg_start_compress(info, TRUE); });
    if (!segments.exif.empty()) put_segment(coder, JPEG_APP0 + 1, segments.exif);
    for (const auto& segment : segments.profile) put_segment(coder, JPEG_APP0 + 2, segment);

    const std::size_t row_bytes = static_cast<std::size_t>(tags.size.width) * 3;
    std::vector<std::byte> samples(row_bytes * rows_at_once);
    std::array<JSAMPROW, rows_at_once> lines{};
    for (std::size_t i = 0; i < lines.size(); ++i) {
        lines[i] = reinterpret_cast<JSAMPROW>(samples.data() + i * row_bytes);
    }
    for (int first = 0; first < tags.size.height; first += rows_at_once) {
        progress.check();
        const int count = std::min(rows_at_once, tags.size.height - first);
        rows(first, count, std::span(samples).first(row_bytes * static_cast<std::size_t>(count)));
        auto* const line = lines.data();
        coder.guarded([=](j_compress_ptr info) {
            JDIMENSION done = 0;
            while (done < static_cast<JDIMENSION>(count)) {
                done += jpeg_write_scanlines(info, line + done, static_cast<JDIMENSION>(count) - done);
            }
        });
        after_rows(first + count);
    }
    coder.guarded([](j_compress_ptr info) { jpeg_finish_compress(info); });
}

/// Where the coded samples begin: behind the SOS segment. `bytes` hold the whole header.
std::size_t scan_begin(std::span<const std::byte> bytes) {
    const auto byte = [&](std::size_t at) { return std::to_integer<std::size_t>(bytes[at]); };
    std::size_t at = 2;
    for (;;) {
        const bool is_scan = byte(at + 1) == 0xda;
        at += 2 + (byte(at + 2) << 8 | byte(at + 3));
        if (is_scan) return at;
    }
}

Tables best_tables(const PrintTags& tags, int quality, const RowSupply& rows, base::Progress& progress) {
    const Tables standard = standard_tables();
    const auto blocks_along = [](int side) { return std::int64_t{side} / 8 + (side % 8 != 0 ? 1 : 0); };
    SymbolCounter counter(standard, 3 * blocks_along(tags.size.width) * blocks_along(tags.size.height));
    bool in_scan = false;
    const ByteSink sink = [&](std::span<const std::byte> bytes) {
        // Without profile and Exif the header is far smaller than the coder's buffer.
        counter.add(in_scan ? bytes : bytes.subspan(scan_begin(bytes)));
        in_scan = true;
    };
    code(tags, quality, standard, {}, rows, progress, sink, [](int) {});
    const auto& counts = counter.finish();
    return {
        {{best_table(counts[0].dc), best_table(counts[0].ac)}, {best_table(counts[1].dc), best_table(counts[1].ac)}}};
}

void code_best(const PrintTags& tags, int quality, const RowSupply& rows, base::Progress& progress,
               const std::string& name, const ByteSink& sink, const std::function<void(int)>& after_rows) {
    assert(tags.size.width > 0 && tags.size.height > 0 && tags.bits == 8 && quality >= 1 && quality <= 100);
    if (std::max(tags.size.width, tags.size.height) > longest_side) {
        throw base::WriteFailed(name + " cannot be a JPEG: no side of one is longer than " +
                                std::to_string(longest_side) + " pixels. Choose TIFF with --format tiff, or panels.");
    }
    const Segments segments{exif_block(tags, density(tags)), profile_segments(tags.icc_profile)};
    const Tables tables = best_tables(tags, quality, rows, progress);
    code(tags, quality, tables, segments, rows, progress, sink, after_rows);
}

}  // namespace

void write_jpeg(base::OutputFile& file, const PrintTags& tags, int quality, const RowSupply& rows,
                base::Progress& progress) {
    bool half_reached = false;
    const auto after_rows = [&](int done) {
        if (half_reached || 2 * std::int64_t{done} < tags.size.height) return;
        half_reached = true;
        file.faults().reached(base::Step::half_written);
    };
    code_best(
        tags, quality, rows, progress, file.final_name().string(),
        [&](std::span<const std::byte> bytes) { file.write(bytes); }, after_rows);
    file.faults().reached(base::Step::written);
}

std::int64_t jpeg_bytes(const PrintTags& tags, int quality, const RowSupply& rows, base::Progress& progress) {
    std::int64_t count = 0;
    code_best(
        tags, quality, rows, progress, "The print file",
        [&](std::span<const std::byte> bytes) { count += static_cast<std::int64_t>(bytes.size()); }, [](int) {});
    return count;
}

}  // namespace hangtrue::raster

// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/tiff_read_back.h"

#include <algorithm>
#include <array>
#include <bit>

#include "engine/raster/strip_decoder.h"
#include "engine/raster/tiff_fields.h"

namespace hangtrue::raster {
namespace {

static_assert(std::endian::native == std::endian::little, "samples are handed on as they stand in the file");

// Far above every print, far below what would hurt: the sides of a file that claims more are not believed.
constexpr std::uint64_t longest_side = 1'000'000;

constexpr std::array our_tags{256, 257, 258, 259, 262, 273, 274, 277,   278,
                              279, 282, 283, 284, 296, 315, 317, 33432, 34675};

struct Strips {
    std::size_t row_bytes = 0;
    int rows_per_strip = 0;
    std::vector<std::int64_t> sizes;  ///< In the file; the strips follow one another.
};

int side(const ByteSource& file, std::uint64_t value) {
    if (value == 0 || value > longest_side) {
        throw file.wrong("it claims a side of " + std::to_string(value) + " pixels");
    }
    return static_cast<int>(value);
}

TiffCompression compression_named(const ByteSource& file, std::uint64_t code) {
    switch (code) {
        case 1: return TiffCompression::none;
        case 5: return TiffCompression::lzw;
        case 8: return TiffCompression::deflate;
        default: throw file.wrong("its compression " + std::to_string(code) + " is none that is written");
    }
}

void read_tags(const ByteSource& file, const Fields& fields, FoundFile& found) {
    found.tags.size = {side(file, fields.number(256, long_type)), side(file, fields.number(257, long_type))};
    const auto bits = fields.numbers(258, short_type, 3);
    if ((bits[0] != 8 && bits[0] != 16) || bits[1] != bits[0] || bits[2] != bits[0]) {
        throw file.wrong("its samples are neither 8 nor 16 bit");
    }
    found.tags.bits = static_cast<int>(bits[0]);
    found.compression = compression_named(file, fields.number(259, short_type));
    fields.expect(262, 2);
    fields.expect(274, 1);
    fields.expect(277, 3);
    fields.expect(284, 1);
    fields.expect(296, 2);
    found.tags.ppi = {fields.fraction(282)};
    if (fields.fraction(283) != found.tags.ppi.value) throw file.wrong("its ppi differ across and down");
    if (found.compression == TiffCompression::none) {
        if (fields.found(317) != nullptr) fields.expect(317, 1);
    } else {
        fields.expect(317, 2);
    }
    found.tags.author = fields.text(315);
    found.tags.copyright = fields.text(33432);
    found.tags.icc_profile = fields.bytes(34675);
    found.other_tags = fields.others(our_tags);
}

Strips read_strip_table(const ByteSource& file, const Fields& fields, const FoundFile& found) {
    Strips strips;
    const auto height = static_cast<std::uint64_t>(found.tags.size.height);
    const std::uint64_t rows = fields.number(278, long_type);
    if (rows == 0 || rows > height) throw file.wrong("its strips have " + std::to_string(rows) + " rows");
    strips.rows_per_strip = static_cast<int>(rows);
    strips.row_bytes =
        static_cast<std::size_t>(found.tags.size.width) * 3 * static_cast<std::size_t>(found.tags.bits / 8);
    const std::uint64_t count = (height + rows - 1) / rows;
    const int type = found.big_tiff ? long8 : long_type;
    const auto offsets = fields.numbers(273, type, count);
    const auto sizes = fields.numbers(279, type, count);
    std::uint64_t next = static_cast<std::uint64_t>(file.position());
    const auto end = static_cast<std::uint64_t>(file.size());
    for (std::size_t i = 0; i < sizes.size(); ++i) {
        const std::string strip = "strip " + std::to_string(i + 1);
        if (offsets[i] != next) throw file.wrong(strip + " does not stand where it should");
        if (sizes[i] > end - next) throw file.wrong(strip + " is cut short");
        const std::uint64_t rows_here = std::min(rows, height - i * rows);
        const std::uint64_t raw = rows_here * strips.row_bytes;
        if (found.compression == TiffCompression::none && sizes[i] != raw) {
            throw file.wrong(strip + (sizes[i] < raw ? " is shorter" : " is longer") + " than it should be");
        }
        // Neither code packs tighter than some 2700 to 1: more is claimed, not held.
        if (raw / 4096 > sizes[i]) throw file.wrong(strip + " is shorter than it should be");
        next += sizes[i];
        strips.sizes.push_back(static_cast<std::int64_t>(sizes[i]));
    }
    if (next != end) throw file.wrong(std::to_string(end - next) + " bytes stand behind its last strip");
    return strips;
}

void hand_on_plain_rows(HashingReader& file, const FoundFile& found, const Strips& strips, int rows_at_once,
                        const RowSink& sink, base::Progress& progress) {
    const int height = found.tags.size.height;
    for (int row = 0; row < height; row += rows_at_once) {
        progress.report("reading back", static_cast<double>(row) / height);
        const int count = std::min(rows_at_once, height - row);
        sink(row, count, file.take(static_cast<std::int64_t>(strips.row_bytes) * count));
    }
}

/// Cuts rows that come strip by strip into the runs that the sink is promised.
class RowRuns {
  public:
    RowRuns(int height, int rows_at_once, std::size_t row_bytes, const RowSink& sink)
        : m_height(height), m_rows_at_once(rows_at_once), m_row_bytes(row_bytes), m_sink(sink) {
        m_held.reserve(static_cast<std::size_t>(rows_at_once) * row_bytes);
    }

    void add(std::span<const std::byte> rows) {
        while (!rows.empty()) {
            const int wanted = std::min(m_rows_at_once, m_height - m_first);
            const std::size_t missing = static_cast<std::size_t>(wanted) * m_row_bytes - m_held.size();
            const std::size_t taken = std::min(missing, rows.size());
            m_held.insert(m_held.end(), rows.begin(), rows.begin() + static_cast<std::ptrdiff_t>(taken));
            rows = rows.subspan(taken);
            if (taken < missing) return;
            m_sink(m_first, wanted, m_held);
            m_first += wanted;
            m_held.clear();
        }
    }

  private:
    int m_height;
    int m_rows_at_once;
    std::size_t m_row_bytes;
    const RowSink& m_sink;
    int m_first = 0;
    std::vector<std::byte> m_held;
};

/// Decodes as many strips at once as there are threads.
void decode_rows(HashingReader& file, const FoundFile& found, const Strips& strips, int rows_at_once,
                 const RowSink& sink, base::Progress& progress) {
    const int height = found.tags.size.height;
    const std::size_t strip_bytes = strips.row_bytes * static_cast<std::size_t>(strips.rows_per_strip);
    // 512 MiB of strips at once are enough to keep any machine busy.
    const std::size_t most_at_once = std::max<std::size_t>(1, (std::size_t{512} << 20) / strip_bytes);
    const std::size_t at_once =
        std::min({strips.sizes.size(), most_at_once, static_cast<std::size_t>(base::default_thread_count())});
    RowRuns runs(height, rows_at_once, strips.row_bytes, sink);
    std::vector<std::byte> samples(strip_bytes * at_once);
    base::Workers::Group decoding;
    base::Workers workers(static_cast<int>(at_once));
    for (std::size_t first = 0; first < strips.sizes.size(); first += at_once) {
        progress.report("reading back", static_cast<double>(first) / static_cast<double>(strips.sizes.size()));
        const std::size_t last = std::min(first + at_once, strips.sizes.size());
        std::int64_t coded_bytes = 0;
        for (std::size_t i = first; i < last; ++i) coded_bytes += strips.sizes[i];
        auto coded = file.take(coded_bytes);
        std::size_t filled = 0;
        for (std::size_t i = first; i < last; ++i) {
            const auto size = static_cast<std::size_t>(strips.sizes[i]);
            const std::size_t rows =
                std::min(static_cast<std::size_t>(strips.rows_per_strip),
                         static_cast<std::size_t>(height) - i * static_cast<std::size_t>(strips.rows_per_strip));
            const auto strip = coded.first(size);
            coded = coded.subspan(size);
            const auto out = std::span(samples).subspan(filled, rows * strips.row_bytes);
            filled += out.size();
            workers.submit(decoding, [&, i, strip, out](int) {
                try {
                    decode_strip(strip, found.compression, strips.row_bytes, found.tags.bits, out);
                } catch (const StripDamaged& what) {
                    throw file.wrong("strip " + std::to_string(i + 1) + " " + what.what());
                }
            });
        }
        decoding.wait();
        runs.add(std::span(samples).first(filled));
    }
}

}  // namespace

FoundFile read_tiff_back(HashingReader& file, int rows_at_once, const RowSink& sink, base::Progress& progress) {
    FoundFile found;
    found.format = FileFormat::tiff;
    const Directory directory = read_directory(file);
    found.big_tiff = directory.big;
    const Fields fields(file, directory.fields);
    read_tags(file, fields, found);
    const Strips strips = read_strip_table(file, fields, found);
    const int run = std::clamp(rows_at_once, 1, found.tags.size.height);
    if (found.compression == TiffCompression::none) {
        hand_on_plain_rows(file, found, strips, run, sink, progress);
    } else {
        decode_rows(file, found, strips, run, sink, progress);
    }
    return found;
}

}  // namespace hangtrue::raster

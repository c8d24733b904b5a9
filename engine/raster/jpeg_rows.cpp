// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/jpeg_rows.h"

#include <algorithm>
#include <array>
#include <csetjmp>
#include <cstdio>
#include <cstring>
#include <iterator>
#include <map>
#include <numeric>
#include <string_view>
#include <utility>

// jpeglib.h needs <cstdio> before it.
#include <jerror.h>
#include <jpeglib.h>

#include "engine/base/units_text.h"
#include "engine/raster/metadata.h"

namespace hangtrue::raster {
namespace {

using namespace std::string_view_literals;
using Bytes = std::span<const std::byte>;

/// Every 8x8 block of the component sampled most finely takes at least one bit of Huffman code.
constexpr double most_pixels_per_byte = 8 * 64;

/// A progressive picture needs its coefficients in memory; beyond this it is refused rather than the
/// machine brought to its knees.
constexpr std::int64_t most_decoder_bytes = std::int64_t{4} << 30;

/// An encoder makes about ten. Thousands of empty ones would keep a decoder busy for hours.
constexpr int most_scans = 500;

constexpr int eoi_marker = 0xd9;

/// What libjpeg's callbacks leave behind. Plain data: longjmp passes over it.
struct Trouble {
    jpeg_error_mgr manager;
    std::jmp_buf jump;
    char message[JMSG_LENGTH_MAX];
    int code;
    bool decoding;  ///< The header is done: a warning now means that samples are not what they were.
    bool cancelled;
    bool unreadable;  ///< The drive failed, or the file ended.
};

Trouble& trouble_of(j_common_ptr info) { return *reinterpret_cast<Trouble*>(info->err); }

[[noreturn]] void give_up(j_common_ptr info) {
    Trouble& trouble = trouble_of(info);
    trouble.code = trouble.manager.msg_code;
    trouble.manager.format_message(info, trouble.message);
    std::longjmp(trouble.jump, 1);
}

/// libjpeg goes on after a warning with grey in place of what is missing: for a print that is an error.
void judge_message(j_common_ptr info, int level) {
    if (level >= 0) return;
    const Trouble& trouble = trouble_of(info);
    const int code = trouble.manager.msg_code;
    if (code == JWRN_JFIF_MAJOR || code == JWRN_ADOBE_XFORM) return;
    // Cameras pad their files before the end, and editors between header segments.
    const bool at_end = trouble.manager.msg_parm.i[1] == eoi_marker;
    if (code == JWRN_EXTRANEOUS_DATA && (at_end || !trouble.decoding)) return;
    give_up(info);
}

void stay_silent(j_common_ptr) {}

/// Feeds libjpeg from the file by plain reads.
struct Source {
    jpeg_source_mgr manager;
    const PictureFile* file;
    const base::Progress* progress;  ///< Null while the header is read.
    std::int64_t offset;
    std::array<JOCTET, 1U << 16> buffer;
};

Source& source_of(j_decompress_ptr info) { return *reinterpret_cast<Source*>(info->src); }

void begin_source(j_decompress_ptr) {}
void end_source(j_decompress_ptr) {}

boolean fill_source(j_decompress_ptr info) {
    Source& source = source_of(info);
    if (source.progress != nullptr && source.progress->is_cancelled()) {
        trouble_of(reinterpret_cast<j_common_ptr>(info)).cancelled = true;
        give_up(reinterpret_cast<j_common_ptr>(info));
    }
    const std::ptrdiff_t got = source.file->read_some(std::as_writable_bytes(std::span(source.buffer)), source.offset);
    if (got <= 0) {
        info->err->msg_code = JERR_INPUT_EOF;
        trouble_of(reinterpret_cast<j_common_ptr>(info)).unreadable = true;
        give_up(reinterpret_cast<j_common_ptr>(info));
    }
    source.offset += got;
    source.manager.next_input_byte = source.buffer.data();
    source.manager.bytes_in_buffer = static_cast<std::size_t>(got);
    return TRUE;
}

void skip_source(j_decompress_ptr info, long count) {
    if (count <= 0) return;
    Source& source = source_of(info);
    const auto wanted = static_cast<std::size_t>(count);
    if (wanted <= source.manager.bytes_in_buffer) {
        source.manager.next_input_byte += wanted;
        source.manager.bytes_in_buffer -= wanted;
    } else {
        source.offset += static_cast<std::int64_t>(wanted - source.manager.bytes_in_buffer);
        source.manager.bytes_in_buffer = 0;
    }
}

/// One libjpeg decompressor on one file, from its making to its end.
class Decoder {
  public:
    explicit Decoder(std::shared_ptr<const PictureFile> file) : m_file(std::move(file)) {
        m_trouble.manager = {};
        m_info.err = jpeg_std_error(&m_trouble.manager);
        m_trouble.manager.error_exit = give_up;
        m_trouble.manager.emit_message = judge_message;
        m_trouble.manager.output_message = stay_silent;
        m_source.manager.init_source = begin_source;
        m_source.manager.fill_input_buffer = fill_source;
        m_source.manager.skip_input_data = skip_source;
        m_source.manager.resync_to_restart = jpeg_resync_to_restart;
        m_source.manager.term_source = end_source;
        m_source.file = m_file.get();
        guarded([&] { jpeg_create_decompress(&m_info); });
        m_info.src = &m_source.manager;
        m_info.mem->max_memory_to_use = most_decoder_bytes;
    }
    ~Decoder() { jpeg_destroy_decompress(&m_info); }
    Decoder(const Decoder&) = delete;
    Decoder& operator=(const Decoder&) = delete;

    const jpeg_decompress_struct& info() const { return m_info; }

    void read_header() {
        guarded([&] {
            for (const int marker : {JPEG_APP0 + 1, JPEG_APP0 + 2, JPEG_APP0 + 13}) {
                jpeg_save_markers(&m_info, marker, 0xffff);
            }
            jpeg_read_header(&m_info, TRUE);
            m_has_many_scans = jpeg_has_multiple_scans(&m_info) != FALSE;
        });
        m_info.dct_method = JDCT_ISLOW;
        m_info.out_color_space = m_info.jpeg_color_space == JCS_GRAYSCALE ? JCS_GRAYSCALE : JCS_RGB;
    }

    /// Of the luminance, or of the first of R, G and B, as PictureInfo has it: steps of the table against those of
    /// ITU-T T.81, table K.1, whose sum is 3688.
    double coding() const {
        const JQUANT_TBL* table = m_info.quant_tbl_ptrs[m_info.comp_info[0].quant_tbl_no];
        if (table == nullptr) return 0;
        const double sum = std::accumulate(std::begin(table->quantval), std::end(table->quantval), 0.0);
        return std::max(0.0, sum / 3688 - 64.0 / 3688);
    }

    /// Progressive, or the colours one after the other.
    bool has_many_scans() const { return m_has_many_scans; }

    /// What libjpeg keeps of a picture in many scans: 16 bits a coefficient.
    std::int64_t coefficient_bytes() const {
        std::int64_t blocks = 0;
        for (int i = 0; i < m_info.num_components; ++i) {
            const jpeg_component_info& part = m_info.comp_info[i];
            const auto up = [](std::int64_t value, int step) { return (value + step - 1) / step * step; };
            blocks += up(part.width_in_blocks, part.h_samp_factor) * up(part.height_in_blocks, part.v_samp_factor);
        }
        return blocks * DCTSIZE2 * std::int64_t{sizeof(JCOEF)};
    }

    /// Makes the first row ready; reads all scans where there are many. May be called again for those: the
    /// coefficients are kept.
    void start(const base::Progress& progress) {
        m_source.progress = &progress;
        m_trouble.decoding = true;
        guarded([&] {
            if (!m_has_many_scans) {
                jpeg_start_decompress(&m_info);
                return;
            }
            if (m_info.buffered_image != FALSE) {
                jpeg_finish_output(&m_info);
            } else {
                m_info.buffered_image = TRUE;
                jpeg_start_decompress(&m_info);
                read_all_scans(progress);
            }
            jpeg_start_output(&m_info, m_info.input_scan_number);
        });
        m_source.progress = nullptr;
    }

    void read_row(std::span<std::byte> row) {
        guarded([&] {
            JSAMPROW samples = reinterpret_cast<JSAMPROW>(row.data());
            jpeg_read_scanlines(&m_info, &samples, 1);
        });
    }

  private:
    /// Runs `call`, which must hold nothing that needs destroying: libjpeg leaves it by longjmp. What went
    /// wrong in it is thrown from here.
    template <typename Call>
    void guarded(Call call) {
        if (setjmp(m_trouble.jump) == 0) {
            call();
            return;
        }
        if (m_trouble.cancelled) throw base::Cancelled();
        throw what_went_wrong();
    }

    void read_all_scans(const base::Progress& progress) {
        int status = JPEG_SUSPENDED;
        while (status != JPEG_REACHED_EOI) {
            status = jpeg_consume_input(&m_info);
            if (progress.is_cancelled()) {
                m_trouble.cancelled = true;
                give_up(reinterpret_cast<j_common_ptr>(&m_info));
            }
            if (m_info.input_scan_number > most_scans) {
                m_info.err->msg_code = JERR_BAD_PROGRESSION;
                give_up(reinterpret_cast<j_common_ptr>(&m_info));
            }
        }
    }

    base::UnreadableInput what_went_wrong() const {
        switch (m_trouble.code) {
            case JERR_BAD_PRECISION:
                return refused(m_file->name(),
                               "it is a JPEG of 12 bits, which hardly any program reads. Save it as a TIFF.");
            case JERR_SOF_UNSUPPORTED:
                return refused(m_file->name(),
                               "it is a JPEG of a rare kind (lossless or hierarchical). Save it as a TIFF.");
            case JERR_OUT_OF_MEMORY:
            case JERR_NO_BACKING_STORE:
                return refused(m_file->name(),
                               "it needs more memory than there is. Save it as a baseline JPEG or as a TIFF.");
            default: return damaged(m_file->name(), m_trouble.unreadable ? "it ends too early" : m_trouble.message);
        }
    }

    std::shared_ptr<const PictureFile> m_file;
    Trouble m_trouble{};
    Source m_source{};
    jpeg_decompress_struct m_info{};
    bool m_has_many_scans = false;
};

class JpegRows final : public SequentialRows {
  public:
    JpegRows(std::shared_ptr<const PictureFile> file, std::size_t bytes_per_row, std::int64_t decoder_bytes)
        : SequentialRows(bytes_per_row), m_file(std::move(file)), m_decoder_bytes(decoder_bytes) {}

    std::int64_t decoder_bytes() const override { return m_decoder_bytes; }

  private:
    void start(base::Progress& progress) override {
        if (m_decoder == nullptr || !m_is_whole) {
            m_decoder = std::make_unique<Decoder>(m_file);
            m_decoder->read_header();
        }
        const bool many = m_decoder->has_many_scans();
        m_is_whole = false;
        m_decoder->start(progress);
        m_is_whole = many;
    }
    void decode(std::span<std::byte> row) override { m_decoder->read_row(row); }

    std::shared_ptr<const PictureFile> m_file;
    std::int64_t m_decoder_bytes;
    std::unique_ptr<Decoder> m_decoder;
    bool m_is_whole = false;  ///< The decoder has all coefficients and can begin again from them.
};

Bytes marker_bytes(const jpeg_marker_struct& marker) {
    return {reinterpret_cast<const std::byte*>(marker.data), marker.data_length};
}

bool begins_with(Bytes bytes, std::string_view text) {
    return bytes.size() >= text.size() && std::memcmp(bytes.data(), text.data(), text.size()) == 0;
}

/// The profile from its numbered pieces (ICC.1:2010, annex B.4).
std::vector<std::byte> icc_profile(const jpeg_decompress_struct& info, const PictureFile& file) {
    constexpr std::string_view heading = "ICC_PROFILE\0"sv;
    std::map<int, Bytes> pieces;
    int count = 0;
    for (const jpeg_marker_struct* marker = info.marker_list; marker != nullptr; marker = marker->next) {
        const Bytes bytes = marker_bytes(*marker);
        if (marker->marker != JPEG_APP0 + 2 || !begins_with(bytes, heading) || bytes.size() < heading.size() + 2)
            continue;
        count = std::to_integer<int>(bytes[heading.size() + 1]);
        pieces.emplace(std::to_integer<int>(bytes[heading.size()]), bytes.subspan(heading.size() + 2));
    }
    std::vector<std::byte> profile;
    for (int number = 1; number <= count; ++number) {
        const auto piece = pieces.find(number);
        if (piece == pieces.end()) throw damaged(file.name(), "a piece of its colour profile is missing");
        profile.insert(profile.end(), piece->second.begin(), piece->second.end());
    }
    return profile;
}

/// JFIF 1.02's density, in inches or centimetres; without JFIF libjpeg says no unit.
base::PixelsPerInch ppi_of(const jpeg_decompress_struct& info) {
    if (info.density_unit != 1 && info.density_unit != 2) return {};
    const double in_an_inch = info.density_unit == 1 ? 1 : base::millimetres_per_inch / 10;
    return stated_ppi(info.X_density * in_an_inch, info.Y_density * in_an_inch);
}

void take_metadata(const jpeg_decompress_struct& info, PictureInfo& picture) {
    constexpr std::string_view exif_heading = "Exif\0\0"sv;
    constexpr std::string_view xmp_heading = "http://ns.adobe.com/xap/1.0/\0"sv;
    constexpr std::string_view resources_heading = "Photoshop 3.0\0"sv;
    ExifFacts exif;
    Credit xmp;
    std::vector<std::byte> resources;  // Split over several segments where they are long.
    bool has_exif = false;
    for (const jpeg_marker_struct* marker = info.marker_list; marker != nullptr; marker = marker->next) {
        const Bytes bytes = marker_bytes(*marker);
        if (begins_with(bytes, exif_heading) && !has_exif) {
            has_exif = true;
            exif = exif_facts(bytes.subspan(exif_heading.size()));
        } else if (begins_with(bytes, xmp_heading)) {
            const Bytes packet = bytes.subspan(xmp_heading.size());
            xmp = credit_from_xmp({reinterpret_cast<const char*>(packet.data()), packet.size()});
        } else if (begins_with(bytes, resources_heading)) {
            const Bytes more = bytes.subspan(resources_heading.size());
            resources.insert(resources.end(), more.begin(), more.end());
        }
    }
    const Credit credit = first_of(xmp, exif.credit, credit_from_iptc(iptc_in_resources(resources)));
    picture.copyright = credit.copyright;
    picture.author = credit.author;
    picture.orientation = exif.orientation;
}

void require_usable(const jpeg_decompress_struct& info, const PictureFile& file) {
    if (info.jpeg_color_space == JCS_CMYK || info.jpeg_color_space == JCS_YCCK) {
        throw refused(file.name(),
                      "it is in CMYK, inks instead of light. Go back to the RGB original, or convert it to "
                      "Adobe RGB or sRGB in your editor.");
    }
    const bool is_known = info.jpeg_color_space == JCS_GRAYSCALE || info.jpeg_color_space == JCS_RGB ||
                          info.jpeg_color_space == JCS_YCbCr;
    if (!is_known) {
        throw refused(file.name(), "it has " + std::to_string(info.num_components) +
                                       " channels of an unknown kind. Save it as RGB in your editor.");
    }
    if (info.arith_code != FALSE) {
        throw refused(
            file.name(),
            "it is an arithmetic-coded JPEG, which hardly any program reads. Save it as an ordinary JPEG or TIFF.");
    }
}

}  // namespace

StoredPicture open_jpeg(std::shared_ptr<const PictureFile> file) {
    Decoder decoder(file);
    decoder.read_header();
    const jpeg_decompress_struct& info = decoder.info();
    require_usable(info, *file);
    require_plausible_size(*file, info.image_width, info.image_height, most_pixels_per_byte);
    PictureInfo picture;
    picture.format = FileFormat::jpeg;
    picture.size = {static_cast<int>(info.image_width), static_cast<int>(info.image_height)};
    picture.model = info.jpeg_color_space == JCS_GRAYSCALE ? SampleModel::grey : SampleModel::rgb;
    picture.bits = 8;
    picture.icc_profile = icc_profile(info, *file);
    picture.ppi = ppi_of(info);
    picture.jpeg_coding = decoder.coding();
    take_metadata(info, picture);
    const std::int64_t kept = decoder.has_many_scans() ? decoder.coefficient_bytes() : 0;
    if (kept > most_decoder_bytes) {
        throw refused(file->name(), "it is a progressive JPEG that needs " + base::bytes_text(kept) +
                                        " of memory. Save it as a baseline JPEG or as a TIFF.");
    }
    auto rows = std::make_unique<JpegRows>(file, picture.bytes_per_row(), kept);
    return {std::move(picture), std::move(rows)};
}

}  // namespace hangtrue::raster

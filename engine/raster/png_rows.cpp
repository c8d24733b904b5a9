// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/png_rows.h"

#include <png.h>

#include <algorithm>
#include <bit>
#include <csetjmp>
#include <cstdio>
#include <new>
#include <string_view>
#include <utility>

#include "engine/base/units_text.h"
#include "engine/raster/metadata.h"

namespace hangtrue::raster {
namespace {

using Bytes = std::span<const std::byte>;

/// Deflate makes at most 258 bytes of 2 bits (RFC 1951).
constexpr double most_bytes_per_byte = 1032;

/// An interlaced picture lies in memory whole; beyond this it is refused.
constexpr std::int64_t most_decoder_bytes = std::int64_t{4} << 30;

/// Text and profiles longer than this are no credit line and no profile of a picture.
constexpr png_alloc_size_t most_chunk_bytes = 64U << 20;

/// What libpng's callbacks need and leave behind. Plain data: longjmp passes over it.
struct Session {
    const PictureFile* file;
    std::int64_t offset;
    std::jmp_buf jump;
    char message[128];
    bool profile_dropped;  ///< libpng found the profile wrong and goes on without one.
};

Session& session_of(void* pointer) { return *static_cast<Session*>(pointer); }

[[noreturn]] void give_up(png_structp png, png_const_charp message) {
    Session& session = session_of(png_get_error_ptr(png));
    std::snprintf(session.message, sizeof session.message, "%s", message);
    std::longjmp(session.jump, 1);
}

/// Warnings are about chunks that do not touch the samples; only the profile's matters.
void note_warning(png_structp png, png_const_charp message) {
    if (std::string_view(message).starts_with("iCCP")) session_of(png_get_error_ptr(png)).profile_dropped = true;
}

void read_bytes(png_structp png, png_bytep bytes, std::size_t count) {
    Session& session = session_of(png_get_io_ptr(png));
    const std::ptrdiff_t got = session.file->read_some(std::as_writable_bytes(std::span(bytes, count)), session.offset);
    if (got != static_cast<std::ptrdiff_t>(count)) png_error(png, "it ends too early");
    session.offset += got;
}

/// One libpng reader on one file, from its making to its end.
class Decoder {
  public:
    explicit Decoder(std::shared_ptr<const PictureFile> file) : m_file(std::move(file)) {
        m_session.file = m_file.get();
        m_png = png_create_read_struct(PNG_LIBPNG_VER_STRING, &m_session, give_up, note_warning);
        if (m_png == nullptr) throw std::bad_alloc();
        m_info = png_create_info_struct(m_png);
        if (m_info == nullptr) {
            png_destroy_read_struct(&m_png, nullptr, nullptr);
            throw std::bad_alloc();
        }
        png_set_read_fn(m_png, &m_session, read_bytes);
        png_set_user_limits(m_png, longest_side, longest_side);
        png_set_chunk_malloc_max(m_png, most_chunk_bytes);
    }
    ~Decoder() { png_destroy_read_struct(&m_png, &m_info, nullptr); }
    Decoder(const Decoder&) = delete;
    Decoder& operator=(const Decoder&) = delete;

    png_structp png() const { return m_png; }
    png_infop info() const { return m_info; }

    void read_header() {
        guarded([&] { png_read_info(m_png, m_info); });
        if (m_session.profile_dropped && png_get_valid(m_png, m_info, PNG_INFO_iCCP) == 0) {
            throw damaged(m_file->name(), "its colour profile is wrong, or not made for such a picture");
        }
    }

    /// After read_header: samples come as 8 or 16-bit grey or RGB, the machine's byte order.
    void start() {
        guarded([&] {
            const int type = png_get_color_type(m_png, m_info);
            const int depth = png_get_bit_depth(m_png, m_info);
            if (type == PNG_COLOR_TYPE_PALETTE) png_set_palette_to_rgb(m_png);
            if (type == PNG_COLOR_TYPE_GRAY && depth < 8) png_set_expand_gray_1_2_4_to_8(m_png);
            if (depth == 16 && std::endian::native == std::endian::little) png_set_swap(m_png);
            m_passes = png_set_interlace_handling(m_png);
            png_read_update_info(m_png, m_info);
        });
    }

    int passes() const { return m_passes; }

    void read_row(std::span<std::byte> row) {
        guarded([&] { png_read_row(m_png, reinterpret_cast<png_bytep>(row.data()), nullptr); });
    }

    /// After the last row: the check sums of the last samples stand there.
    void finish() {
        guarded([&] { png_read_end(m_png, nullptr); });
    }

  private:
    /// Runs `call`, which must hold nothing that needs destroying: libpng leaves it by longjmp.
    template <typename Call>
    void guarded(Call call) {
        if (setjmp(m_session.jump) != 0) throw damaged(m_file->name(), m_session.message);
        call();
    }

    std::shared_ptr<const PictureFile> m_file;
    Session m_session{};
    png_structp m_png = nullptr;
    png_infop m_info = nullptr;
    int m_passes = 1;
};

class PngRows final : public SequentialRows {
  public:
    PngRows(std::shared_ptr<const PictureFile> file, std::size_t bytes_per_row, int height)
        : SequentialRows(bytes_per_row), m_file(std::move(file)), m_height(height) {}

  private:
    void start(base::Progress&) override {
        m_decoder = std::make_unique<Decoder>(m_file);
        m_decoder->read_header();
        m_decoder->start();
        m_left = m_height;
    }
    void decode(std::span<std::byte> row) override {
        m_decoder->read_row(row);
        if (--m_left == 0) m_decoder->finish();
    }

    std::shared_ptr<const PictureFile> m_file;
    int m_height;
    int m_left = 0;
    std::unique_ptr<Decoder> m_decoder;
};

/// Seven passes over the whole picture, done when the first row is asked for.
class InterlacedPngRows final : public StoredRows {
  public:
    InterlacedPngRows(std::shared_ptr<const PictureFile> file, std::size_t bytes_per_row, int height)
        : m_file(std::move(file)), m_bytes_per_row(bytes_per_row), m_height(height) {}

    void read(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        if (m_samples.empty()) decode(progress);
        const std::size_t from = m_bytes_per_row * static_cast<std::size_t>(first);
        const std::size_t length = m_bytes_per_row * static_cast<std::size_t>(count);
        std::copy_n(m_samples.begin() + static_cast<std::ptrdiff_t>(from), length, out.begin());
    }
    bool any_place() const override { return true; }
    std::int64_t decoder_bytes() const override { return static_cast<std::int64_t>(m_bytes_per_row) * m_height; }

  private:
    void decode(base::Progress& progress) {
        std::vector<std::byte> samples;
        try {
            samples.resize(m_bytes_per_row * static_cast<std::size_t>(m_height));
        } catch (const std::bad_alloc&) {
            throw refused(m_file->name(), "it is an interlaced PNG that needs " + base::bytes_text(decoder_bytes()) +
                                              " of memory. Save it without interlacing, or as a TIFF.");
        }
        Decoder decoder(m_file);
        decoder.read_header();
        decoder.start();
        for (int pass = 0; pass < decoder.passes(); ++pass) {
            for (std::size_t at = 0; at < samples.size(); at += m_bytes_per_row) {
                progress.check();
                decoder.read_row(std::span(samples).subspan(at, m_bytes_per_row));
            }
        }
        decoder.finish();
        m_samples = std::move(samples);
    }

    std::shared_ptr<const PictureFile> m_file;
    std::size_t m_bytes_per_row;
    int m_height;
    std::vector<std::byte> m_samples;
};

std::string refusal(png_const_structp png, png_const_infop info) {
    const bool has_alpha =
        (png_get_color_type(png, info) & PNG_COLOR_MASK_ALPHA) != 0 || png_get_valid(png, info, PNG_INFO_tRNS) != 0;
    if (!has_alpha) return {};
    return "it has transparency, and a print has none. Flatten it onto white, or onto what you like, in your editor.";
}

std::vector<std::byte> icc_profile(png_const_structp png, png_infop info) {
    png_charp name = nullptr;
    int compression = 0;
    png_bytep profile = nullptr;
    png_uint_32 length = 0;
    if (png_get_iCCP(png, info, &name, &compression, &profile, &length) == 0) return {};
    const Bytes bytes = std::as_bytes(std::span(profile, length));
    return {bytes.begin(), bytes.end()};
}

base::PixelsPerInch ppi_of(png_const_structp png, png_const_infop info) {
    constexpr double metres_per_inch = base::millimetres_per_inch / 1000;
    // 0 where the chunk is missing, or says no more than the shape of a pixel.
    return stated_ppi(png_get_x_pixels_per_meter(png, info) * metres_per_inch,
                      png_get_y_pixels_per_meter(png, info) * metres_per_inch);
}

void take_metadata(png_structp png, png_infop info, PictureInfo& picture) {
    ExifFacts exif;
    png_uint_32 exif_length = 0;
    png_bytep exif_bytes = nullptr;
    if (png_get_eXIf_1(png, info, &exif_length, &exif_bytes) != 0) {
        exif = exif_facts(std::as_bytes(std::span(exif_bytes, exif_length)));
    }
    Credit xmp;
    Credit chunks;  // The keywords that the PNG specification names (11.3.3.2).
    png_textp texts = nullptr;
    int count = 0;
    png_get_text(png, info, &texts, &count);
    for (const png_text& text : std::span(texts, static_cast<std::size_t>(count))) {
        const std::string_view key = text.key;
        const std::size_t length = text.itxt_length > 0 ? text.itxt_length : text.text_length;
        const std::string_view value(text.text, length);
        if (key == "XML:com.adobe.xmp") xmp = credit_from_xmp(value);
        if (key == "Copyright") chunks.copyright = tidy_text(value);
        if (key == "Author") chunks.author = tidy_text(value);
    }
    const Credit credit = first_of(xmp, exif.credit, chunks);
    picture.copyright = credit.copyright;
    picture.author = credit.author;
    picture.orientation = exif.orientation;
}

std::string conversion_note(int type, int depth) {
    if (type == PNG_COLOR_TYPE_PALETTE) return "palette picture, read as 8-bit RGB";
    if (depth < 8) return std::to_string(depth) + "-bit picture, read as 8-bit grey";
    return {};
}

}  // namespace

StoredPicture open_png(std::shared_ptr<const PictureFile> file) {
    Decoder decoder(file);
    decoder.read_header();
    png_structp png = decoder.png();
    png_infop info = decoder.info();
    if (const std::string reason = refusal(png, info); !reason.empty()) throw refused(file->name(), reason);

    const int type = png_get_color_type(png, info);
    const int depth = png_get_bit_depth(png, info);
    const std::int64_t width = png_get_image_width(png, info);
    const std::int64_t height = png_get_image_height(png, info);
    require_plausible_size(*file, width, height, most_bytes_per_byte * 8 / (depth * png_get_channels(png, info)));

    PictureInfo picture;
    picture.format = FileFormat::png;
    picture.size = {static_cast<int>(width), static_cast<int>(height)};
    picture.model = type == PNG_COLOR_TYPE_GRAY ? SampleModel::grey : SampleModel::rgb;
    picture.bits = depth == 16 ? 16 : 8;
    picture.icc_profile = icc_profile(png, info);
    picture.notes = conversion_note(type, depth);
    picture.ppi = ppi_of(png, info);
    take_metadata(png, info, picture);

    const std::size_t bytes_per_row = picture.bytes_per_row();
    if (png_get_interlace_type(png, info) == PNG_INTERLACE_NONE) {
        auto rows = std::make_unique<PngRows>(file, bytes_per_row, picture.size.height);
        return {std::move(picture), std::move(rows)};
    }
    auto rows = std::make_unique<InterlacedPngRows>(file, bytes_per_row, picture.size.height);
    if (rows->decoder_bytes() > most_decoder_bytes) {
        throw refused(file->name(), "it is an interlaced PNG that needs " + base::bytes_text(rows->decoder_bytes()) +
                                        " of memory. Save it without interlacing, or as a TIFF.");
    }
    return {std::move(picture), std::move(rows)};
}

}  // namespace hangtrue::raster

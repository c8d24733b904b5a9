// SPDX-License-Identifier: Apache-2.0

// PNG through libpng, with fixed settings, so that the same samples give the same bytes.

#include <png.h>

#include <bit>
#include <cassert>
#include <csetjmp>
#include <exception>
#include <new>
#include <string>

#include "engine/base/error.h"
#include "engine/raster/print_writer.h"

namespace hangtrue::raster {
namespace {

constexpr int deflate_level = 6;

/// What libpng's callbacks need, and what they could not throw through it.
struct Sink {
    base::OutputFile& file;
    std::exception_ptr failure;
    std::string complaint;
};

void take_bytes(png_structp png, png_bytep bytes, std::size_t count) noexcept {
    auto* sink = static_cast<Sink*>(png_get_io_ptr(png));
    try {
        sink->file.write({reinterpret_cast<const std::byte*>(bytes), count});
        return;
    } catch (...) {
        sink->failure = std::current_exception();
    }
    png_error(png, "writing failed");
}

void nothing_to_flush(png_structp) noexcept {}

void complain(png_structp png, png_const_charp text) noexcept {
    static_cast<Sink*>(png_get_error_ptr(png))->complaint = text;
    png_longjmp(png, 1);
}

void ignore_warning(png_structp, png_const_charp) noexcept {}

class PngEncoder {
  public:
    explicit PngEncoder(Sink& sink)
        : m_png(png_create_write_struct(PNG_LIBPNG_VER_STRING, &sink, complain, ignore_warning)),
          m_info(m_png != nullptr ? png_create_info_struct(m_png) : nullptr) {
        if (m_info == nullptr) {
            png_destroy_write_struct(&m_png, nullptr);
            throw std::bad_alloc();
        }
        png_set_write_fn(m_png, &sink, take_bytes, nothing_to_flush);
    }
    ~PngEncoder() { png_destroy_write_struct(&m_png, &m_info); }
    PngEncoder(const PngEncoder&) = delete;
    PngEncoder& operator=(const PngEncoder&) = delete;

    /// False when libpng gave up. Holds nothing with a destructor: libpng leaves by longjmp.
    bool write(base::PixelSize size, int channels, int bits, std::span<const std::byte> samples,
               std::span<const std::byte> icc_profile) noexcept {
        if (setjmp(png_jmpbuf(m_png)) != 0) return false;
        png_set_compression_level(m_png, deflate_level);
        png_set_filter(m_png, PNG_FILTER_TYPE_BASE, PNG_FILTER_SUB);
        // A profile that libpng finds odd is the picture's own all the same.
        png_set_benign_errors(m_png, 1);
        png_set_IHDR(m_png, m_info, static_cast<png_uint_32>(size.width), static_cast<png_uint_32>(size.height), bits,
                     channels == 3 ? PNG_COLOR_TYPE_RGB : PNG_COLOR_TYPE_GRAY, PNG_INTERLACE_NONE,
                     PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
        if (!icc_profile.empty()) {
            png_set_iCCP(m_png, m_info, "ICC profile", PNG_COMPRESSION_TYPE_BASE,
                         reinterpret_cast<png_const_bytep>(icc_profile.data()),
                         static_cast<png_uint_32>(icc_profile.size()));
        }
        png_write_info(m_png, m_info);
        if (bits == 16 && std::endian::native == std::endian::little) png_set_swap(m_png);
        const std::size_t row_bytes = static_cast<std::size_t>(size.width) * static_cast<std::size_t>(channels * bits / 8);
        for (std::size_t at = 0; at < samples.size(); at += row_bytes) {
            png_write_row(m_png, reinterpret_cast<png_const_bytep>(samples.data() + at));
        }
        png_write_end(m_png, m_info);
        return true;
    }

  private:
    png_structp m_png;
    png_infop m_info;
};

}  // namespace

void write_png(const std::filesystem::path& name, base::PixelSize size, int channels, int bits,
               std::span<const std::byte> samples, std::span<const std::byte> icc_profile,
               base::OutputFile::Existing existing, base::Faults& faults) {
    assert((channels == 1 || channels == 3) && (bits == 8 || bits == 16));
    assert(samples.size() == static_cast<std::size_t>(size.count()) * static_cast<std::size_t>(channels * bits / 8));
    base::OutputFile file(name, existing, faults);
    Sink sink{file, nullptr, {}};
    {
        PngEncoder encoder(sink);
        if (!encoder.write(size, channels, bits, samples, icc_profile)) {
            if (sink.failure) std::rethrow_exception(sink.failure);
            throw base::WriteFailed(name.string() + " cannot be written as a PNG: " + sink.complaint + ".");
        }
    }
    file.sync();
    file.name_it();
}

}  // namespace hangtrue::raster

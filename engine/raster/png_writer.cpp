// SPDX-License-Identifier: Apache-2.0

// PNG through libpng, with fixed settings, so that the same samples give the same bytes.

#include <png.h>

#include <bit>
#include <cassert>
#include <cmath>
#include <csetjmp>
#include <exception>
#include <new>
#include <string>
#include <utility>

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

}  // namespace

struct PngWriter::State {
    Sink sink;
    PngForm form;
    png_structp png = nullptr;
    png_infop info = nullptr;
    int rows_written = 0;

    State(base::OutputFile& file, PngForm wanted)
        : sink{file, nullptr, {}},
          form(std::move(wanted)),
          png(png_create_write_struct(PNG_LIBPNG_VER_STRING, &sink, complain, ignore_warning)),
          info(png != nullptr ? png_create_info_struct(png) : nullptr) {
        if (info == nullptr) {
            png_destroy_write_struct(&png, nullptr);
            throw std::bad_alloc();
        }
        png_set_write_fn(png, &sink, take_bytes, nothing_to_flush);
    }
    ~State() { png_destroy_write_struct(&png, &info); }
    State(const State&) = delete;
    State& operator=(const State&) = delete;

    std::size_t row_bytes() const {
        return static_cast<std::size_t>(form.size.width) * static_cast<std::size_t>(form.channels * form.bits / 8);
    }

    /// Runs `step`, which must hold nothing that needs destroying: libpng leaves it by longjmp.
    template <typename Step>
    void guarded(Step step) {
        if (setjmp(png_jmpbuf(png)) == 0) {
            step();
            return;
        }
        if (sink.failure) std::rethrow_exception(std::exchange(sink.failure, nullptr));
        throw base::WriteFailed(sink.file.final_name().string() + " cannot be written as a PNG: " + sink.complaint +
                                ".");
    }

    void write_header() {
        png_set_compression_level(png, deflate_level);
        png_set_filter(png, PNG_FILTER_TYPE_BASE, PNG_FILTER_SUB);
        // A profile that libpng finds odd is the picture's own all the same.
        png_set_benign_errors(png, 1);
        png_set_IHDR(png, info, static_cast<png_uint_32>(form.size.width), static_cast<png_uint_32>(form.size.height),
                     form.bits, form.channels == 3 ? PNG_COLOR_TYPE_RGB : PNG_COLOR_TYPE_GRAY, PNG_INTERLACE_NONE,
                     PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
        if (form.ppi.value > 0) {
            const auto in_a_metre =
                static_cast<png_uint_32>(std::lround(form.ppi.value * 1000 / base::millimetres_per_inch));
            png_set_pHYs(png, info, in_a_metre, in_a_metre, PNG_RESOLUTION_METER);
        }
        if (!form.icc_profile.empty()) {
            png_set_iCCP(png, info, "ICC profile", PNG_COMPRESSION_TYPE_BASE,
                         reinterpret_cast<png_const_bytep>(form.icc_profile.data()),
                         static_cast<png_uint_32>(form.icc_profile.size()));
        }
        png_write_info(png, info);
        if (form.bits == 16 && std::endian::native == std::endian::little) png_set_swap(png);
    }
};

PngWriter::PngWriter(base::OutputFile& file, const PngForm& form) : m_state(std::make_unique<State>(file, form)) {
    assert((form.channels == 1 || form.channels == 3) && (form.bits == 8 || form.bits == 16));
    assert(form.size.width > 0 && form.size.height > 0);
    m_state->guarded([state = m_state.get()] { state->write_header(); });
}

PngWriter::~PngWriter() = default;

void PngWriter::append_rows(std::span<const std::byte> samples) {
    State* const state = m_state.get();
    const std::size_t row_bytes = state->row_bytes();
    assert(samples.size() % row_bytes == 0);
    state->rows_written += static_cast<int>(samples.size() / row_bytes);
    assert(state->rows_written <= state->form.size.height);
    state->guarded([=] {
        for (std::size_t at = 0; at < samples.size(); at += row_bytes) {
            png_write_row(state->png, reinterpret_cast<png_const_bytep>(samples.data() + at));
        }
    });
}

void PngWriter::finish() {
    State* const state = m_state.get();
    assert(state->rows_written == state->form.size.height);
    state->guarded([=] { png_write_end(state->png, state->info); });
}

}  // namespace hangtrue::raster

// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/jpeg_read_back.h"

#include <algorithm>
#include <array>
#include <csetjmp>
#include <cstdio>
#include <exception>
#include <jpeglib.h>
#include <utility>

#include "engine/raster/jpeg_markers.h"

namespace hangtrue::raster {
namespace {

/// A libjpeg decompressor that is fed from the file. Whatever it warns of is damage.
class Decoder {
  public:
    Decoder(HashingReader& file, std::span<const std::byte> header) : m_file(file) {
        m_info.err = jpeg_std_error(&m_errors);
        m_errors.error_exit = [](j_common_ptr info) { of(info).leave(); };
        m_errors.emit_message = [](j_common_ptr info, int level) {
            if (level < 0) of(info).leave();
        };
        m_errors.output_message = [](j_common_ptr) {};
        m_info.client_data = this;
        guarded([](j_decompress_ptr info) { jpeg_create_decompress(info); });
        m_source.init_source = [](j_decompress_ptr) {};
        m_source.term_source = [](j_decompress_ptr) {};
        m_source.resync_to_restart = jpeg_resync_to_restart;
        m_source.fill_input_buffer = [](j_decompress_ptr info) -> boolean {
            of(info).read_on();
            return TRUE;
        };
        m_source.skip_input_data = [](j_decompress_ptr info, long count) { of(info).skip(count); };
        m_source.next_input_byte = reinterpret_cast<const JOCTET*>(header.data());
        m_source.bytes_in_buffer = header.size();
        m_info.src = &m_source;
    }
    ~Decoder() { jpeg_destroy_decompress(&m_info); }
    Decoder(const Decoder&) = delete;
    Decoder& operator=(const Decoder&) = delete;

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
        throw m_file.wrong("its samples are damaged (" + std::string(text.data()) + ")");
    }

    std::int64_t bytes_left() const { return static_cast<std::int64_t>(m_source.bytes_in_buffer) + m_file.left(); }

  private:
    template <typename Info>
    static Decoder& of(Info* info) {
        return *static_cast<Decoder*>(info->client_data);
    }

    [[noreturn]] void leave() { std::longjmp(m_escape, 1); }

    void read_on() {
        try {
            constexpr std::int64_t chunk = std::int64_t{1} << 20;
            if (m_file.left() == 0) throw m_file.wrong("it ends too early");
            const auto bytes = m_file.take(std::min(chunk, m_file.left()));
            m_source.next_input_byte = reinterpret_cast<const JOCTET*>(bytes.data());
            m_source.bytes_in_buffer = bytes.size();
        } catch (...) {
            m_failure = std::current_exception();
        }
        if (m_failure) leave();
    }

    void skip(long count) {
        while (count > static_cast<long>(m_source.bytes_in_buffer)) {
            count -= static_cast<long>(m_source.bytes_in_buffer);
            read_on();
        }
        if (count <= 0) return;
        m_source.next_input_byte += count;
        m_source.bytes_in_buffer -= static_cast<std::size_t>(count);
    }

    HashingReader& m_file;
    jpeg_decompress_struct m_info{};
    jpeg_error_mgr m_errors{};
    jpeg_source_mgr m_source{};
    std::jmp_buf m_escape{};
    std::exception_ptr m_failure;
};

}  // namespace

FoundFile read_jpeg_back(HashingReader& file, int rows_at_once, const RowSink& sink, base::Progress& progress) {
    FoundFile found;
    found.format = FileFormat::jpeg;
    const std::vector<std::byte> header = read_jpeg_header(file, found);

    Decoder decoder(file, header);
    decoder.guarded([](j_decompress_ptr info) {
        jpeg_read_header(info, TRUE);
        info->out_color_space = JCS_RGB;
        info->dct_method = JDCT_ISLOW;
        jpeg_start_decompress(info);
    });
    const int height = found.tags.size.height;
    const int run = std::clamp(rows_at_once, 1, height);
    const std::size_t row_bytes = static_cast<std::size_t>(found.tags.size.width) * 3;
    std::vector<std::byte> samples(row_bytes * static_cast<std::size_t>(run));
    for (int first = 0; first < height; first += run) {
        progress.report("reading back", static_cast<double>(first) / height);
        const int count = std::min(run, height - first);
        std::byte* const rows = samples.data();
        decoder.guarded([=](j_decompress_ptr info) {
            for (int row = 0; row < count; ++row) {
                auto* line = reinterpret_cast<JSAMPROW>(rows + row_bytes * static_cast<std::size_t>(row));
                jpeg_read_scanlines(info, &line, 1);
            }
        });
        sink(first, count, std::span(samples).first(row_bytes * static_cast<std::size_t>(count)));
    }
    decoder.guarded([](j_decompress_ptr info) { jpeg_finish_decompress(info); });
    if (decoder.bytes_left() != 0) {
        throw file.wrong(std::to_string(decoder.bytes_left()) + " bytes stand behind its end");
    }
    return found;
}

}  // namespace hangtrue::raster

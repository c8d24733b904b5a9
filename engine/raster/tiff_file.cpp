// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/tiff_file.h"

#include <algorithm>
#include <array>
#include <cstdarg>
#include <cstdio>
#include <cstring>
#include <utility>

namespace hangtrue::raster {

/// Read and changed from C callbacks, so without anything that throws.
struct TiffFile::State {
    const PictureFile* file = nullptr;
    std::int64_t at = 0;
    std::array<char, 256> error{};
    bool made_up = false;
};

namespace {

/// No tag, table or strip of a picture that this program takes needs more at once; a damaged count might
/// ask for anything.
constexpr tmsize_t most_bytes_at_once = tmsize_t{512} << 20;

template <typename State>
State& state_of(void* handle) {
    return *static_cast<State*>(handle);
}

template <typename State>
struct Callbacks {
    static tmsize_t read(thandle_t handle, void* bytes, tmsize_t count) {
        State& state = state_of<State>(handle);
        if (count <= 0) return 0;
        const std::span<std::byte> out(static_cast<std::byte*>(bytes), static_cast<std::size_t>(count));
        const std::ptrdiff_t got = state.file->read_some(out, state.at);
        if (got > 0) state.at += got;
        return got;
    }
    static tmsize_t write(thandle_t, void*, tmsize_t) { return -1; }
    static toff_t seek(thandle_t handle, toff_t offset, int whence) {
        State& state = state_of<State>(handle);
        const auto distance = static_cast<std::int64_t>(offset);
        const std::int64_t from = whence == SEEK_SET ? 0 : whence == SEEK_CUR ? state.at : state.file->size();
        std::int64_t place = 0;
        if (__builtin_add_overflow(from, distance, &place) || place < 0) return static_cast<toff_t>(-1);
        state.at = place;
        return static_cast<toff_t>(place);
    }
    static int close(thandle_t) { return 0; }
    static toff_t size(thandle_t handle) { return static_cast<toff_t>(state_of<State>(handle).file->size()); }

    static int error(TIFF*, void* user, const char*, const char* format, va_list arguments) {
        State& state = state_of<State>(user);
        std::vsnprintf(state.error.data(), state.error.size(), format, arguments);
        return 1;
    }
    static int warning(TIFF*, void* user, const char* module, const char*, va_list) {
        // libjpeg's own words come through libtiff under this name: all are about damaged samples.
        if (module != nullptr && std::strcmp(module, "JPEGLib") == 0) state_of<State>(user).made_up = true;
        return 1;
    }
};

struct FreeOptions {
    void operator()(TIFFOpenOptions* options) const { TIFFOpenOptionsFree(options); }
};

}  // namespace

TiffFile::TiffFile(std::shared_ptr<const PictureFile> file)
    : m_file(std::move(file)), m_state(std::make_unique<State>()) {
    using Calls = Callbacks<State>;
    m_state->file = m_file.get();
    const std::unique_ptr<TIFFOpenOptions, FreeOptions> options(TIFFOpenOptionsAlloc());
    TIFFOpenOptionsSetMaxSingleMemAlloc(options.get(), most_bytes_at_once);
    TIFFOpenOptionsSetErrorHandlerExtR(options.get(), Calls::error, m_state.get());
    TIFFOpenOptionsSetWarningHandlerExtR(options.get(), Calls::warning, m_state.get());
    // "m": no mapping, because a file that shrinks under a mapping ends the process. "c": strips as they stand.
    m_tiff = TIFFClientOpenExt("picture", "rmc", m_state.get(), Calls::read, Calls::write, Calls::seek, Calls::close,
                               Calls::size, nullptr, nullptr, options.get());
    if (m_tiff == nullptr) throw failure("its directory cannot be read");
}

TiffFile::~TiffFile() {
    if (m_tiff != nullptr) TIFFClose(m_tiff);
}

std::uint16_t TiffFile::short_tag(std::uint32_t tag, std::uint16_t otherwise) const {
    std::uint16_t value = 0;
    return TIFFGetFieldDefaulted(m_tiff, tag, &value) == 1 ? value : otherwise;
}

std::uint32_t TiffFile::long_tag(std::uint32_t tag, std::uint32_t otherwise) const {
    std::uint32_t value = 0;
    return TIFFGetFieldDefaulted(m_tiff, tag, &value) == 1 ? value : otherwise;
}

std::vector<std::byte> TiffFile::stored_bytes(std::uint16_t tag) const {
    // TIFF 6.0, section 2: count (2), entries of tag (2), type (2), count (4), value or offset (4). BigTIFF has
    // 8 bytes for each of the last two, and for the count of entries.
    const bool big_endian = TIFFIsBigEndian(m_tiff) != 0;
    const bool big = TIFFIsBigTIFF(m_tiff) != 0;
    const std::size_t wide = big ? 8 : 4;
    const std::size_t entry_bytes = 4 + 2 * wide;
    const auto bytes_at = [&](std::uint64_t offset, std::uint64_t length) {
        constexpr std::uint64_t most = 1U << 20;
        const auto size = static_cast<std::uint64_t>(m_file->size());
        std::vector<std::byte> bytes;
        if (length > most || offset > size || size - offset < length) return bytes;
        bytes.resize(length);
        m_file->read_at(bytes, static_cast<std::int64_t>(offset));
        return bytes;
    };
    const auto number = [&](std::span<const std::byte> bytes) {
        std::uint64_t value = 0;
        for (std::size_t i = 0; i < bytes.size(); ++i) {
            value = value << 8 | std::to_integer<std::uint64_t>(bytes[big_endian ? i : bytes.size() - 1 - i]);
        }
        return value;
    };
    const std::uint64_t directory = TIFFCurrentDirOffset(m_tiff);
    const std::size_t head = big ? 8 : 2;
    const auto entries = bytes_at(directory + head, entry_bytes * number(bytes_at(directory, head)));
    for (std::size_t at = 0; at < entries.size(); at += entry_bytes) {
        const auto entry = std::span(entries).subspan(at, entry_bytes);
        if (number(entry.first(2)) != tag) continue;
        const auto type = static_cast<TIFFDataType>(number(entry.subspan(2, 2)));
        const std::uint64_t count = number(entry.subspan(4, wide));
        const int each = TIFFDataWidth(type);
        if (each < 1 || count > (1U << 20)) return {};
        const std::uint64_t length = count * static_cast<std::uint64_t>(each);
        const auto value = entry.subspan(4 + wide);
        if (length > wide) return bytes_at(number(value), length);
        return {value.begin(), value.begin() + static_cast<std::ptrdiff_t>(length)};
    }
    return {};
}

void TiffFile::forget_messages() {
    m_state->error[0] = '\0';
    m_state->made_up = false;
}

bool TiffFile::has_made_up_samples() const { return m_state->made_up; }

base::UnreadableInput TiffFile::failure(const std::string& otherwise) const {
    const std::string said(m_state->error.data());
    return damaged(m_file->name(), said.empty() ? otherwise : said);
}

}  // namespace hangtrue::raster

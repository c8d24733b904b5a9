// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Bytes that are read once, from the first to the last, by the parts of read_back. One thread at a time.

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>

#include "engine/base/error.h"

namespace hangtrue::raster {

class ByteSource {
  public:
    virtual ~ByteSource() = default;
    virtual std::int64_t size() const = 0;
    virtual std::int64_t position() const = 0;
    std::int64_t left() const { return size() - position(); }

    /// The next `count` bytes, valid until the call after the next. Throws UnreadableInput where there are
    /// fewer.
    virtual std::span<const std::byte> take(std::int64_t count) = 0;

    /// What to throw when `what` is found wrong: names the file and what to do.
    virtual base::UnreadableInput wrong(const std::string& what) const = 0;
};

/// The number that `size` bytes at `at` hold, least significant first.
inline std::uint64_t number_at(std::span<const std::byte> bytes, std::size_t at, std::size_t size) {
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < size; ++i) value |= std::to_integer<std::uint64_t>(bytes[at + i]) << (8 * i);
    return value;
}

}  // namespace hangtrue::raster

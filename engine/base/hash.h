// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Content hashes: SHA-256 (FIPS 180-4) for what is kept, XXH3-128 for comparing samples at speed.
///
/// Functions are thread-safe; an object is used by one thread at a time.

#include <array>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "engine/base/progress.h"

namespace hangtrue::base {

struct Sha256 {
    std::array<std::uint8_t, 32> bytes{};
    friend auto operator<=>(const Sha256&, const Sha256&) = default;
    std::string hex() const;
    static std::optional<Sha256> from_hex(std::string_view text);
};

class Sha256Stream {
  public:
    Sha256Stream();
    ~Sha256Stream();
    Sha256Stream(const Sha256Stream&) = delete;
    Sha256Stream& operator=(const Sha256Stream&) = delete;
    void add(std::span<const std::byte> bytes);
    /// The hash of all that was added; the stream is then spent.
    Sha256 finish();

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

Sha256 sha256(std::span<const std::byte> bytes);
Sha256 sha256(std::string_view text);

/// Reads the whole file. Throws UnreadableInput, Cancelled.
Sha256 sha256_of_file(const std::filesystem::path& file, Progress& progress);

/// XXH3-128: no protection against intent, all the protection against chance that is needed.
struct Digest {
    std::uint64_t low = 0;
    std::uint64_t high = 0;
    friend bool operator==(const Digest&, const Digest&) = default;
};

Digest digest(std::span<const std::byte> bytes);

/// A hash of a place and a seed, evenly spread over 32 bits; the same on every machine. For dither.
constexpr std::uint32_t place_hash(std::uint32_t x, std::uint32_t y, std::uint32_t channel) {
    // The finaliser of MurmurHash3 (Appleby, public domain) over the three coordinates.
    std::uint32_t h = x * 0x9e3779b1U ^ (y * 0x85ebca77U + 0x165667b1U) ^ channel * 0xc2b2ae3dU;
    h ^= h >> 16;
    h *= 0x85ebca6bU;
    h ^= h >> 13;
    h *= 0xc2b2ae35U;
    h ^= h >> 16;
    return h;
}

}  // namespace hangtrue::base

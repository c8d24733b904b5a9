// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A file read once, from its first byte to its last, and hashed on a thread of its own meanwhile.
///
/// One thread at a time.

#include <array>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "engine/base/error.h"
#include "engine/base/hash.h"
#include "engine/base/workers.h"
#include "engine/raster/byte_source.h"

namespace hangtrue::raster {

class HashingReader final : public ByteSource {
  public:
    /// Throws UnreadableInput when the file's length cannot be told.
    HashingReader(int descriptor, std::filesystem::path name);

    std::int64_t size() const override { return m_size; }
    std::int64_t position() const override { return m_position; }

    std::span<const std::byte> take(std::int64_t count) override;

    /// The hash of the whole file; throws UnreadableInput when bytes are left that nothing has taken.
    base::Sha256 finish();

    base::UnreadableInput wrong(const std::string& what) const override;

  private:
    struct Buffer {
        std::vector<std::byte> bytes;
        base::Workers::Group hashing;
    };
    int m_descriptor;
    std::filesystem::path m_name;
    std::int64_t m_size = 0;
    std::int64_t m_position = 0;
    base::Sha256Stream m_hash;
    std::array<Buffer, 2> m_buffers;
    std::size_t m_next_buffer = 0;
    base::Workers m_hasher{1};  ///< Last: ends before what its tasks use.
};

}  // namespace hangtrue::raster

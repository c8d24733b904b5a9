// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A picture file as bytes, opened so that reading leaves no trace on it; and the sentences for what is
/// wrong with one.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>

#include "engine/base/error.h"
#include "engine/base/output_file.h"

namespace hangtrue::raster {

class PictureFile {
  public:
    /// Opens for reading only, without touching the access time where the system allows that. Throws
    /// UnreadableInput for whatever is no ordinary, readable file with something in it; a pipe or a device
    /// is refused without waiting for it.
    explicit PictureFile(std::filesystem::path name);

    const std::filesystem::path& name() const { return m_name; }
    std::int64_t size() const { return m_size; }

    /// Fills `bytes` from `offset`; throws UnreadableInput where the file ends before.
    void read_at(std::span<std::byte> bytes, std::int64_t offset) const;

    /// As many bytes as there are, up to bytes.size(); -1 on a read error (errno tells). For C callbacks.
    std::ptrdiff_t read_some(std::span<std::byte> bytes, std::int64_t offset) const noexcept;

  private:
    std::filesystem::path m_name;
    base::Descriptor m_descriptor;
    std::int64_t m_size = 0;
};

/// "NAME is damaged or was cut short (detail). …"
base::UnreadableInput damaged(const std::filesystem::path& name, const std::string& detail);

/// "NAME cannot be used: reason" where the reason tells the way out.
base::UnreadableInput refused(const std::filesystem::path& name, const std::string& reason);

/// No side may be longer, no picture larger: what fits the samples' arithmetic with room to spare, and far
/// more than any camera or scanner makes.
inline constexpr std::int64_t longest_side = 300'000;
inline constexpr std::int64_t most_pixels = (std::int64_t{1} << 31) - 1;

/// Throws UnreadableInput where width or height is zero or beyond the limits above, or where even the best
/// coding of this kind (`pixels_per_byte` at most; 0: no bound known) could not hold that many pixels in
/// `file`: a header that claims what the file does not hold.
void require_plausible_size(const PictureFile& file, std::int64_t width, std::int64_t height, double pixels_per_byte);

}  // namespace hangtrue::raster

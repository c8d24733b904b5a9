// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A TIFF opened by libtiff: reads through PictureFile, speaks through exceptions.

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include <tiffio.h>

#include "engine/base/error.h"
#include "engine/raster/picture_file.h"

namespace hangtrue::raster {

/// One libtiff handle on the first directory of a file. Its messages are its own: no handler of the whole
/// process is touched. One thread at a time; several handles may be open on one file.
class TiffFile {
  public:
    /// Throws UnreadableInput where the directory cannot be read.
    explicit TiffFile(std::shared_ptr<const PictureFile> file);
    ~TiffFile();
    TiffFile(const TiffFile&) = delete;
    TiffFile& operator=(const TiffFile&) = delete;

    TIFF* get() const { return m_tiff; }
    const PictureFile& file() const { return *m_file; }

    /// A tag of one 16 or 32-bit number; its default, else `otherwise`, where the file does not say.
    std::uint16_t short_tag(std::uint32_t tag, std::uint16_t otherwise) const;
    std::uint32_t long_tag(std::uint32_t tag, std::uint32_t otherwise) const;

    /// The bytes of a tag of the first directory as they stand in the file, whatever type it claims; empty
    /// where it is absent or longer than a mebibyte.
    std::vector<std::byte> stored_bytes(std::uint16_t tag) const;

    /// Forgets what was said so far, before a call whose messages matter.
    void forget_messages();
    /// Whether a decoder has said that it made samples up (the JPEG codec only warns).
    bool has_made_up_samples() const;
    /// UnreadableInput with what libtiff said last, or with `otherwise` where it said nothing.
    base::UnreadableInput failure(const std::string& otherwise) const;

  private:
    struct State;
    std::shared_ptr<const PictureFile> m_file;
    std::unique_ptr<State> m_state;
    TIFF* m_tiff = nullptr;
};

}  // namespace hangtrue::raster

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Reading a print file again, with a small reader of its own that shares no code with the writer or with
/// the opening of pictures: header, tags, strips.
///
/// Thread-safe; one call reads one file.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/base/hash.h"
#include "engine/base/progress.h"
#include "engine/raster/print_writer.h"

namespace hangtrue::raster {

/// What stands in the file, as found.
struct FoundFile {
    FileFormat format = FileFormat::tiff;
    PrintTags tags;
    TiffCompression compression = TiffCompression::none;  ///< TIFF only.
    bool big_tiff = false;                                ///< TIFF only.
    std::vector<int> other_tags;  ///< Tags (TIFF) or markers (JPEG) that no print file of ours has.
    bool subsampled = false;      ///< JPEG only: not 4:4:4.
    std::int64_t bytes = 0;
    base::Sha256 sha256;
};

/// Gets the decoded samples (interleaved RGB, the file's depth, machine byte order) in runs of whole rows
/// from the top. What it throws comes through.
using RowSink = std::function<void(int first, int count, std::span<const std::byte> samples)>;

/// Reads the file through `descriptor` from its first byte to its last: hashes it, parses it, decodes each
/// sample into `sink` (rows_at_once rows a call, fewer in the last). JPEG is decoded by libjpeg, islow.
/// Strict: a TIFF must be laid out as TiffWriter does it (no gap, no second picture, no byte that means
/// nothing), a JPEG baseline with one scan. Hashing runs on a thread of its own, compressed strips are
/// decoded on all cores; at most twice `rows_at_once` rows are held, and a strip for each core. Compare
/// `sha256` where a hash is known; else samples by digest and `tags` by value tell every changed byte but
/// those of a compressed strip that decode to the same samples. Throws UnreadableInput with the first thing
/// found wrong ("strip 12 is shorter than it should be"), Cancelled.
FoundFile read_back(int descriptor, const std::filesystem::path& name, int rows_at_once, const RowSink& sink,
                    base::Progress& progress);

}  // namespace hangtrue::raster

// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/read_back.h"

#include "engine/raster/hashing_reader.h"
#include "engine/raster/jpeg_read_back.h"
#include "engine/raster/tiff_read_back.h"

namespace hangtrue::raster {
namespace {

bool is_pair(std::span<const std::byte> bytes, int first, int second) {
    return bytes[0] == static_cast<std::byte>(first) && bytes[1] == static_cast<std::byte>(second);
}

}  // namespace

FoundFile read_back(int descriptor, const std::filesystem::path& name, int rows_at_once, const RowSink& sink,
                    base::Progress& progress) {
    HashingReader file(descriptor, name);
    const auto start = file.take(2);
    const bool tiff = is_pair(start, 'I', 'I');
    if (!tiff && !is_pair(start, 0xff, 0xd8)) throw file.wrong("it is neither a little-endian TIFF nor a JPEG");
    FoundFile found =
        tiff ? read_tiff_back(file, rows_at_once, sink, progress) : read_jpeg_back(file, rows_at_once, sink, progress);
    found.bytes = file.size();
    found.sha256 = file.finish();
    progress.report("reading back", 1);
    return found;
}

}  // namespace hangtrue::raster

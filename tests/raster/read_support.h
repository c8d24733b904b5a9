// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Opening and reading whole pictures, for the tests of reading.

#include <algorithm>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "engine/base/error.h"
#include "engine/raster/row_reader.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::raster {

inline std::unique_ptr<RowReader> opened(const std::filesystem::path& file, const support::TemporaryFolder& scratch) {
    static base::Faults no_faults;
    base::Progress progress;
    return open_picture(file, {scratch.path(), no_faults}, progress);
}

/// All rows from the top, `at_once` a call.
inline std::vector<std::byte> all_rows(RowReader& reader, int at_once = 7) {
    base::Progress progress;
    const std::size_t row = reader.info().bytes_per_row();
    std::vector<std::byte> bytes(row * static_cast<std::size_t>(reader.info().size.height));
    for (int first = 0; first < reader.info().size.height; first += at_once) {
        const int count = std::min(at_once, reader.info().size.height - first);
        const auto part =
            std::span(bytes).subspan(row * static_cast<std::size_t>(first), row * static_cast<std::size_t>(count));
        reader.read_rows(first, count, part, progress);
    }
    return bytes;
}

/// What is said when `file` is opened and read; empty where nothing is wrong with it.
inline std::string what_is_wrong(const std::filesystem::path& file, const support::TemporaryFolder& scratch) {
    try {
        all_rows(*opened(file, scratch));
        return {};
    } catch (const base::UnreadableInput& error) {
        return error.what();
    }
}

}  // namespace hangtrue::raster

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Tables of colour measurements as text (CGATS.17-2009, ISO 28178:2009): what instruments write, and the published
/// data of print conditions. Any bytes will do: what is no such table is refused. Thread-safe.

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/colour/difference.h"

namespace hangtrue::colour {

struct CgatsTable {
    std::string file;                            ///< As messages call it.
    std::vector<std::string> columns;            ///< In the file's order, in capitals: SAMPLE_ID, LAB_L, XYZ_X, …
    std::vector<std::vector<std::string>> rows;  ///< Each as long as `columns`; text as it stands, without quotes.

    std::optional<std::size_t> find(std::string_view column) const;
    bool has(std::string_view column) const { return find(column).has_value(); }

    /// A column's text, or its numbers, a value a row. Throws UnreadableInput where the file has no such column, and
    /// where a value is no finite number, naming the row.
    std::vector<std::string> texts(std::string_view column) const;
    std::vector<double> numbers(std::string_view column) const;

    /// What the samples are called: SAMPLE_NAME, else SAMPLE_ID (SAMPLEID). Throws UnreadableInput where there is
    /// neither.
    std::vector<std::string> names() const;

    /// The colours (D50): LAB_L, LAB_A, LAB_B; else from XYZ_X, XYZ_Y, XYZ_Z, scaled so that the perfect diffuser has
    /// Y = 100, against the white of the ICC connection space. Throws UnreadableInput where neither is whole.
    std::vector<Lab> lab_values() const;
};

/// The file's first table that holds rows, one a line. Throws UnreadableInput, in a sentence that names the file:
/// missing, no such table, cut short, more or fewer rows or columns than it says, over 32 MB.
CgatsTable read_cgats(const std::filesystem::path& file);

}  // namespace hangtrue::colour

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The directory of a TIFF or Exif block, read strictly: no gap, no overlap, no byte that means nothing.
///
/// Every function throws UnreadableInput with what it finds wrong. One thread at a time.

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "engine/raster/byte_source.h"

namespace hangtrue::raster {

/// Field types of TIFF 6.0, section 2, and of BigTIFF.
enum FieldType : int { ascii = 2, short_type = 3, long_type = 4, rational = 5, undefined = 7, long8 = 16 };

struct Field {
    int tag = 0;
    int type = 0;
    std::uint64_t count = 0;
    std::vector<std::byte> value;
    std::int64_t offset = -1;  ///< Where the value stands; -1 inside its entry.
};

struct Directory {
    bool big = false;
    std::vector<Field> fields;
};

/// Reads on behind "II": the rest of the header, the directory right behind it, the values right behind that.
Directory read_directory(ByteSource& file);

/// The fields of a directory, each of which must be of the kind that our print files have.
class Fields {
  public:
    /// `file` names the culprit in what is thrown, and outlives this.
    Fields(const ByteSource& file, std::vector<Field> fields);

    const Field* found(int tag) const;
    std::uint64_t number(int tag, int type) const;
    std::vector<std::uint64_t> numbers(int tag, int type, std::uint64_t count) const;
    /// A SHORT that must be there and say `value`.
    void expect(int tag, std::uint64_t value) const;
    double fraction(int tag) const;
    /// Empty where there is no such tag; likewise bytes().
    std::string text(int tag) const;
    std::vector<std::byte> bytes(int tag) const;
    /// All tags but `ours`.
    std::vector<int> others(std::span<const int> ours) const;

  private:
    const Field& of(int tag, int type, std::uint64_t count) const;

    const ByteSource& m_file;
    std::vector<Field> m_fields;
};

}  // namespace hangtrue::raster

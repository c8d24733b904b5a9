// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The little that is taken from a picture's metadata: who made it, who holds the rights, which way is up.
///
/// Tolerant of damage: what cannot be read is taken as absent. All functions are thread-safe.

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace hangtrue::raster {

/// UTF-8; empty where nothing is said.
struct Credit {
    std::string copyright;
    std::string author;
};

struct ExifFacts {
    Credit credit;
    int orientation = 1;  ///< TIFF 6.0 tag 274; 1 where absent or out of range.
};

/// Reads IFD0 of an Exif block, which is a small TIFF (CIPA DC-008): what follows "Exif\0\0" in a JPEG.
ExifFacts exif_facts(std::span<const std::byte> tiff);

/// dc:rights and dc:creator of an XMP packet (ISO 16684-1); several creators are joined with ", ".
Credit credit_from_xmp(std::string_view packet);

/// Datasets 2:116 and 2:80 (IPTC-IIM 4.2).
Credit credit_from_iptc(std::span<const std::byte> datasets);

/// The IPTC datasets in a block of image resources ("8BIM", resource 0x0404); empty where there are none.
std::span<const std::byte> iptc_in_resources(std::span<const std::byte> resources);

/// The first of them that says anything, for each of the two.
Credit first_of(const Credit& first, const Credit& second, const Credit& third);

/// `text` up to its first NUL, without blanks around it; bytes that are not UTF-8 are taken as Latin-1.
std::string tidy_text(std::string_view text);

}  // namespace hangtrue::raster

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What would go wrong with a print, on one page: the picture with numbered flags, and what each of them says. From
/// plain structs. Thread-safe.

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "engine/base/output_file.h"
#include "engine/base/units.h"
#include "engine/report/small_picture.h"

namespace hangtrue::report {

struct FindingsPage {
    struct Entry {
        std::string severity;  ///< "Stop", "Look", "Note".
        std::string sentence;
        std::string way_out;                ///< May be empty.
        std::string option;                 ///< As typed, "--bleed auto"; may be empty.
        std::string figure;                 ///< "132 ppi; the line is at 200"; may be empty.
        std::vector<base::RealRect> where;  ///< In shares of the picture; empty: all over.
    };
    std::string picture_name, shop_name, medium_name;
    std::string print_size;  ///< "36 x 24 in (91.4 x 61 cm)".
    std::string verdict;     ///< One sentence over all of them.
    std::string made_on;
    SmallPicture picture;               ///< Upright, whole.
    std::vector<base::RealRect> crops;  ///< What is printed, a panel each, in shares of the picture.
    std::vector<Entry> entries;
};

/// A4, PDF, a page each: where the texts are long they are set smaller, then the last ones are counted ("and 3 more").
/// Throws WriteFailed.
void write_findings(std::span<const FindingsPage> pages, const std::filesystem::path& name,
                    base::OutputFile::Existing existing, base::Faults& faults);

}  // namespace hangtrue::report

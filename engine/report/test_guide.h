// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The page that goes with a test sheet: in which light to judge it, how to compare, what to answer. From plain
/// structs. Thread-safe.

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/output_file.h"
#include "engine/base/units.h"
#include "engine/report/small_picture.h"

namespace hangtrue::report {

struct TestGuide {
    struct Named {
        std::string name;
        base::PixelRect rect;
    };
    std::int64_t number = 0;
    std::string picture_name, shop_name, medium_name, size_name;
    std::string print_size;  ///< Of the final print, "36 x 24 in (91.4 x 61 cm)".
    std::string file_name, made_on;
    std::vector<std::string> order_choices;
    SmallPicture picture;   ///< What the print shows.
    base::RealRect part;    ///< Of it: what the cells show, in shares.
    std::string cell_size;  ///< A cell's width, as the print will have it.
    base::PixelSize sheet;  ///< A sketch shows where things stand on it.
    std::vector<Named> cells, greys;
    std::vector<base::PixelRect> marks;
};

/// One A4 page, PDF. Throws WriteFailed.
void write_test_guide(const TestGuide& guide, const std::filesystem::path& name, base::OutputFile::Existing existing,
                      base::Faults& faults);

}  // namespace hangtrue::report

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The made prints to scale on one wall, with a door for measure: the picture of a result. Thread-safe.

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "engine/base/output_file.h"
#include "engine/base/units.h"
#include "engine/report/small_picture.h"

namespace hangtrue::report {

struct HungPrint {
    SmallPicture picture;              ///< What hangs, cropped as it is printed; stretched over `finished`.
    base::SizeMm finished;             ///< Over 0.
    std::vector<std::string> caption;  ///< The first line is its name.
};

/// PNG, 1890 px wide, at most 1004 high. Neutral greys alone beside the pictures. Throws WriteFailed.
void write_result_picture(std::span<const HungPrint> prints, const std::filesystem::path& name,
                          base::OutputFile::Existing existing, base::Faults& faults);

}  // namespace hangtrue::report

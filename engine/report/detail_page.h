// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A page for each picture that says how fine its structure is. From plain structs. Thread-safe.

#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/output_file.h"
#include "engine/base/units.h"
#include "engine/report/small_picture.h"

namespace hangtrue::report {

struct DetailPage {
    struct SpectrumPoint {
        double cycles_per_px = 0;
        double power = 0;  ///< Codes of 255, squared.
        double noise = 0;
    };
    struct NoisePoint {
        double luminance = 0;  ///< 0 to 255.
        double sd_8bit = 0;
    };
    std::string picture_name, file_name, made_on;
    base::PixelSize pixels;
    std::vector<std::string> sentences;
    SmallPicture picture;                  ///< Upright, whole.
    std::vector<base::RealRect> sharpest;  ///< Parts, in shares of the picture.
    std::vector<SpectrumPoint> spectrum;   ///< From coarse to fine; empty: no plot.
    double cycles_per_px = 0;              ///< Marked in the plot.
    std::vector<NoisePoint> noise;         ///< From dark to light; under two: no plot.
};

/// One PDF of A4 pages, `pages` not empty. Throws WriteFailed.
void write_detail_pages(const std::vector<DetailPage>& pages, const std::filesystem::path& name,
                        base::OutputFile::Existing existing, base::Faults& faults);

}  // namespace hangtrue::report

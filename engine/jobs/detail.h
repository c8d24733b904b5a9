// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How fine the real structure of pictures is, and what else is measured of them.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/jobs/context.h"
#include "engine/picture/detail.h"

namespace hangtrue::jobs {

struct PictureDetail {
    std::filesystem::path picture;
    Ending ending = Ending::done;
    std::string sentence;  ///< Where the picture could not be read.
    base::PixelSize pixels;
    int bits = 8;
    picture::Detail detail;
    double true_megapixels = 0;     ///< As many pixels would hold the same detail, in millions.
    int jpeg_quality = 0;           ///< 1 to 100, of the file or, where it was one once, of its samples; 0: no JPEG.
    bool jpeg_in_the_past = false;  ///< The file is no JPEG now.
    std::vector<std::string> sentences;  ///< What all that means, for the photographer; the most important first.
    StageSeconds seconds;
};

struct DetailRequest {
    std::vector<std::filesystem::path> pictures;
    /// A PDF with a page for each picture that could be read. Written at the end; none where no picture could be.
    std::optional<std::filesystem::path> report;
    bool replace = false;
};

struct DetailOutcome {
    std::vector<PictureDetail> pictures;  ///< In the order asked for; each ends by itself.
    bool is_report_made = false;
    Ending report_ending = Ending::done;
    std::string report_sentence;
};

/// Measures each picture anew, whatever the ledger remembers, and records nothing. Never throws for a picture's sake.
DetailOutcome detail(const DetailRequest& request, Context& context);

}  // namespace hangtrue::jobs

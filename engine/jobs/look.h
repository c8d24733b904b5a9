// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Looking without making: sizes, a window of the file's pixels, enlarging alone.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/jobs/context.h"
#include "engine/jobs/proofs.h"
#include "engine/plan/plan.h"
#include "engine/plan/sizes.h"
#include "engine/plan/wish.h"
#include "engine/render/likeness.h"

namespace hangtrue::jobs {

struct PictureSizes {
    std::filesystem::path picture;
    base::PixelSize pixels;
    Ending ending = Ending::done;
    std::string sentence;             ///< Where the picture could not be opened.
    double detail_cycles_per_px = 0;  ///< As picture::Measured; 0: unknown, or none.
    double true_megapixels = 0;
    std::string detail_sentence;  ///< Why nothing is told of the detail; empty where it was measured or not asked for.
    StageSeconds seconds;         ///< What measuring cost; next to nothing where the ledger remembers the picture.
    std::vector<plan::MediumSizes> media;
};

struct SizesQuestion {
    std::string shop, medium;  ///< Empty: all.
    plan::Hanging hanging;
    bool headers_only = false;  ///< Measures nothing: no row's sharpness is known.
};

/// Sizes by pixels and by detail. What the ledger remembers of a picture is taken, else it is measured; nothing is
/// recorded. A picture whose samples cannot be read still has its sizes by pixels.
std::vector<PictureSizes> sizes(const std::vector<std::filesystem::path>& pictures, const SizesQuestion& question,
                                Context& context);

/// The same of headers alone: no row's sharpness is known. Shop and medium empty: all.
std::vector<PictureSizes> sizes_by_headers(const std::vector<std::filesystem::path>& pictures, const std::string& shop,
                                           const std::string& medium, Context& context);

struct ViewRequest {
    std::filesystem::path picture;
    plan::Wish wish;
    std::optional<plan::Plan> plan;
    int panel = 1;
    base::PixelRect window;     ///< In file pixels; clipped to the file.
    double scale = 1;           ///< Under 1: the window reduced with the engine's own resampler, in linear light.
    std::filesystem::path out;  ///< PNG of the file's depth: in the file's space, as a print in sRGB.
    bool replace = false;
    std::optional<ProofWish> as_print = {};  ///< As it is printed (proofs.h), not as the file holds it.
};

struct Viewed {
    base::PixelRect window;
    base::PixelSize written;
    int bits = 8;
    bool as_decoded = false;  ///< The print file is a JPEG: these are its pixels as they decode.
    /// The JPEG that was decoded, where it was made already; else it was coded for this view.
    std::filesystem::path made_file;
    std::string notice;  ///< That pixels may differ from those of an older plan's time; mostly empty.
    struct AsPrint {
        ProofBasis basis = ProofBasis::assumed;
        colour::Lab paper;  ///< D50.
        colour::Lab black;  ///< Relative to it.
        bool hatched = false;
        double outside_share = 0;  ///< Of the pixels shown: hatched, for the print cannot hold them.
        std::vector<std::string> sentences;
    };
    std::optional<AsPrint> as_print;
};
/// The pixels that the file holds, exactly (scale 1). Writes nothing but the PNG: no record, nothing measured.
Viewed view(const ViewRequest& request, Context& context);

struct EnlargeRequest {
    std::filesystem::path in, out;  ///< Out: PNG or TIFF by its ending.
    double factor = 2;              ///< Over 0 to 8.
    plan::Enlarging by = plan::Enlarging::automatic;
    enlarge::Grain grain = enlarge::Grain::keep;
    bool replace = false;
};
struct Enlarged {
    base::PixelSize size;
    int bits = 8;
    int channels = 3;
    plan::PlannedNetwork network;
    std::optional<render::Likeness> likeness;  ///< As in MadeFile.
};
/// Each side times the factor, to the nearest pixel, with the network where it is asked for; depth, channels, encoding
/// and profile of the picture; neither sharpened nor dithered. Lab alone becomes RGB. Writes nothing but OUT.
Enlarged enlarge(const EnlargeRequest& request, Context& context);

}  // namespace hangtrue::jobs

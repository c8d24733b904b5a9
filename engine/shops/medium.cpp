// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/medium.h"

#include <algorithm>
#include <cmath>

namespace hangtrue::shops {
namespace {

/// Order forms round inches to half centimetres and back: within this the size is the same.
constexpr double same_side_mm = 0.5;

double larger_difference(base::SizeMm a, base::SizeMm b) {
    return std::max(std::abs(a.width.value - b.width.value), std::abs(a.height.value - b.height.value));
}

}  // namespace

// No table of "half contrast by medium" has been published. These are estimates from how each way
// of printing works (the raster of exposure, the spread of ink and dye, the weave), each good to
// about a factor of 1.5.
double default_f50(BlurClass blur) {
    switch (blur) {
        case BlurClass::silver_halide: return 5.0;  // Likely 4 to 7; exposed at 300 to 400 ppi.
        case BlurClass::inkjet_gloss: return 5.0;   // 4 to 8.
        case BlurClass::inkjet_matte: return 4.0;   // 3 to 5.5.
        case BlurClass::inkjet_rag: return 3.2;     // 2.2 to 4.5; the fibres.
        case BlurClass::canvas: return 2.0;         // 1.2 to 3; the weave of 0.5 to 1 mm masks as well.
        case BlurClass::latex_poster: return 2.5;   // 1.5 to 4.
        case BlurClass::metal:
            return 3.0;  // 2 to 5; the dye spreads while it is transferred.
        // The mounted print's, less 5 to 10 % for refraction and veil: a silver-halide print
        // less 7.5 %.
        case BlurClass::acrylic_mount: return 5.0 * 0.925;
        case BlurClass::press_book: return 2.5;  // 2 to 3.5; limited by the halftone.
    }
    return 4.0;
}

double Medium::f50_cycles_per_mm() const { return measured_f50_cycles_per_mm.value_or(default_f50(blur)); }

const Size* find_size(const Medium& medium, base::SizeMm wanted) {
    const base::SizeMm turned{wanted.height, wanted.width};
    const Size* best = nullptr;
    double best_difference = same_side_mm;
    for (const Size& size : medium.sizes) {
        const double difference =
            std::min(larger_difference(size.finished, wanted), larger_difference(size.finished, turned));
        if (difference < best_difference || (best == nullptr && difference <= same_side_mm)) {
            best = &size;
            best_difference = difference;
        }
    }
    return best;
}

base::SizeMm file_size(const Medium& medium, base::SizeMm ordered) {
    base::SizeMm file = ordered;
    if (medium.bleed && medium.bleed->place == BleedPlace::outside) {
        const auto& widths = medium.bleed->widths;
        file.width = file.width + widths.left + widths.right;
        file.height = file.height + widths.top + widths.bottom;
    }
    if (medium.wrap && medium.wrap->maker == WrapMaker::photographer) {
        const base::Millimetres fold = medium.wrap->bar_depth + medium.wrap->back_fold;
        file.width = file.width + 2 * fold;
        file.height = file.height + 2 * fold;
    }
    return file;
}

bool takes_free_size(const Medium& medium, base::SizeMm wanted) {
    if (!medium.free_sizes) return false;
    const FreeSizes& free = *medium.free_sizes;
    const auto [shorter, longer] = std::minmax(wanted.width.value, wanted.height.value);
    return shorter >= free.least_side.value - same_side_mm && shorter <= free.most_short_side.value + same_side_mm &&
           longer <= free.most_long_side.value + same_side_mm;
}

const std::vector<std::string>& name_rule_words() {
    static const std::vector<std::string> words{"picture",   "shop", "medium", "size",  "width_px",
                                                "height_px", "ppi",  "panel",  "edges", "quantity"};
    return words;
}

}  // namespace hangtrue::shops

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Shops and media as values: what a shop sells, and how it wants the file. Read from TOML by
/// shops/shop_file.h.
///
/// What a shop has not told is an empty optional, and an open question (shops/questions.h). Lengths
/// are millimetres. Pure data.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/units.h"

namespace hangtrue::shops {

enum class FileSpace { srgb, adobe_rgb, print_profile };
enum class BleedPlace { none, outside, inside };  ///< Cut off beyond the ordered size, or within it.
enum class WrapMaker { shop, photographer };      ///< Who makes what folds round the bars of a canvas.
enum class PixelRule { exact, shape };            ///< Pixels must be exact, or only the shape must fit.
enum class Base { white, bare_metal, clear };
/// How much the print blurs: one class for each way of printing that default_f50() tells apart.
enum class BlurClass {
    silver_halide,
    inkjet_gloss,
    inkjet_matte,
    inkjet_rag,
    canvas,
    latex_poster,
    metal,
    acrylic_mount,
    press_book
};

struct PpiRange {
    std::optional<base::PixelsPerInch> least;
    base::PixelsPerInch wanted;
    std::optional<base::PixelsPerInch> most;
};

struct Price {
    std::int64_t cents = 0;  ///< In the shop's currency.
};

/// One size on the order form.
struct Size {
    std::string name;                  ///< As the order form says it.
    base::SizeMm finished;             ///< What hangs; the file may have either orientation.
    std::optional<base::SizeMm> file;  ///< Where the shop names the file's size itself.
    std::string process;               ///< Printed on this machine and material; empty: not told.
    std::optional<Price> price;
};

/// Sizes cut to order.
struct FreeSizes {
    base::Millimetres least_side;
    base::Millimetres most_short_side;
    base::Millimetres most_long_side;
    std::string process;
    std::optional<Price> price_per_square_metre;
};

struct Bleed {
    BleedPlace place = BleedPlace::none;
    base::Edges<base::Millimetres> widths;
};

/// Canvas: what is folded round the bars.
struct Wrap {
    WrapMaker maker = WrapMaker::photographer;
    base::Millimetres bar_depth;
    base::Millimetres back_fold;         ///< Beyond the bar's depth, on each side; both are in the file
                                         ///< when the photographer makes the wrap.
    std::vector<std::string> made_from;  ///< "round", "mirror", "colour": what the shop can do or
                                         ///< takes; empty: not told.
    std::optional<bool> corner_squares;  ///< True: the corner squares are cut out, so that nothing
                                         ///< need stand there.
    bool maker_told = true;              ///< False: `maker` is an assumption, and an open question.
    bool back_fold_told = true;          ///< False: `back_fold` is none for want of an answer.
};

struct FileRules {
    std::vector<std::string> formats;           ///< "tiff", "jpeg" in the shop's order of liking; empty: not told.
    std::optional<std::vector<int>> tiff_bits;  ///< 8, 16.
    std::optional<std::vector<std::string>> tiff_compressions;  ///< "none", "lzw", "deflate".
    std::optional<bool> big_tiff;                               ///< Takes BigTIFF.
    std::optional<std::int64_t> most_bytes;
    std::optional<std::int64_t> most_pixels;
    std::optional<int> most_side_px;
    std::optional<bool> embed_profile;
    std::optional<bool> alpha;  ///< Takes files with an alpha channel (Hangtrue writes none).
    std::string name_rule;      ///< Template: "{picture}_{size}_{ppi}"; words in docs; empty: the
                                ///< program's own.
    std::optional<int> most_name_length;
    std::optional<bool> ascii_names;
};

/// Which of the values that are never empty the shop has told itself: the others are safe
/// assumptions, and open questions.
struct Told {
    bool pixel_rule = false;
    bool shape_tolerance = false;
    bool base = false;
    bool name_rule = false;  ///< True with an empty rule: any name will do.
};

struct Medium {
    std::string id;    ///< Key in the file: "brushed-metal".
    std::string name;  ///< As the order form says it.
    PpiRange ppi;
    PixelRule pixel_rule = PixelRule::shape;
    double shape_tolerance = 0;           ///< Greatest relative difference of the sides' ratio that the shop takes.
    std::optional<FileSpace> file_space;  ///< Not told: sRGB, embedded, and an open question.
    std::string print_profile;            ///< File name beside the shop file; empty: none known.
    FileRules rules;
    std::vector<Size> sizes;
    std::optional<FreeSizes> free_sizes;
    std::optional<Bleed> bleed;
    std::optional<Wrap> wrap;
    std::optional<base::Millimetres> safe_area;  ///< From the finished edge inwards.
    Base base = Base::white;
    std::optional<std::string> finish;
    std::optional<std::string> mount;
    std::optional<bool> mirrored;  ///< The shop wants the file mirrored (back-printed acrylic, say).
    BlurClass blur = BlurClass::silver_halide;
    std::optional<double> measured_f50_cycles_per_mm;
    std::optional<std::string> improvement_off;  ///< How to switch off the order form's automatic
                                                 ///< "improvement"; "" = there is none.
    std::optional<bool> same_process_for_all_sizes;
    std::vector<std::string> order_choices;  ///< What to choose on the form, in the shop's own words.
    Told told;
    double f50_cycles_per_mm() const;  ///< Measured where known, else the class's default.
};

struct Shop {
    std::string id;  ///< File stem: "quillfen".
    std::string name;
    std::string currency;  ///< "EUR".
    std::optional<Price> smallest_order;
    std::optional<Price> postage;
    std::optional<int> days;
    std::string contact;
    std::string order_page;
    std::vector<Medium> media;
};

/// The frequency at which a print of this class keeps half of its contrast, in cycles a millimetre:
/// an estimate, to be replaced by a measurement (Medium::measured_f50_cycles_per_mm) as soon as
/// there is one.
double default_f50(BlurClass blur);

/// The size of `medium` that is `wanted` in either orientation, within 0.5 mm a side; the nearest
/// of several; null when there is none.
const Size* find_size(const Medium& medium, base::SizeMm wanted);

/// What the file of a print ordered as `ordered` covers: with the bleed outside and with the wrap that the photographer
/// makes. A size that names its file itself is not asked for here.
base::SizeMm file_size(const Medium& medium, base::SizeMm ordered);

/// True where `wanted`, in either orientation, lies within the medium's free sizes.
bool takes_free_size(const Medium& medium, base::SizeMm wanted);

/// The words that a file-name rule may hold in braces; plan/file_name.h says what each stands for.
const std::vector<std::string>& name_rule_words();

}  // namespace hangtrue::shops

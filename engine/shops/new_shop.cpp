// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/shop_file.h"
#include "engine/text/writer.h"

namespace hangtrue::shops {
namespace {

constexpr std::string_view opening =
    R"(# A print shop, and what it prints on. Fill in what the shop has told you; what it has not told stays out,
# and "hangtrue shop questions" writes the letter that asks for exactly that.
#
# A line that begins with # is a remark. To use one of the keys below, take its # away.
# Lengths carry their unit, in quotes: "38 mm", "1.5 in". "hangtrue shop check" reads the file again.

format = 1
)";

constexpr std::string_view rest = R"(currency = "EUR"                  # Three letters.
# contact = "The address that the letter goes to"
# order_page = "The address of the order form"
# smallest_order = 25.00
# postage = 9.50
# days = 5                        # Working days until the print is sent.

# One [[medium]] for each product printed one way. Take the # away from its first line and from the lines that say
# "needed", and write what the shop says instead of the example. Copy the whole part for the next medium.
# [[medium]]
# id = "lustre-paper"             # Needed. Short name for the command line: small letters, digits, hyphens.
# name = "Lustre photo paper"     # Needed. As the order form calls it.
# blur = "silver-halide"          # Needed. How it is printed: silver-halide, inkjet-gloss, inkjet-matte, inkjet-rag,
                                  # canvas, latex-poster, metal, acrylic-mount or press-book.

# The ppi that the shop wants, and the limits it names: ppi = { least = 150, wanted = 300, most = 360 }
# Common practice: paper 300, metal 150 to 200, canvas 80 to 100.
# ppi = { wanted = 300 }          # Needed.

# pixels = "shape"                # "exact": the pixel counts must be exact; "shape": only the shape must fit.
# shape_tolerance = 0.01          # How far the shape may be off: 0.01 is 1 %.

# file_space = "srgb"             # srgb, adobe-rgb, or print_profile (only where the shop asks for its own).
# print_profile = "lustre.icc"    # The shop's profile of the print, laid beside this file; for previews.

# base = "white"                  # white, bare-metal or clear.
# finish = "lustre"
# mount = "none, rolled in a tube"
# mirrored = false                # true: the shop wants the file mirrored.
# safe_area = "5 mm"              # Nothing important nearer to the edge than this.
# bleed = { place = "outside", every_side = "3 mm" }     # outside: added to the ordered size; inside: cut
                                  # from it; none. Sides that differ: top, right, bottom, left.

# For canvas on bars:
# wrap = { maker = "photographer", bar_depth = "38 mm", back_fold = "10 mm", made_from = ["round", "mirror", )"
                                  R"("colour"], corner_squares_cut = true }

# improvement_off = "Untick 'auto enhance'"   # "" when the form improves nothing by itself.
# same_process_for_all_sizes = true           # Small and large sizes on the same machine and material.
# order_choices = ["Lustre", "No border", "Print as supplied"]

# [medium.file]                   # Needed before the keys of this part.
# formats = ["tiff", "jpeg"]      # The one that the shop likes better first.
# tiff_bits = [8, 16]
# tiff_compressions = ["none", "lzw", "deflate"]
# big_tiff = false                # TIFF files beyond 4 GB.
# most_bytes = "500 MB"
# most_pixels = 500_000_000       # Or most_side_px = 30000.
# embed_profile = true
# alpha = false                   # Files with transparency are taken.
# name_rule = "{picture}_{size}"  # Also {medium}, {ppi}, {quantity}, {panel}, {edges}. "" when any will do.
# most_name_length = 64
# ascii_names = true

# One [[medium.size]] for each size on the order form: at least one, or sizes cut to order.
# [[medium.size]]
# name = "24 x 16"                # Needed. As the order form says it.
# finished = "24 x 16 in"         # Needed. What hangs. Which way round does not matter.
# file = "24.25 x 16.25 in"       # Only where the shop names the file's size itself.
# process = "Laser exposure"      # The machine and material, where the shop has told.
# price = 39.00

# Sizes cut to order:
# [medium.free_sizes]
# least_side = "20 cm"
# most_short_side = "110 cm"
# most_long_side = "300 cm"
# process = "Laser exposure"
# price_per_square_metre = 98.00
)";

}  // namespace

std::string new_shop_text(const std::string& name) {
    std::string text(opening);
    text += "name = " + text::string_text(name) + "\n";
    text += rest;
    return text;
}

}  // namespace hangtrue::shops

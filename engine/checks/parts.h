// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The checks by subject; checks.h calls them in this order. Private to engine/checks.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/checks/areas.h"
#include "engine/checks/checks.h"

namespace hangtrue::checks {

/// A finding of the table's row `name`, which says its severity.
struct Figures {
    double figure = 0;
    double limit = 0;
    std::string unit;
};
Finding found(std::string_view name, std::string sentence, Figures figures, std::string way_out,
              std::string option = {}, std::vector<base::PixelRect> where = {});

/// The same, with what the command line would do about it.
Finding with_command(Finding finding, std::string command);

/// "12 %", "0.4 %".
std::string percent_text(double share);

/// "--shop quillfen --medium metal-white --size 36x24in": the print's own words.
std::string print_options(const plan::Plan& plan);

/// Rectangles of the samples in pixels of the upright picture.
std::vector<base::PixelRect> places_on_picture(const Mask& mask, const Samples& samples);

/// Does the picture bring what the print needs?
void check_picture(const Subject& subject, std::vector<Finding>& findings);
/// Is it sharp, clean and whole enough for where the print is seen from?
void check_detail(const Subject& subject, std::vector<Finding>& findings);
/// Is the file what the shop takes?
void check_file(const Subject& subject, std::vector<Finding>& findings);
/// Does the file have the pixels, or the shape, that the shop wants for the size? Part of check_file.
void check_shape(const Subject& subject, std::vector<Finding>& findings);
/// What happens to the print's edges, and what hangs on the wall?
void check_print(const Subject& subject, std::vector<Finding>& findings);

/// The samples with what they are of.
struct Looked {
    const Samples& samples;
    std::span<const plan::Plan> panels;
    const shops::Medium& medium;
    base::ShownUnits units;
};
/// What prints as bare material, or without drawing; steps that show as bands.
void check_tones(const Looked& looked, std::vector<Finding>& findings);
/// Colours that the print or the file cannot hold; a profile that does not fit.
void check_colours(const Looked& looked, std::vector<Finding>& findings);
/// What stands where the shop may cut or fold.
void check_safe_area(const Looked& looked, std::vector<Finding>& findings);

}  // namespace hangtrue::checks

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The checks by subject, each appending what it finds. Internal to checks.

#include <string>
#include <string_view>
#include <vector>

#include "engine/checks/checks.h"

namespace hangtrue::checks {

/// What every check looks at.
struct Subject {
    const plan::Plan& plan;
    const shops::Medium& medium;
    const plan::PictureFacts& picture;
    base::ShownUnits units;  ///< Which stand first in sentences.
};

/// A finding of the table's row `name`, which says its severity.
struct Figures {
    double figure = 0;
    double limit = 0;
    std::string unit;
};
Finding found(std::string_view name, std::string sentence, Figures figures, std::string way_out);

/// Does the picture bring what the print needs?
void check_picture(const Subject& subject, std::vector<Finding>& findings);
/// Is the file what the shop takes?
void check_file(const Subject& subject, std::vector<Finding>& findings);
/// Does the file have the pixels, or the shape, that the shop wants for the size? Part of check_file.
void check_shape(const Subject& subject, std::vector<Finding>& findings);
/// What happens to the print's edges, and what hangs on the wall?
void check_print(const Subject& subject, std::vector<Finding>& findings);

}  // namespace hangtrue::checks

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What was measured of a picture, in sentences. Pure, thread-safe.

#include <string>
#include <vector>

#include "engine/base/units_text.h"
#include "engine/jobs/detail.h"

namespace hangtrue::jobs {

std::vector<std::string> detail_sentences(const PictureDetail& detail, base::ShownUnits units);

}  // namespace hangtrue::jobs

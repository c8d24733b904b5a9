// SPDX-License-Identifier: Apache-2.0
#include "engine/base/error.h"

#include <system_error>

namespace hangtrue::base {

std::string system_text(int error_number) { return std::generic_category().message(error_number); }

}  // namespace hangtrue::base

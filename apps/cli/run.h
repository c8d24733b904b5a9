// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The program: from words to an exit status. The one border at which exceptions end.

#include <string>
#include <vector>

#include "apps/cli/exit_status.h"

namespace hangtrue::cli {

/// `words` without the program's own name.
ExitStatus run(const std::vector<std::string>& words);

}  // namespace hangtrue::cli

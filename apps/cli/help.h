// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the table of options says, as help on the terminal and as docs/command-line.md. Pure, thread-safe.

#include <string>

#include "apps/cli/options.h"

namespace hangtrue::cli {

/// Without a verb: the verbs, what is taken everywhere, the exit statuses.
std::string help_text(const VerbInfo* verb);

/// What an option means, with its unit, its range and what holds without it.
std::string option_sentence(const OptionInfo& option);

/// docs/command-line.md; a test holds the file against it.
std::string markdown_text();

}  // namespace hangtrue::cli

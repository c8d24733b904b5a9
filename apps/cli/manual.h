// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the table of options says, for the system: the manual page and the completion of the shell. Pure, thread-safe.

#include <string>

namespace hangtrue::cli {

/// hangtrue(1), with the macros of man(7).
std::string man_page_text();

/// For bash: verbs, options and the words that an option takes; file names everywhere else.
std::string bash_completion_text();

}  // namespace hangtrue::cli

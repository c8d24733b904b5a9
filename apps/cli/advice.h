// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The engine says what can be done ("choose another folder"); the command line adds with which option, where the verb
/// has it.

#include <string>

#include "apps/cli/options.h"
#include "apps/cli/reply.h"

namespace hangtrue::cli {

/// "… or choose another folder (--to)." for `make`, the same without its bracket for `view`.
std::string with_options(std::string sentence, const VerbInfo& verb);

/// The same in all that the reply says of errors, in the document too.
void add_options(Reply& reply, const VerbInfo& verb);

}  // namespace hangtrue::cli

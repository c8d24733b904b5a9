// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Shop files that cannot be read take nothing from the others, but are not passed over in silence.

#include "apps/cli/reply.h"
#include "engine/jobs/context.h"

namespace hangtrue::cli {

/// `broken_shops` in the document, and a remark for each whose sentence is no error of the reply already.
void add_broken_shops(Reply& reply, const jobs::Context& context);

}  // namespace hangtrue::cli

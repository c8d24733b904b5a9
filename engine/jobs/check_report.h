// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The findings of one picture's prints as pages to keep or to print.

#include <filesystem>
#include <span>

#include "engine/jobs/context.h"
#include "engine/jobs/make.h"

namespace hangtrue::jobs {

/// One A4 page a print, PDF: the picture with numbered flags, and what each says. Reads the picture once more. Throws
/// InvalidWish where `out` is the picture itself, UnreadableInput, WriteFailed, Cancelled.
void write_check_report(const std::filesystem::path& picture, std::span<const CheckOutcome> prints,
                        const std::filesystem::path& out, bool replace, bool anyway, Context& context);

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// docs/checks.md: the table of checks as a page. Pure, thread-safe.

#include <string>

namespace hangtrue::cli {

/// A test holds the file against it.
std::string checks_page();

}  // namespace hangtrue::cli

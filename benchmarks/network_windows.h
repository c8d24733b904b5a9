// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace hangtrue::benchmarks {

/// How long `hangtrue view` takes for a window from nothing, by the filter and by each network. Throws
/// std::runtime_error where the program fails.
void windows_table();

}  // namespace hangtrue::benchmarks

// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace hangtrue::benchmarks {

/// How long a window takes by the filter and by each network: of an open picture, and by `hangtrue view` from nothing.
/// Throws std::runtime_error where the program fails.
void windows_table();

}  // namespace hangtrue::benchmarks

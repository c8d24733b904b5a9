// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Ctrl-C: the first stops the job in good order, a second one ends the program at once.

#include <atomic>

namespace hangtrue::cli {

/// While it lives, SIGINT and SIGTERM set `cancelled`; a second one, or one that comes when it lives no more,
/// ends the program with the status for "cancelled". One at a time.
class StopSignals {
  public:
    explicit StopSignals(std::atomic<bool>& cancelled);
    ~StopSignals();
    StopSignals(const StopSignals&) = delete;
    StopSignals& operator=(const StopSignals&) = delete;
};

}  // namespace hangtrue::cli

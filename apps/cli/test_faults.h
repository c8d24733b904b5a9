// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Faults asked for by the tests, through the environment variable HANGTRUE_FAULT: several with commas between.
///
///   kill@STEP         the program is killed (SIGKILL) when STEP is done; steps as base::name_of says them
///   interrupt@STEP    Ctrl-C when STEP is done
///   ENOSPC@CALL[:N]   from the N-th CALL on (write, sync, rename, sync-folder; 1 where not said) the disk is full
///   EIO@CALL[:N]      likewise, the drive is lost
///   flip@OFFSET       the lowest bit of the byte at OFFSET of each file is written wrong

#include <array>
#include <atomic>
#include <string_view>
#include <vector>

#include "engine/base/faults.h"

namespace hangtrue::cli {

class TestFaults : public base::Faults {
  public:
    /// Throws InvalidWish for a text that is none of the above.
    explicit TestFaults(std::string_view text);

    void reached(base::Step step) override;
    int failing(base::Call call) override;
    void altering(std::span<std::byte> bytes, std::int64_t offset) override;
    bool alters() const override { return !m_flips.empty(); }

  private:
    struct AtStep {
        base::Step step;
        int signal;
    };
    struct FailingCall {
        base::Call call;
        int error_number;
        long first;
    };
    void add(std::string_view fault);

    std::vector<AtStep> m_signals;
    std::vector<FailingCall> m_failing;
    std::vector<std::int64_t> m_flips;
    std::array<std::atomic<long>, 4> m_calls{};  ///< Of each base::Call.
};

}  // namespace hangtrue::cli

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How far a job is, and whether the user has stopped it: one object, handed down.
///
/// All functions may be called from any thread.

#include <atomic>
#include <functional>
#include <mutex>
#include <string>
#include <string_view>

namespace hangtrue::base {

struct ProgressReport {
    std::string step;     ///< A word or two for the screen: "measuring", "making", "reading back".
    double fraction = 0;  ///< Of this step, 0 to 1.
};

class Progress {
  public:
    using Sink = std::function<void(const ProgressReport&)>;

    /// `sink` is called from whichever thread reports, one call at a time, at most once a hundredth of a step.
    explicit Progress(Sink sink = {});

    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    /// Reports. Throws Cancelled when the user has stopped the job.
    void report(std::string_view step, double fraction);

    /// Throws Cancelled when the user has stopped the job; cheap enough for every block.
    void check() const;

    void cancel() noexcept { m_cancelled.store(true, std::memory_order_relaxed); }
    bool is_cancelled() const noexcept { return m_cancelled.load(std::memory_order_relaxed); }

    /// Where to set the mark from a signal handler: lock-free, so async-signal-safe.
    std::atomic<bool>& cancel_flag() noexcept { return m_cancelled; }

  private:
    Sink m_sink;
    std::atomic<bool> m_cancelled{false};
    std::mutex m_mutex;
    std::string m_step;
    int m_hundredths = -1;
};

}  // namespace hangtrue::base

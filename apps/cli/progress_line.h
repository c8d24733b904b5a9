// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Progress for people: one line that is overprinted on a terminal, plain lines elsewhere.
///
/// Called by one thread at a time (base::Progress sees to that). A line that cannot be written is dropped:
/// no print fails for its progress.

#include <chrono>
#include <cstddef>
#include <string>

#include "engine/base/progress.h"

namespace hangtrue::cli {

class ProgressLine {
  public:
    enum class Mode { none, overprint, lines };

    ProgressLine(int descriptor, Mode mode) : m_descriptor(descriptor), m_mode(mode) {}
    ~ProgressLine() { clear(); }
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;

    void show(const base::ProgressReport& report);

    /// Takes an overprinted line away, so that what comes next stands alone.
    void clear();

  private:
    void overprint(const std::string& text);
    void write(const std::string& text) const;

    int m_descriptor;
    Mode m_mode;
    std::size_t m_shown_width = 0;
    std::string m_step;
    int m_tenths = -1;
    std::chrono::steady_clock::time_point m_last{};
};

}  // namespace hangtrue::cli

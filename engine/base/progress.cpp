// SPDX-License-Identifier: Apache-2.0
#include "engine/base/progress.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/base/error.h"

namespace hangtrue::base {

static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler sets the cancel flag");

Progress::Progress(Sink sink) : m_sink(std::move(sink)) {}

void Progress::check() const {
    if (is_cancelled()) throw Cancelled();
}

void Progress::report(std::string_view step, double fraction) {
    check();
    if (!m_sink) return;
    const double clamped = std::clamp(fraction, 0.0, 1.0);
    const int hundredths = static_cast<int>(std::floor(clamped * 100));
    const std::lock_guard lock(m_mutex);
    if (m_step == step && m_hundredths == hundredths) return;
    m_step = step;
    m_hundredths = hundredths;
    m_sink({m_step, clamped});
}

}  // namespace hangtrue::base

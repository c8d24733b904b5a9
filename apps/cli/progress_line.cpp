// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/progress_line.h"

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>

namespace hangtrue::cli {

namespace {

/// An eye follows ten changes a second, and a terminal over a slow line keeps up with them.
constexpr std::chrono::milliseconds shortest_interval{100};

std::size_t terminal_width(int descriptor) {
    winsize size{};
    const bool known = ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > 1;
    return known ? size.ws_col : 80;
}

}  // namespace

void ProgressLine::show(const base::ProgressReport& report) {
    if (m_mode == Mode::none) return;
    const bool new_step = report.step != m_step;
    const int percent = static_cast<int>(report.fraction * 100);
    const std::string text = report.step + " " + std::to_string(percent) + " %";
    if (m_mode == Mode::lines) {
        const int tenths = percent / 10;
        if (new_step || tenths != m_tenths) write("hangtrue: " + text + "\n");
        m_tenths = tenths;
    } else {
        const auto now = std::chrono::steady_clock::now();
        if (!new_step && percent < 100 && now - m_last < shortest_interval) return;
        m_last = now;
        overprint(text);
    }
    m_step = report.step;
}

void ProgressLine::overprint(const std::string& text) {
    // The last column stays free: a line that fills it is wrapped by some terminals, and then not overprinted.
    const std::string shown = text.substr(0, terminal_width(m_descriptor) - 1);
    const std::size_t left_over = m_shown_width > shown.size() ? m_shown_width - shown.size() : 0;
    write("\r" + shown + std::string(left_over, ' ') + std::string(left_over, '\b'));
    m_shown_width = shown.size();
}

void ProgressLine::clear() {
    if (m_shown_width == 0) return;
    write("\r" + std::string(m_shown_width, ' ') + "\r");
    m_shown_width = 0;
}

void ProgressLine::write(const std::string& text) const {
    [[maybe_unused]] const auto written = ::write(m_descriptor, text.data(), text.size());
}

}  // namespace hangtrue::cli

// SPDX-License-Identifier: Apache-2.0
#include "engine/base/clock.h"

#include <array>
#include <ctime>
#include <optional>
#include <string_view>

namespace hangtrue::base {

std::string timestamp(std::chrono::system_clock::time_point time) {
    const std::time_t seconds = std::chrono::system_clock::to_time_t(time);
    std::tm parts{};
    ::gmtime_r(&seconds, &parts);
    std::array<char, 32> text{};
    const std::size_t length = std::strftime(text.data(), text.size(), "%Y-%m-%dT%H:%M:%SZ", &parts);
    return {text.data(), length};
}

double days_between(const std::string& from, const std::string& to) {
    constexpr double seconds_a_day = 86400;
    const auto seconds = [](const std::string& text) -> std::optional<double> {
        std::tm parts{};
        const bool is_day = text.size() == std::string_view("2026-03-14").size();
        if (::strptime(text.c_str(), is_day ? "%Y-%m-%d" : "%Y-%m-%dT%H:%M:%SZ", &parts) == nullptr)
            return std::nullopt;
        return static_cast<double>(::timegm(&parts));
    };
    const auto first = seconds(from);
    const auto last = seconds(to);
    return first && last ? (*last - *first) / seconds_a_day : 0;
}

}  // namespace hangtrue::base

// SPDX-License-Identifier: Apache-2.0
#include "engine/base/clock.h"

#include <array>
#include <ctime>

namespace hangtrue::base {

std::string timestamp(std::chrono::system_clock::time_point time) {
    const std::time_t seconds = std::chrono::system_clock::to_time_t(time);
    std::tm parts{};
    ::gmtime_r(&seconds, &parts);
    std::array<char, 32> text{};
    const std::size_t length = std::strftime(text.data(), text.size(), "%Y-%m-%dT%H:%M:%SZ", &parts);
    return {text.data(), length};
}

}  // namespace hangtrue::base

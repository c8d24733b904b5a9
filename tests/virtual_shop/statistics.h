// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Medians and means with how sure they are. Pure.

#include <algorithm>
#include <cmath>
#include <vector>

#include "tests/virtual_shop/shop.h"

namespace hangtrue::virtual_shop {

/// The value that `share` of the others do not exceed, between neighbours on a straight line; 0 of nothing.
inline double quantile(std::vector<double> values, double share) {
    if (values.empty()) return 0;
    std::sort(values.begin(), values.end());
    const double place = share * static_cast<double>(values.size() - 1);
    const auto below = static_cast<std::size_t>(place);
    const auto above = std::min(below + 1, values.size() - 1);
    return values[below] + (place - static_cast<double>(below)) * (values[above] - values[below]);
}

inline double mean(const std::vector<double>& values) {
    double sum = 0;
    for (const double value : values) sum += value;
    return values.empty() ? 0 : sum / static_cast<double>(values.size());
}

struct Interval {
    double value = 0;
    double low = 0;
    double high = 0;
};

/// `of` all values, and its 95 % bootstrap percentile interval (Efron 1979) from 2,000 draws of whole values.
template <typename Value, typename Of>
Interval with_interval(const std::vector<Value>& values, const Of& of, std::uint64_t seed) {
    Chance chance(seed ^ 0x626f6f74ULL);
    std::vector<double> drawn(2000);
    std::vector<Value> sample(values.size());
    for (double& result : drawn) {
        for (Value& value : sample) value = values[chance.bits() % values.size()];
        result = of(sample);
    }
    return {of(values), quantile(drawn, 0.025), quantile(drawn, 0.975)};
}

}  // namespace hangtrue::virtual_shop

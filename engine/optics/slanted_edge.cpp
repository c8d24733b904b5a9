// SPDX-License-Identifier: Apache-2.0
#include "engine/optics/slanted_edge.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <complex>
#include <numbers>

namespace hangtrue::optics {
namespace {

constexpr double pi = std::numbers::pi;
constexpr int bins_per_px = 4;  // ISO 12233: samples are gathered in quarter pixels.

double hamming(double offset, double half_width) {
    return std::abs(offset) > half_width ? 0 : 0.54 + 0.46 * std::cos(pi * offset / half_width);
}

struct Line {
    double at_zero = 0;
    double slope = 0;  // Columns a row.
};

Line fitted(const std::vector<double>& positions) {
    const auto n = static_cast<double>(positions.size());
    double sum = 0, sum_y = 0, sum_yy = 0, sum_xy = 0;
    for (std::size_t i = 0; i < positions.size(); ++i) {
        const auto y = static_cast<double>(i);
        sum += positions[i];
        sum_y += y;
        sum_yy += y * y;
        sum_xy += y * positions[i];
    }
    const double slope = (n * sum_xy - sum_y * sum) / (n * sum_yy - sum_y * sum_y);
    return {(sum - slope * sum_y) / n, slope};
}

// The slope's centroid in a row, seen through a window about `centre`.
std::optional<double> edge_in_row(std::span<const float> row, double centre, double half_width) {
    double sum = 0;
    double moment = 0;
    for (std::size_t x = 1; x + 1 < row.size(); ++x) {
        const double window = hamming(static_cast<double>(x) - centre, half_width);
        const double slope = window * (static_cast<double>(row[x + 1]) - static_cast<double>(row[x - 1])) / 2;
        sum += slope;
        moment += slope * static_cast<double>(x);
    }
    if (std::abs(sum) < 1e-9) return std::nullopt;
    return moment / sum;
}

// The edge profile in quarter pixels along the normal; bins that no pixel meets take their neighbours' mean.
std::vector<double> profile_of(std::span<const float> linear, int width, int height, const Line& line, int half_bins) {
    const double across = 1 / std::hypot(1.0, line.slope);  // Columns to distance along the normal.
    std::vector<double> sums(static_cast<std::size_t>(2 * half_bins));
    std::vector<int> counts(sums.size());
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            const double distance = (x - (line.at_zero + line.slope * y)) * across;
            const int bin = static_cast<int>(std::floor(distance * bins_per_px)) + half_bins;
            if (bin < 0 || bin >= 2 * half_bins) continue;
            sums[static_cast<std::size_t>(bin)] += static_cast<double>(
                linear[static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x)]);
            ++counts[static_cast<std::size_t>(bin)];
        }
    }
    for (std::size_t i = 0; i < sums.size(); ++i) {
        if (counts[i] > 0) {
            sums[i] /= counts[i];
            continue;
        }
        std::size_t next = i;
        while (next < sums.size() && counts[next] == 0) ++next;
        const double left = i > 0 ? sums[i - 1] : (next < sums.size() ? sums[next] / counts[next] : 0);
        const double right = next < sums.size() ? sums[next] / counts[next] : left;
        sums[i] = (left + right) / 2;
    }
    return sums;
}

// By plain sums up to a quarter cycle a bin, `bins` of them a unit. `finer`: frequencies between those of the
// spread's own length.
std::optional<EdgeMtf> transformed(std::span<const double> spread, double bins, std::size_t finer) {
    const auto count = static_cast<double>(finer * spread.size());
    EdgeMtf result;
    result.step = bins / count;
    double at_zero = 0;
    for (std::size_t k = 0; static_cast<double>(k) * bins_per_px <= count; ++k) {
        std::complex<double> sum = 0;
        for (std::size_t i = 0; i < spread.size(); ++i) {
            sum += spread[i] * std::polar(1.0, -2 * pi * static_cast<double>(k * i) / count);
        }
        const double magnitude = std::abs(sum);
        if (k == 0) {
            at_zero = magnitude;
            if (at_zero < 1e-9) return std::nullopt;
        }
        // The central difference over two bins falls as sin(x) / x (ISO 12233), the gathering in bins as the same with
        // half of it.
        const double x = 2 * pi * static_cast<double>(k) / count;
        const double difference = k == 0 ? 1 : x / std::sin(x);
        const double gathering = k == 0 ? 1 : (x / 2) / std::sin(x / 2);
        result.values.push_back(magnitude / at_zero * std::min(difference, 10.0) * gathering);
    }
    return result;
}

}  // namespace

double EdgeMtf::at(double cycles_per_px) const {
    if (values.empty() || cycles_per_px < 0) return 0;
    const double place = cycles_per_px / step;
    const auto index = static_cast<std::size_t>(place);
    if (index + 1 >= values.size()) return 0;
    const double share = place - static_cast<double>(index);
    return values[index] * (1 - share) + values[index + 1] * share;
}

double EdgeMtf::f50() const {
    for (std::size_t i = 1; i < values.size(); ++i) {
        if (values[i] > 0.5) continue;
        const double share = (values[i - 1] - 0.5) / (values[i - 1] - values[i]);
        return step * (static_cast<double>(i - 1) + share);
    }
    return 0;
}

std::optional<EdgeMtf> edge_mtf(std::span<const float> linear, int width, int height) {
    assert(linear.size() >=
           static_cast<std::size_t>(std::max(width, 0)) * static_cast<std::size_t>(std::max(height, 0)));
    if (width < 16 || height < 16) return std::nullopt;
    const auto row = [&](int y) {
        return linear.subspan(static_cast<std::size_t>(y) * static_cast<std::size_t>(width),
                              static_cast<std::size_t>(width));
    };

    // First through a window over the whole row, then through one about the line found.
    std::vector<double> positions(static_cast<std::size_t>(height));
    Line line{(width - 1) / 2.0, 0};
    for (int round = 0; round < 3; ++round) {
        for (int y = 0; y < height; ++y) {
            const auto found = edge_in_row(row(y), line.at_zero + line.slope * y, round == 0 ? width : width / 4.0);
            if (!found) return std::nullopt;
            positions[static_cast<std::size_t>(y)] = *found;
        }
        line = fitted(positions);
    }
    const double angle = std::atan(line.slope) * 180 / pi;
    const double ends[] = {line.at_zero, line.at_zero + line.slope * (height - 1)};
    const bool leaves = std::ranges::any_of(ends, [&](double x) { return x < 4 || x > width - 5; });
    // Under a degree all rows meet the same quarters of a pixel.
    if (leaves || std::abs(angle) < 1 || std::abs(angle) > 30) return std::nullopt;

    const double room = std::min({ends[0], ends[1], width - 1 - ends[0], width - 1 - ends[1]});
    const int half_bins = static_cast<int>(room * bins_per_px);
    const auto profile = profile_of(linear, width, height, line, half_bins);

    // The line spread, windowed about the edge; then its transform, bin by bin, up to 1 cycle a pixel.
    const std::size_t count = profile.size();
    std::vector<double> spread(count);
    for (std::size_t i = 1; i + 1 < count; ++i) {
        const double offset = static_cast<double>(i) + 0.5 - half_bins;
        spread[i] = hamming(offset, half_bins) * (profile[i + 1] - profile[i - 1]) / 2;
    }
    auto result = transformed(spread, bins_per_px, 1);
    if (result) result->angle_degrees = angle;
    return result;
}

std::optional<EdgeMtf> profile_mtf(std::span<const double> profile, double bin) {
    const std::size_t count = profile.size();
    if (count < 8) return std::nullopt;
    std::vector<double> spread(count);
    const double half = static_cast<double>(count) / 2;
    for (std::size_t i = 1; i + 1 < count; ++i) {
        const double offset = std::abs(static_cast<double>(i) + 0.5 - half) / half;
        const double window = offset < 0.5 ? 1 : 0.5 * (1 + std::cos(2 * pi * (offset - 0.5)));
        spread[i] = window * (profile[i + 1] - profile[i - 1]) / 2;
    }
    return transformed(spread, 1 / bin, 4);
}

}  // namespace hangtrue::optics

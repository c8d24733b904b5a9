// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/edge_profile.h"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>

#include "engine/optics/mtf.h"
#include "engine/trial/median.h"

namespace hangtrue::trial {

EdgeLine fitted_line(const StripValues& along, const StripValues& offsets, bool may_bend) {
    EdgeLine line;
    std::array<bool, strips> used{};
    used.fill(true);
    const Eigen::Index terms = may_bend ? 3 : 2;
    for (int round = 0; round < 2; ++round) {
        Eigen::MatrixXd rows = Eigen::MatrixXd::Zero(strips, terms);
        Eigen::VectorXd wanted = Eigen::VectorXd::Zero(strips);
        for (std::size_t i = 0; i < strips; ++i) {
            if (!used[i]) continue;
            const auto row = static_cast<Eigen::Index>(i);
            for (Eigen::Index term = 0; term < terms; ++term) {
                rows(row, term) = std::pow(along[i], static_cast<double>(term));
            }
            wanted(row) = offsets[i];
        }
        const Eigen::VectorXd found = rows.colPivHouseholderQr().solve(wanted);
        line = {found(0), found(1), may_bend ? found(2) : 0};
        std::vector<double> off;
        for (std::size_t i = 0; i < strips; ++i) off.push_back(std::abs(offsets[i] - line.at(along[i])));
        const double reach = std::max(4 * median(off), 1e-6);
        for (std::size_t i = 0; i < strips; ++i) used[i] = off[i] <= reach;
    }
    return line;
}

std::size_t strip_of(const EdgeSample& sample, const EdgeRoom& room) {
    const double share = (static_cast<double>(sample.along) + room.length) / (2 * room.length);
    return std::min(static_cast<std::size_t>(std::max(share, 0.0) * strips), strips - 1);
}

double EdgeProfile::at(double across) const {
    const double spot = across / bin + static_cast<double>(values.size()) / 2 - 0.5;
    const double held = std::clamp(spot, 0.0, static_cast<double>(values.size() - 1) - 1e-9);
    const auto index = static_cast<std::size_t>(held);
    const double share = held - static_cast<double>(index);
    return values[index] * (1 - share) + values[index + 1] * share;
}

double EdgeProfile::place(std::size_t index) const {
    return (static_cast<double>(index) + 0.5 - static_cast<double>(values.size()) / 2) * bin;
}

EdgeProfile profile_of(std::span<const EdgeSample> samples, const EdgeLine& line, double bin, double across) {
    const auto half = static_cast<std::ptrdiff_t>(across / bin);
    if (half < 2) return {bin, {0, 0}, 1};
    EdgeProfile profile{bin, std::vector<double>(static_cast<std::size_t>(2 * half)), 0};
    std::vector<int> counts(profile.values.size());
    for (const EdgeSample& sample : samples) {
        const double distance = static_cast<double>(sample.across) - line.at(static_cast<double>(sample.along));
        const std::ptrdiff_t index = static_cast<std::ptrdiff_t>(std::floor(distance / bin)) + half;
        if (index < 0 || index >= 2 * half) continue;
        profile.values[static_cast<std::size_t>(index)] += static_cast<double>(sample.light);
        ++counts[static_cast<std::size_t>(index)];
    }
    std::vector<std::size_t> filled;
    for (std::size_t i = 0; i < counts.size(); ++i) {
        if (counts[i] == 0) continue;
        profile.values[i] /= counts[i];
        filled.push_back(i);
    }
    if (filled.size() < 2) {
        profile.empty_share = 1;
        return profile;
    }
    std::size_t empty = 0;
    for (std::size_t i = 0; i < counts.size(); ++i) {
        if (counts[i] > 0) continue;
        const auto quarter = counts.size() / 4;
        empty += i >= quarter && i < 3 * quarter ? 1 : 0;
        const auto next = std::ranges::upper_bound(filled, i);
        const std::size_t right = next == filled.end() ? filled.back() : *next;
        const std::size_t left = next == filled.begin() ? filled.front() : *(next - 1);
        const double share = right > left ? static_cast<double>(i - left) / static_cast<double>(right - left) : 0;
        profile.values[i] = profile.values[left] * (1 - share) + profile.values[right] * share;
    }
    profile.empty_share = 2 * static_cast<double>(empty) / static_cast<double>(counts.size());
    return profile;
}

EdgeLine finer_line(std::span<const EdgeSample> samples, const EdgeRoom& room, const EdgeLine& line,
                    const EdgeProfile& profile, bool may_bend) {
    StripValues tops{}, bottoms{}, along{}, counts{}, offsets{};
    const double step = 2 * profile.bin;
    for (const EdgeSample& sample : samples) {
        const auto at = static_cast<double>(sample.along);
        const double distance = static_cast<double>(sample.across) - line.at(at);
        if (std::abs(distance) > 0.9 * room.across) continue;
        const double slope = (profile.at(distance + step) - profile.at(distance - step)) / (2 * step);
        const std::size_t strip = strip_of(sample, room);
        tops[strip] -= slope * (static_cast<double>(sample.light) - profile.at(distance));
        bottoms[strip] += slope * slope;
        along[strip] += at;
        counts[strip] += 1;
    }
    for (std::size_t i = 0; i < strips; ++i) {
        along[i] /= std::max(counts[i], 1.0);
        offsets[i] = line.at(along[i]) + (bottoms[i] > 0 ? tops[i] / bottoms[i] : 0);
    }
    return fitted_line(along, offsets, may_bend);
}

std::optional<optics::EdgeMtf> mtf_about(const EdgeProfile& profile, const EdgeLine& line) {
    auto mtf = optics::profile_mtf(profile.values, profile.bin);
    if (!mtf || mtf->f50() <= 0) return std::nullopt;
    const double reach = std::max(8 * optics::sigma_of_f50(mtf->f50()), 16 * profile.bin);
    const auto half = static_cast<std::ptrdiff_t>(profile.values.size() / 2);
    const std::ptrdiff_t kept = std::min(half, static_cast<std::ptrdiff_t>(reach / profile.bin));
    mtf = optics::profile_mtf(
        std::span(profile.values).subspan(static_cast<std::size_t>(half - kept), static_cast<std::size_t>(2 * kept)),
        profile.bin);
    if (!mtf || mtf->f50() <= 0) return std::nullopt;
    // Distances were taken at right angles to where the edge should run.
    mtf->step *= std::hypot(1.0, line.slope);
    return mtf;
}

}  // namespace hangtrue::trial

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// An edge's profile from pixels that lie anyhow about it (ISO 12233, e-SFR): where the edge runs, and the mean light
/// by the distance from it. Lengths in mm of the sheet. Pure, thread-safe.

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "engine/optics/slanted_edge.h"
#include "engine/trial/scan_samples.h"

namespace hangtrue::trial {

/// An edge is looked at in so many pieces of its length.
inline constexpr std::size_t strips = 12;
/// ISO 12233: quarter pixels.
inline constexpr double bins_a_pixel = 4;
/// More of a profile's bins without a pixel, and the edge stands along the picture's pixels.
inline constexpr double most_empty_bins = 0.1;

/// What is used about an edge: half of the length along it and half of the width across.
struct EdgeRoom {
    double length = 0;
    double across = 0;
};

/// Where an edge runs.
struct EdgeLine {
    double offset = 0;
    double slope = 0;
    double bend = 0;
    double at(double along) const { return offset + (slope + bend * along) * along; }
};

using StripValues = std::array<double, strips>;

/// Least squares, then once more without what lies furthest off. A long edge may bend: a lens does that.
EdgeLine fitted_line(const StripValues& along, const StripValues& offsets, bool may_bend);

/// 0 to strips - 1, for a sample within the room.
std::size_t strip_of(const EdgeSample& sample, const EdgeRoom& room);

/// Means over bins about the edge, which stands in the middle; two at the least. Empty bins take a straight line
/// between their neighbours, and all are empty where there is no room.
struct EdgeProfile {
    double bin = 0;
    std::vector<double> values;
    double empty_share = 0;  ///< In the inner half.
    double at(double across) const;
    /// A bin's middle.
    double place(std::size_t index) const;
};
EdgeProfile profile_of(std::span<const EdgeSample> samples, const EdgeLine& line, double bin, double across);

/// Each strip moved to where it fits the common profile best: one step of Gauss and Newton.
EdgeLine finer_line(std::span<const EdgeSample> samples, const EdgeRoom& room, const EdgeLine& line,
                    const EdgeProfile& profile, bool may_bend);

/// Cycles/mm at right angles to the line. The whole profile tells how wide the edge is; then only what lies about the
/// edge is used, so that noise is not. nullopt: it never falls to one half.
std::optional<optics::EdgeMtf> mtf_about(const EdgeProfile& profile, const EdgeLine& line);

}  // namespace hangtrue::trial

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What a picture holds of a test sheet's patches, bare paper and edges, taken row by row. Light, not codes; nothing is
/// resampled.

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/base/progress.h"
#include "engine/raster/row_reader.h"
#include "engine/trial/encoding.h"
#include "engine/trial/homography.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

using Rgb = std::array<double, 3>;

/// Of a patch's side, its middle: what is read.
inline constexpr double read_share = 0.6;

/// The mean light of some pixels.
struct PixelMean {
    Rgb sum{};
    int count = 0;
    Rgb mean() const {
        const double all = count > 0 ? count : 1;
        return {sum[0] / all, sum[1] / all, sum[2] / all};
    }
};

/// The read part of a patch in 4 x 4 blocks, row by row as the sheet reads.
inline constexpr std::size_t blocks_a_side = 4;
using PatchBlocks = std::array<PixelMean, blocks_a_side * blocks_a_side>;

/// One pixel about an edge; mm on the sheet, from the middle of a slanted edge's rect or of a side of the sheet.
struct EdgeSample {
    float along = 0;   ///< Down for a vertical edge, to the right for a horizontal one.
    float across = 0;  ///< Towards the light side, the sheet's inside.
    float light = 0;   ///< (R + 2 G + B) / 4.
};

/// Pixels, and those of them with a channel at the end of its range.
struct EndCount {
    std::int64_t all = 0;
    std::int64_t white = 0;
    std::int64_t black = 0;
    double white_share() const { return all > 0 ? static_cast<double>(white) / static_cast<double>(all) : 0; }
    double black_share() const { return all > 0 ? static_cast<double>(black) / static_cast<double>(all) : 0; }
};

struct ScanSamples {
    std::vector<PatchBlocks> patches;  ///< As Sheet::patches.
    std::vector<EndCount> patch_ends;  ///< As Sheet::patches.
    std::vector<PixelMean> paper;      ///< As the spots; empty where a spot lies outside the picture.
    EndCount paper_ends;
    std::vector<std::vector<EdgeSample>> edges;    ///< As Sheet::edges.
    std::array<std::vector<EdgeSample>, 4> sides;  ///< As side_of numbers them.
};

/// `to_picture`: from the sheet's mm to picture pixels. Throws what the reader throws, Cancelled.
ScanSamples samples_of(const Sheet& sheet, std::span<const Point> paper, const Homography& to_picture,
                       const Encoding& encoding, raster::RowReader& picture, base::Progress& progress);

/// At right angles to the edge, towards its light side, and along it.
struct EdgeFrame {
    Point middle;  ///< mm
    Point across;
    Point along;
};
EdgeFrame frame_of(const Sheet& sheet, const SlantedEdge& edge);
/// How far a step of one picture pixel to the right (x) and down (y) goes across the edge, there: mm of the sheet.
Point pixel_across(const EdgeFrame& frame, const Homography& to_picture, Point mm);

/// The middle of a side of the sheet, where its paper ends; mm. Trimming may put the cut some mm off the file's end.
struct PaperSide {
    EdgeFrame frame;     ///< Its middle lies on the file's end; across goes to the inside.
    double length = 0;   ///< Half of what is looked at along the side; 0: it holds nothing to look at.
    double outside = 0;  ///< So far out…
    double inside = 0;   ///< …and in, where nothing is printed.
};
/// Sides 0 to 3: left, upper, right, lower.
PaperSide side_of(const Sheet& sheet, const Homography& to_picture, std::size_t side);

}  // namespace hangtrue::trial

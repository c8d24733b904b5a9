// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/screen_and_paper.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include "engine/base/error.h"
#include "engine/base/units_text.h"

namespace hangtrue::picture {
namespace {

constexpr int block_px = 8;
constexpr int least_area_blocks = 12;

// All estimates, of photographs by cameras and telephones.
constexpr double flat_spread = 0.06;       // Of a block's luminance: paper's texture, a screen's raster, noise.
constexpr double least_luminance = 0.02;   // Code 39.
constexpr double same_area_stops = 0.1;    // From block to block: light falls off slowly.
constexpr double least_share = 0.02;       // Of the photograph.
constexpr double nearly_as_bright = 1.5;   // Stops: a third area that bright may be the one that is meant.
constexpr double brightest_trusted = 240;  // Beyond, tone curves run flat into white.
constexpr double darkest_trusted = 40;
constexpr double most_clipped = 0.005;
constexpr double most_uneven = 1;
// A camera's tone curve rises between half and twice as fast as light, below its shoulder.
constexpr double slowest_curve = 0.5;
constexpr double fastest_curve = 2;

double linear_of(double code) {
    const double encoded = code / 255;
    return encoded <= 0.04045 ? encoded / 12.92 : std::pow((encoded + 0.055) / 1.055, 2.4);
}

double code_of(double linear) {
    return 255 * (linear <= 0.0031308 ? 12.92 * linear : 1.055 * std::pow(linear, 1 / 2.4) - 0.055);
}

const std::array<double, 256>& linear_codes() {
    static const std::array<double, 256> table = [] {
        std::array<double, 256> values{};
        for (std::size_t code = 0; code < values.size(); ++code) values[code] = linear_of(static_cast<double>(code));
        return values;
    }();
    return table;
}

struct Block {
    double luminance = 0;
    double spread = 0;  ///< Standard deviation over the mean.
    std::array<double, 3> codes{};
    int clipped = 0;
    int pixels = 0;
};

Block block_of(const SmallPhotograph& photograph, base::PixelRect rect) {
    Block block;
    double sum = 0;
    double squares = 0;
    for (int y = rect.y; y < rect.bottom(); ++y) {
        for (int x = rect.x; x < rect.right(); ++x) {
            const std::uint8_t* pixel =
                photograph.rgb.data() +
                3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(photograph.size.width) +
                     static_cast<std::size_t>(x));
            const auto& linear = linear_codes();
            const double luminance = 0.2126 * linear[pixel[0]] + 0.7152 * linear[pixel[1]] + 0.0722 * linear[pixel[2]];
            sum += luminance;
            squares += luminance * luminance;
            for (std::size_t channel = 0; channel < 3; ++channel) block.codes[channel] += pixel[channel];
            if (std::max({pixel[0], pixel[1], pixel[2]}) >= 254) ++block.clipped;
            ++block.pixels;
        }
    }
    const double count = std::max(1, block.pixels);
    block.luminance = sum / count;
    block.spread =
        std::sqrt(std::max(0.0, squares / count - block.luminance * block.luminance)) / std::max(block.luminance, 1e-6);
    for (double& code : block.codes) code /= count;
    return block;
}

FlatArea area_of(const std::vector<Block>& blocks, base::PixelRect rect) {
    FlatArea area;
    area.rect = rect;
    std::vector<double> luminances;
    std::array<double, 3> codes{};
    double pixels = 0;
    double clipped = 0;
    for (const Block& block : blocks) {
        luminances.push_back(block.luminance);
        pixels += block.pixels;
        clipped += block.clipped;
        for (std::size_t channel = 0; channel < 3; ++channel) codes[channel] += block.codes[channel];
    }
    std::sort(luminances.begin(), luminances.end());
    const std::size_t count = luminances.size();
    area.luminance = luminances[count / 2];
    area.uneven_stops =
        std::log2(std::max(luminances[count - 1 - count / 10], 1e-6) / std::max(luminances[count / 10], 1e-6));
    area.brightest_code = *std::max_element(codes.begin(), codes.end()) / static_cast<double>(count);
    area.clipped_share = clipped / pixels;
    return area;
}

struct Grid {
    int across = 0;
    int down = 0;
    std::vector<Block> blocks;
    const Block& at(int x, int y) const { return blocks[static_cast<std::size_t>(y * across + x)]; }
};

Grid grid_of(const SmallPhotograph& photograph) {
    Grid grid{photograph.size.width / block_px, photograph.size.height / block_px, {}};
    for (int y = 0; y < grid.down; ++y) {
        for (int x = 0; x < grid.across; ++x) {
            grid.blocks.push_back(block_of(photograph, {x * block_px, y * block_px, block_px, block_px}));
        }
    }
    return grid;
}

bool is_flat(const Block& block) { return block.spread < flat_spread && block.luminance > least_luminance; }

bool are_one(const Block& first, const Block& second) {
    if (std::abs(std::log2(first.luminance / second.luminance)) > same_area_stops) return false;
    // Another tint is another thing: in codes, where a tint of 8 shows at once.
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const double apart = (first.codes[channel] - first.codes[1]) - (second.codes[channel] - second.codes[1]);
        if (std::abs(apart) > 8) return false;
    }
    return true;
}

struct Region {
    std::vector<std::size_t> blocks;
    base::PixelRect rect;
    double luminance = 0;
};

/// Flat blocks that hang together.
std::vector<Region> regions_of(const Grid& grid) {
    std::vector<Region> regions;
    std::vector<char> taken(grid.blocks.size(), 0);
    for (std::size_t start = 0; start < grid.blocks.size(); ++start) {
        if (taken[start] != 0 || !is_flat(grid.blocks[start])) continue;
        Region region;
        std::vector<std::size_t> waiting{start};
        taken[start] = 1;
        int left = grid.across;
        int right = 0;
        int top = grid.down;
        int bottom = 0;
        while (!waiting.empty()) {
            const std::size_t here = waiting.back();
            waiting.pop_back();
            region.blocks.push_back(here);
            const int x = static_cast<int>(here) % grid.across;
            const int y = static_cast<int>(here) / grid.across;
            left = std::min(left, x);
            right = std::max(right, x + 1);
            top = std::min(top, y);
            bottom = std::max(bottom, y + 1);
            constexpr std::array<std::array<int, 2>, 4> steps{{{1, 0}, {-1, 0}, {0, 1}, {0, -1}}};
            for (const auto& step : steps) {
                const int nx = x + step[0];
                const int ny = y + step[1];
                if (nx < 0 || ny < 0 || nx >= grid.across || ny >= grid.down) continue;
                const auto next = static_cast<std::size_t>(ny * grid.across + nx);
                if (taken[next] != 0 || !is_flat(grid.blocks[next])) continue;
                if (!are_one(grid.blocks[here], grid.blocks[next])) continue;
                taken[next] = 1;
                waiting.push_back(next);
            }
        }
        region.rect = {left * block_px, top * block_px, (right - left) * block_px, (bottom - top) * block_px};
        std::vector<double> luminances;
        for (const std::size_t block : region.blocks) luminances.push_back(grid.blocks[block].luminance);
        std::nth_element(luminances.begin(), luminances.begin() + static_cast<std::ptrdiff_t>(luminances.size() / 2),
                         luminances.end());
        region.luminance = luminances[luminances.size() / 2];
        regions.push_back(std::move(region));
    }
    return regions;
}

FlatArea area_of(const Region& region, const Grid& grid) {
    std::vector<Block> blocks;
    for (const std::size_t block : region.blocks) blocks.push_back(grid.blocks[block]);
    return area_of(blocks, region.rect);
}

constexpr const char* given_by_hand =
    " Give both with --screen-at X,Y,W,H and --paper-at X,Y,W,H, in pixels of the photograph.";

void hold_area(const FlatArea& area, const std::string& name) {
    if (area.clipped_share > most_clipped || area.brightest_code > brightest_trusted) {
        throw base::InvalidWish(name +
                                " is blown out in the photograph, or nearly so: what is white there may be any "
                                "white. Photograph both again with two stops less exposure.");
    }
    if (code_of(area.luminance) < darkest_trusted) {
        throw base::InvalidWish(name +
                                " is too dark in the photograph to tell by. Photograph both again with more "
                                "exposure.");
    }
    if (area.uneven_stops > most_uneven) {
        throw base::InvalidWish(name + " is unevenly bright in the photograph, by " +
                                base::number_text(area.uneven_stops, 1) +
                                " stops: a shadow, a reflection, or more than the one thing. Photograph it again, or "
                                "give a part of it that is even (--screen-at, --paper-at).");
    }
}

}  // namespace

FlatArea flat_area(const SmallPhotograph& photograph, base::PixelRect rect) {
    const base::PixelRect inside = base::intersection(rect, {0, 0, photograph.size.width, photograph.size.height});
    std::vector<Block> blocks;
    for (int y = inside.y; y + block_px <= inside.bottom(); y += block_px) {
        for (int x = inside.x; x + block_px <= inside.right(); x += block_px) {
            blocks.push_back(block_of(photograph, {x, y, block_px, block_px}));
        }
    }
    if (static_cast<int>(blocks.size()) < least_area_blocks) {
        throw base::InvalidWish("The area that was given is too small to tell by, or lies beyond the photograph.");
    }
    return area_of(blocks, inside);
}

TwoAreas found_areas(const SmallPhotograph& photograph) {
    const Grid grid = grid_of(photograph);
    std::vector<Region> regions = regions_of(grid);
    const double least_blocks =
        std::max<double>(least_area_blocks, least_share * static_cast<double>(grid.blocks.size()));
    std::erase_if(regions,
                  [&](const Region& region) { return static_cast<double>(region.blocks.size()) < least_blocks; });
    std::sort(regions.begin(), regions.end(),
              [](const Region& first, const Region& second) { return first.luminance > second.luminance; });
    if (regions.size() < 2) {
        throw base::InvalidWish(
            "The photograph shows no two large, evenly bright areas: the screen's white on the "
            "left, the sheet of paper on the right." +
            std::string(given_by_hand));
    }
    if (regions.size() > 2 && std::log2(regions[1].luminance / regions[2].luminance) < nearly_as_bright &&
        regions[2].blocks.size() * 2 > std::min(regions[0].blocks.size(), regions[1].blocks.size())) {
        throw base::InvalidWish(
            "The photograph shows more than two bright areas (a wall, a window?), and it is a guess "
            "which of them are meant." +
            std::string(given_by_hand));
    }
    const auto middle = [](const Region& region) { return 2 * region.rect.x + region.rect.width; };
    const bool in_order = middle(regions[0]) <= middle(regions[1]);
    return {area_of(regions[in_order ? 0 : 1], grid), area_of(regions[in_order ? 1 : 0], grid)};
}

ScreenAndPaper compared(const FlatArea& screen, const FlatArea& paper) {
    hold_area(screen, "The screen");
    hold_area(paper, "The paper");
    ScreenAndPaper result{.screen = screen, .paper = paper};
    result.stops = std::log2(screen.luminance / paper.luminance);
    result.least = result.stops / fastest_curve;
    result.most = result.stops / slowest_curve;
    result.are_equal = std::abs(result.stops) < equal_stops;
    return result;
}

}  // namespace hangtrue::picture

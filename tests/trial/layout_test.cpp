// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/layout.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "engine/trial/marks.h"
#include "tests/trial/ground.h"

namespace hangtrue::trial {
namespace {

using base::inches;
using base::PixelRect;

bool is_inside(const PixelRect& rect, const PixelRect& outer) {
    return rect.x >= outer.x && rect.y >= outer.y && rect.right() <= outer.right() && rect.bottom() <= outer.bottom();
}

std::vector<PixelRect> all_places(const Sheet& sheet) {
    std::vector<PixelRect> places;
    for (const auto& one : sheet.cells) places.push_back(one.rect);
    for (const auto& one : sheet.patches) places.push_back(one.rect);
    for (const auto& one : sheet.marks) places.push_back(one.rect);
    for (const auto& one : sheet.edges) places.push_back(one.rect);
    for (const auto& one : sheet.lines) places.push_back(one.rect);
    for (const auto& one : sheet.captions) places.push_back(one.rect);
    return places;
}

int count_of(const Sheet& sheet, Patch::Kind kind) {
    return static_cast<int>(std::count_if(sheet.patches.begin(), sheet.patches.end(),
                                          [kind](const Patch& patch) { return patch.kind == kind; }));
}

class every_ground : public testing::TestWithParam<std::tuple<double, double, double, double>> {
  protected:
    Ground ground() const {
        const auto [width, height, ppi, f50] = GetParam();
        return ground_of({inches(width), inches(height)}, {ppi}, f50, {f50 < 2.5 ? 7.0 : 5.0});
    }
};

TEST_P(every_ground, keeps_all_inside_the_safe_area_and_nothing_over_another) {
    const auto sheet = laid_out_in_srgb(ground());
    ASSERT_TRUE(sheet);
    const auto places = all_places(*sheet);
    for (std::size_t i = 0; i < places.size(); ++i) {
        EXPECT_TRUE(is_inside(places[i], ground().safe)) << i;
        for (std::size_t j = i + 1; j < places.size(); ++j) {
            EXPECT_TRUE(base::intersection(places[i], places[j]).empty()) << i << " and " << j;
        }
    }
}

TEST_P(every_ground, has_what_a_reading_needs) {
    const auto sheet = laid_out_in_srgb(ground());
    ASSERT_TRUE(sheet);
    EXPECT_GE(sheet->cells.size(), 5U);
    const double px_a_mm = base::pixels({1}, ground().ppi);
    for (const Cell& cell : sheet->cells) {
        EXPECT_GE(cell.rect.width, 20 * px_a_mm);
        EXPECT_EQ(cell.rect.width, cell.rect.height);
        EXPECT_EQ(cell.rect.width, sheet->cells.front().rect.width);
    }
    EXPECT_GE(count_of(*sheet, Patch::Kind::grey), 16);
    EXPECT_GE(count_of(*sheet, Patch::Kind::colour), 32);
    EXPECT_GE(count_of(*sheet, Patch::Kind::near_grey), 13);
    for (const Patch& patch : sheet->patches) EXPECT_GE(patch.rect.width, ground().least_patch.value * px_a_mm);
    // The full width at half maximum of a Gaussian whose MTF falls to one half at f50: 2.355 sqrt(ln 2 / 2) / (pi f50).
    const double blur_mm = 2.355 * std::sqrt(std::log(2.0) / 2) / (3.14159265 * ground().f50_cycles_per_mm);
    for (const Mark& mark : sheet->marks) {
        const double module = static_cast<double>(mark.rect.width) / mark_modules;
        EXPECT_GE(module, 3);
        EXPECT_GE(module, 2 * blur_mm * px_a_mm);
    }
    EXPECT_EQ(sheet->edges.size(), 4U);
    EXPECT_FALSE(sheet->lines.empty());
}

// 8 x 10 in and 12 x 8 in are common smallest sizes (common practice); canvas at 100 ppi with a coarse weave.
INSTANTIATE_TEST_SUITE_P(sheets, every_ground,
                         testing::Values(std::tuple{8, 10, 300, 5}, std::tuple{12, 8, 200, 3}, std::tuple{7, 5, 300, 5},
                                         std::tuple{20, 16, 100, 2}, std::tuple{12, 12, 150, 4},
                                         std::tuple{36, 12, 200, 3}));

TEST(sheet_layout, patches_are_codes_of_the_file_and_say_what_they_are) {
    for (const int levels : {255, 65535}) {
        const auto sheet = laid_out_in_srgb(ground_of({inches(10), inches(8)}), levels);
        ASSERT_TRUE(sheet);
        const colour::LabReader reader(colour::Profile::srgb());
        std::set<std::string> names;
        for (const Patch& patch : sheet->patches) {
            names.insert(patch.name);
            for (const float channel : patch.rgb) {
                EXPECT_NEAR(channel * static_cast<float>(levels), std::round(channel * static_cast<float>(levels)),
                            4e-3);
            }
            EXPECT_LT(colour::delta_e_76(patch.lab, reader.lab(patch.rgb)), 1e-6);
        }
        EXPECT_EQ(names.size(), sheet->patches.size());
    }
}

TEST(sheet_layout, the_wedge_goes_from_black_to_white) {
    const auto sheet = laid_out_in_srgb(ground_of({inches(10), inches(8)}));
    double before = -1;
    for (const Patch& patch : sheet->patches) {
        if (patch.kind != Patch::Kind::grey) continue;
        EXPECT_GT(patch.lab.lightness, before);
        EXPECT_LT(std::hypot(patch.lab.a, patch.lab.b), 0.6);  // Half a code of 8 bits.
        before = patch.lab.lightness;
    }
    EXPECT_NEAR(before, 100, 1e-3);
}

TEST(sheet_layout, has_none_where_five_cells_have_no_room) {
    EXPECT_FALSE(laid_out_in_srgb(ground_of({inches(4), inches(3)})));
    EXPECT_FALSE(laid_out_in_srgb(ground_of({inches(30), inches(2)})));
}

TEST(sheet_layout, shows_no_more_cells_than_can_be_compared_and_makes_them_large_instead) {
    const auto sheet = laid_out_in_srgb(ground_of({inches(24), inches(16)}, {150}));
    ASSERT_TRUE(sheet);
    EXPECT_EQ(sheet->cells.size(), static_cast<std::size_t>(most_cells));
    EXPECT_GT(base::length_of(sheet->cells.front().rect.width, {150}).value, 50);
}

}  // namespace
}  // namespace hangtrue::trial

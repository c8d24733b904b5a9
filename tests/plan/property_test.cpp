// SPDX-License-Identifier: Apache-2.0
/// What holds for every plan: random wishes, media and pictures.

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "engine/base/error.h"
#include "engine/plan/consistency.h"
#include "engine/plan/limits.h"
#include "tests/plan/example.h"
#include "tests/support/random.h"

namespace hangtrue::plan {
namespace {

using base::Millimetres;

class RandomWorld {
  public:
    explicit RandomWorld(std::uint64_t seed) : m_random(seed) {}

    double real(double least, double most) { return std::uniform_real_distribution(least, most)(m_random); }
    int integer(int least, int most) { return std::uniform_int_distribution(least, most)(m_random); }
    bool chance(double share) { return real(0, 1) < share; }
    base::Edges<Millimetres> edges(double most) {
        return {{real(0, most)}, {real(0, most)}, {real(0, most)}, {real(0, most)}};
    }

    shops::Medium medium() {
        shops::Medium medium = example::metal();
        medium.ppi = {std::nullopt, base::PixelsPerInch{real(40, 300)}, std::nullopt};
        medium.free_sizes = shops::FreeSizes{.least_side = {100},
                                             .most_short_side = {2000},
                                             .most_long_side = {3000},
                                             .process = "",
                                             .price_per_square_metre = std::nullopt};
        if (chance(0.4)) {
            medium.bleed =
                shops::Bleed{chance(0.5) ? shops::BleedPlace::outside : shops::BleedPlace::inside, edges(15)};
        }
        if (chance(0.4)) medium.wrap = example::canvas().wrap;
        return medium;
    }

    Wish wish(base::PixelSize picture) {
        Wish wish;
        wish.size = {{real(100, 1500)}, {real(100, 1500)}};
        wish.panels = chance(0.3) ? integer(2, 5) : 1;
        if (wish.panels > 1) wish.gap = {real(0, 80)};
        wish.bleed = chance(0.8);
        if (chance(0.3)) wish.border = BorderWish{edges(60), {}};
        if (chance(0.4)) wish.wrap = WrapWish{static_cast<WrapFill>(integer(0, 2)), {}};
        if (chance(0.5)) {
            const double width = real(50, picture.width);
            const double height = real(50, picture.height);
            wish.crop = base::RealRect{real(0, picture.width - width), real(0, picture.height - height), width, height};
        } else {
            wish.crop = CropAround{real(0, 1), real(0, 1)};
        }
        return wish;
    }

  private:
    std::mt19937_64 m_random;
};

void expect_file_size_is_nearest(const Plan& plan) {
    const auto& geometry = plan.geometry;
    const auto side = [&](Millimetres finished, Millimetres a, Millimetres b, Millimetres c, Millimetres d) {
        return (finished + a + b + c + d).value / 25.4 * plan.ppi.value;
    };
    // Half a pixel, and the rounding of the sum.
    EXPECT_NEAR(geometry.file.width,
                side(geometry.finished.width, geometry.bleed.left, geometry.bleed.right, geometry.wrap.left,
                     geometry.wrap.right),
                0.5 + 1e-5);
    EXPECT_NEAR(geometry.file.height,
                side(geometry.finished.height, geometry.bleed.top, geometry.bleed.bottom, geometry.wrap.top,
                     geometry.wrap.bottom),
                0.5 + 1e-5);
}

void expect_hand_crop_did_not_grow(const Plan& plan, const base::RealRect& hand) {
    const auto& geometry = plan.geometry;
    const auto seen = base::intersection(geometry.image, geometry.finished_px);
    const double left = geometry.crop.x + (seen.x - geometry.image.x) / plan.enlarging;
    const double top = geometry.crop.y + (seen.y - geometry.image.y) / plan.enlarging;
    EXPECT_GE(left, hand.x - 1e-6);
    EXPECT_GE(top, hand.y - 1e-6);
    EXPECT_LE(left + seen.width / plan.enlarging, hand.x + hand.width + 1e-6);
    EXPECT_LE(top + seen.height / plan.enlarging, hand.y + hand.height + 1e-6);
}

TEST(plan_properties, hold_for_every_wish) {
    const support::Seeded seeded;
    RandomWorld world(seeded.seed);
    int made = 0;
    for (int round = 0; round < 400; ++round) {
        SCOPED_TRACE(round);
        const auto picture = example::picture(world.integer(200, 12000), world.integer(200, 12000));
        const auto medium = world.medium();
        const Wish wish = world.wish(picture.info.size);
        std::vector<Plan> panels;
        try {
            panels = example::plans(wish, medium, picture);
        } catch (const base::InvalidWish&) {
            continue;  // Border against wrap, too much enlarging: refused, and no plan to look at.
        }
        ++made;
        ASSERT_EQ(panels.size(), static_cast<std::size_t>(wish.panels));
        for (const auto& plan : panels) {
            const auto wrong = contradiction(plan);
            ASSERT_FALSE(wrong) << wrong->sentence;
            const auto& geometry = plan.geometry;
            EXPECT_LE(geometry.crop.x + geometry.crop.width, picture.info.size.width);
            EXPECT_LE(geometry.crop.y + geometry.crop.height, picture.info.size.height);
            // Nothing is stretched: one scale across and down, within the rounding of doubles.
            const double down = geometry.image.height / geometry.crop.height;
            EXPECT_NEAR(plan.enlarging, down, 1e-12 * down);
            expect_file_size_is_nearest(plan);
            if (const auto* hand = std::get_if<base::RealRect>(&wish.crop)) {
                expect_hand_crop_did_not_grow(plan, *hand);
            }
        }
        for (std::size_t i = 1; i < panels.size(); ++i) {
            const auto& left = panels[i - 1].geometry;
            const double step_px = (left.finished.width + wish.gap).value / 25.4 * panels[i].ppi.value;
            EXPECT_NEAR(panels[i].geometry.crop.x - left.crop.x, step_px / panels[i].enlarging, 1e-6);
            EXPECT_EQ(panels[i].geometry.file, left.file);
        }
    }
    EXPECT_GT(made, 150);
}

}  // namespace
}  // namespace hangtrue::plan

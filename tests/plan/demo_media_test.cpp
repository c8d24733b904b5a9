// SPDX-License-Identifier: Apache-2.0
/// Every size of every medium that the demo shops offer settles, lying and standing, and its plan
/// reads back.

#include <gtest/gtest.h>

#include "engine/plan/consistency.h"
#include "engine/plan/plan_file.h"
#include "engine/plan/sizes.h"
#include "engine/shops/shop_folder.h"
#include "tests/plan/example.h"

namespace hangtrue::plan {
namespace {

void expect_settles(const shops::Shop& shop, const shops::Medium& medium, const PictureFacts& picture) {
    const auto sizes = sizes_on(shop, medium, picture.info.size);
    EXPECT_GE(sizes.rows.size(), medium.sizes.size());
    for (const auto& row : sizes.rows) {
        SCOPED_TRACE(shop.id + " " + medium.id + " " + row.name);
        Wish wish;
        wish.size = row.size;
        const auto plans = settled(wish, shop, medium, picture, example::srgb());
        ASSERT_EQ(plans.size(), 1U);
        EXPECT_FALSE(contradiction(plans.front()));
        EXPECT_EQ(plans.front().size_name, row.name);
        EXPECT_EQ(plans.front().price_cents, row.price_cents);
        // The table of sizes and the plan are the same arithmetic.
        EXPECT_DOUBLE_EQ(plans.front().enlarging, row.enlarging);
        const std::string text = plan_text(plans.front());
        EXPECT_EQ(plan_text(plan_from_text(text, "a.plan")), text);
    }
}

TEST(plan_demo_media, all_sizes_settle_lying_and_standing) {
    const auto shops = shops::shops_in(HANGTRUE_SOURCE_DIR "/data/shops").shops;
    ASSERT_GE(shops.size(), 2U);
    for (const auto& shop : shops) {
        for (const auto& medium : shop.media) {
            expect_settles(shop, medium, example::picture(9504, 6336));
            expect_settles(shop, medium, example::picture(3648, 5472));
        }
    }
}

}  // namespace
}  // namespace hangtrue::plan

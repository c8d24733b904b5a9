// SPDX-License-Identifier: Apache-2.0
// Records as a photographer reads them, and the order that a record came from.

#include <algorithm>

#include "engine/jobs/ledger_list.h"
#include "engine/jobs/test_sheets.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using testing::IsEmpty;
using testing::SizeIs;

class ledger_list : public testing::Test {
  protected:
    std::vector<plan::Plan> settled(const plan::Wish& wish) {
        jobs::Context context = room.context();
        return jobs::check(picture, wish, context).plans;
    }
    const shops::Medium& medium(const std::string& id) {
        jobs::Context context = room.context();
        if (shop.media.empty()) shop = jobs::known_shops(context).shops.at(0);
        return *std::find_if(shop.media.begin(), shop.media.end(), [&](const auto& one) { return one.id == id; });
    }
    /// The plans of `words`, and those of the order read from the last of them, are the same print.
    void expect_the_same_order_again(const Words& words) {
        SCOPED_TRACE(testing::PrintToString(words));
        const auto before = settled(Workroom::wish(words));
        const jobs::WishWords read = jobs::words_of_plan(before.back(), &medium(before.back().medium));
        const auto after = settled(jobs::wish_of(read));
        ASSERT_EQ(after.size(), before.size());
        for (std::size_t i = 0; i < before.size(); ++i) {
            EXPECT_EQ(after[i].file.name, before[i].file.name);
            EXPECT_EQ(after[i].file.format, before[i].file.format);
            EXPECT_EQ(after[i].file.bits, before[i].file.bits);
            EXPECT_EQ(after[i].geometry.file, before[i].geometry.file);
            EXPECT_EQ(after[i].geometry.image, before[i].geometry.image);
            EXPECT_EQ(after[i].geometry.fill, before[i].geometry.fill);
            EXPECT_EQ(after[i].geometry.fill_colour, before[i].geometry.fill_colour);
            EXPECT_NEAR(after[i].geometry.crop.x, before[i].geometry.crop.x, 0.02);
            EXPECT_NEAR(after[i].geometry.crop.y, before[i].geometry.crop.y, 0.02);
            EXPECT_NEAR(after[i].geometry.crop.width, before[i].geometry.crop.width, 0.02);
            EXPECT_NEAR(after[i].geometry.crop.height, before[i].geometry.crop.height, 0.02);
            EXPECT_EQ(after[i].quantity, before[i].quantity);
            EXPECT_EQ(after[i].sharpening.filter.is_off(), before[i].sharpening.filter.is_off());
            EXPECT_NEAR(after[i].sharpening.design_distance.value, before[i].sharpening.design_distance.value, 0.5);
            EXPECT_EQ(after[i].light.lux, before[i].light.lux);
            EXPECT_EQ(after[i].light.room, before[i].light.room);
            EXPECT_EQ(after[i].conversion.intent, before[i].conversion.intent);
            EXPECT_EQ(after[i].ppi.value, before[i].ppi.value);
        }
    }

    Workroom room;
    fs::path picture = room.tiff("ridge.tif", scene({360, 220}, 3, 8));
    shops::Shop shop;
};

TEST_F(ledger_list, the_order_read_from_a_plan_gives_the_same_print) {
    expect_the_same_order_again({});
    expect_the_same_order_again({{"quantity", "3"}, {"crop", "auto@0.1,0.5"}});
    expect_the_same_order_again({{"crop", "40,30,150,100"}, {"sharpen", "off"}});
    expect_the_same_order_again({{"size", "70x40mm"}, {"distance", "3m"}, {"intent", "perceptual"}});
    expect_the_same_order_again({{"border", "5mm,6mm,7mm,8mm:#102030"}});
    expect_the_same_order_again({{"panels", "3"}, {"gap", "10mm"}, {"size", "40x60mm"}});
    expect_the_same_order_again({{"panels", "2"}, {"gap", "10mm"}, {"size", "40x40mm"}, {"crop", "60,30,200,90"}});
    expect_the_same_order_again({{"light", "living-room"}, {"screen-brightness", "90"}});
    expect_the_same_order_again({{"light", "77"}});
    expect_the_same_order_again({{"bits", "8"}, {"compression", "lzw"}});
}

TEST_F(ledger_list, the_order_read_from_a_canvas_has_its_edges) {
    const std::string size = jobs::size_word(medium("canvas").sizes.at(0).finished);
    for (const char* wrap : {"mirror", "round", "#405060"}) {
        expect_the_same_order_again({{"medium", "canvas"}, {"size", size}, {"wrap", wrap}});
    }
}

TEST_F(ledger_list, what_is_taken_by_itself_is_left_open) {
    const jobs::WishWords words = jobs::words_of_plan(settled(Workroom::wish({})).front(), &medium("paper"));
    EXPECT_FALSE(words.contains("crop"));
    EXPECT_FALSE(words.contains("bleed"));
    EXPECT_FALSE(words.contains("distance"));
    EXPECT_FALSE(words.contains("sharpen"));
    EXPECT_FALSE(words.contains("correction"));
    EXPECT_FALSE(words.contains("format"));
}

TEST_F(ledger_list, a_network_is_named_only_where_another_would_be_taken_by_itself) {
    plan::Plan plan = settled(Workroom::wish({})).front();
    plan.enlarging = 2;
    plan.network.doublings = 1;
    plan.network.name = "fine";
    EXPECT_FALSE(jobs::words_of_plan(plan, &medium("paper")).contains("enlarge"));
    plan.network.name = "quick";
    EXPECT_EQ(jobs::words_of_plan(plan, &medium("paper")).at("enlarge"), "quick");
    plan.network = {};
    EXPECT_EQ(jobs::words_of_plan(plan, &medium("paper")).at("enlarge"), "filter");
    plan.enlarging = 1.001;
    plan.network.doublings = 1;
    plan.network.name = "fine";
    EXPECT_EQ(jobs::words_of_plan(plan, &medium("paper")).at("enlarge"), "fine");
}

TEST_F(ledger_list, a_search_finds_records_older_than_a_list_is_long) {
    room.made(picture);
    room.made(room.tiff("meadow.tif", scene({360, 220}, 3, 8)));
    jobs::Context context = room.context();
    ASSERT_THAT(jobs::listed_records("", 1, context), SizeIs(1));
    EXPECT_EQ(jobs::listed_records("", 1, context).at(0).picture_name, "meadow.tif");
    ASSERT_THAT(jobs::listed_records("RIDGE", 1, context), SizeIs(1));
    EXPECT_EQ(jobs::listed_records("RIDGE", 1, context).at(0).picture_name, "ridge.tif");
    EXPECT_THAT(jobs::listed_records("test prints", 1, context), SizeIs(1));
}

TEST_F(ledger_list, what_a_list_tells_of_a_record_is_what_its_plan_says) {
    const jobs::MakeOutcome outcome = room.make(room.request(picture, {{"panels", "2"}, {"gap", "10mm"}}));
    ASSERT_EQ(outcome.files.size(), 2u) << outcome.sentence;
    jobs::Context context = room.context();
    const auto all = jobs::listed_records("", 100, context);
    ASSERT_THAT(all, SizeIs(2));
    for (const jobs::ListedRecord& record : all) {
        const plan::Plan& plan = outcome.files[static_cast<std::size_t>(record.panel - 1)].plan;
        EXPECT_EQ(record.shop_name, plan.shop_name);
        EXPECT_EQ(record.medium_name, plan.medium_name);
        EXPECT_EQ(record.panels, 2);
        ASSERT_TRUE(record.size);
        EXPECT_EQ(record.size->width.value, plan.geometry.finished.width.value);
        EXPECT_EQ(record.size->height.value, plan.geometry.finished.height.value);
    }
    EXPECT_NE(all[0].panel, all[1].panel);
}

TEST_F(ledger_list, records_have_the_names_of_the_order_form_and_are_found_by_them) {
    room.made(picture);
    jobs::Context context = room.context();
    const auto all = jobs::listed_records("", 100, context);
    ASSERT_THAT(all, SizeIs(1));
    EXPECT_EQ(all[0].shop_name, "Test Prints");
    EXPECT_EQ(all[0].medium_name, medium("paper").name);
    EXPECT_EQ(all[0].picture_name, "ridge.tif");
    EXPECT_EQ(all[0].test_sheet, 0);
    ASSERT_TRUE(all[0].size);
    EXPECT_NEAR(all[0].size->width.value, 76.2, 0.01);
    EXPECT_THAT(jobs::listed_records("test PRINTS", 100, context), SizeIs(1));
    EXPECT_THAT(jobs::listed_records("no such", 100, context), IsEmpty());
    // The shop's file gone, its names are still those of the order.
    fs::remove(room.data() / "shops/test.toml");
    EXPECT_EQ(jobs::listed_records("", 100, context).at(0).shop_name, "Test Prints");
    EXPECT_EQ(jobs::order_of_record(all[0].row.id, context).words.at("medium"), "paper");
    EXPECT_EQ(jobs::order_of_record(all[0].row.id, context).picture, picture);
}

}  // namespace
}  // namespace hangtrue::jobs_test

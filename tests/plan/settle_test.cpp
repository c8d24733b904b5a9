// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/settle.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "engine/base/error.h"
#include "engine/plan/paper_size.h"
#include "tests/plan/example.h"

namespace hangtrue::plan {
namespace {

using base::InvalidWish;
using base::Millimetres;
using base::PixelRect;
using base::PixelSize;
using base::RealRect;
using base::SizeMm;
using example::canvas;
using example::metal;
using example::picture;
using example::plan;
using example::plans;
using example::wish;
using testing::HasSubstr;
using testing::ThrowsMessage;

/// The words of the refusal.
#define EXPECT_REFUSED(expression, words) \
    EXPECT_THAT([&] { (void)(expression); }, ThrowsMessage<InvalidWish>(HasSubstr(words)))

/// Within what doubles round.
void expect_crop(const Plan& plan, RealRect expected) {
    const RealRect crop = plan.geometry.crop;
    EXPECT_NEAR(crop.x, expected.x, 1e-9);
    EXPECT_NEAR(crop.y, expected.y, 1e-9);
    EXPECT_NEAR(crop.width, expected.width, 1e-9);
    EXPECT_NEAR(crop.height, expected.height, 1e-9);
}

TEST(plan_settle, in_36_x_24_at_150_ppi_are_5400_x_3600_px_of_the_whole_picture) {
    const Plan settled = plan(wish(36, 24), metal());
    EXPECT_EQ(settled.geometry.file, (PixelSize{5400, 3600}));
    EXPECT_EQ(settled.geometry.image, (PixelRect{0, 0, 5400, 3600}));
    expect_crop(settled, {0, 0, 6000, 4000});
    EXPECT_DOUBLE_EQ(settled.enlarging, 0.9);
    EXPECT_EQ(settled.resampling, Resampling::reduce_linear);
    EXPECT_EQ(settled.size_name, "36 x 24 in");
}

TEST(plan_settle, a_size_follows_the_upright_crop) {
    EXPECT_EQ(plan(wish(36, 24), metal(), picture(4000, 6000)).geometry.file, (PixelSize{3600, 5400}));
    EXPECT_EQ(plan(wish(24, 36), metal()).geometry.file, (PixelSize{5400, 3600}));
    Wish standing = wish(36, 24);
    standing.crop = RealRect{100, 100, 2000, 3000};
    EXPECT_EQ(plan(standing, metal()).geometry.file, (PixelSize{3600, 5400}));
}

TEST(plan_settle, a_square_takes_the_middle_of_a_lying_picture) {
    const Plan settled = plan(wish(20, 20), metal());
    EXPECT_EQ(settled.geometry.file, (PixelSize{3000, 3000}));
    expect_crop(settled, {1000, 0, 4000, 4000});
}

TEST(plan_settle, a_crop_around_a_point_ends_at_the_pictures_edge) {
    Wish right = wish(20, 20);
    right.crop = CropAround{1, 0.5};
    expect_crop(plan(right, metal()), {2000, 0, 4000, 4000});
    right.crop = CropAround{1.01, 0.5};
    EXPECT_REFUSED(plan(right, metal()), "must lie in the picture");
}

TEST(plan_settle, a_crop_by_hand_is_fitted_about_its_middle_and_never_grows) {
    Wish hand = wish(36, 24);
    hand.crop = RealRect{1000, 500, 3000, 1000};
    expect_crop(plan(hand, metal()), {1750, 500, 1500, 1000});  // The height of 1000 px decides: 3:2.
}

TEST(plan_settle, a_crop_that_reaches_out_is_refused_beyond_a_pixel_and_cut_back_within_one) {
    Wish hand = wish(36, 24);
    hand.crop = RealRect{0, 0, 6002, 4000};
    EXPECT_REFUSED(plan(hand, metal()), "reaches outside the picture, which is 6000 x 4000 px");
    hand.crop = RealRect{-0.5, 0, 6000.75, 4000};
    expect_crop(plan(hand, metal()), {0, 0, 6000, 4000});
    hand.crop = RealRect{0, 0, 0, 100};
    EXPECT_REFUSED(plan(hand, metal()), "at least one pixel");
}

TEST(plan_settle, one_to_one_is_a_copy_and_takes_whole_pixels) {
    const Plan settled = plan(wish(36, 24), metal(), picture(5405, 3600));
    EXPECT_EQ(settled.resampling, Resampling::none);
    EXPECT_EQ(settled.enlarging, 1);
    EXPECT_EQ(settled.geometry.crop, (RealRect{3, 0, 5400, 3600}));  // 2.5 would blur every pixel.
}

TEST(plan_settle, ppi_is_the_mediums_unless_asked_within_its_range) {
    EXPECT_EQ(plan(wish(36, 24), metal(), picture(9000, 6000)).ppi.value,
              150);  // Though the picture brings 250.
    Wish asked = wish(36, 24);
    asked.ppi = base::PixelsPerInch{250};
    EXPECT_EQ(plan(asked, metal()).geometry.file, (PixelSize{9000, 6000}));
    asked.ppi = base::PixelsPerInch{301};
    EXPECT_REFUSED(plan(asked, metal()), "100 to 300 ppi, not at 301");
    auto exact = metal();
    exact.pixel_rule = shops::PixelRule::exact;
    asked.ppi = base::PixelsPerInch{200};
    EXPECT_REFUSED(plan(asked, exact), "exact pixels of 150 ppi");
}

TEST(plan_settle, a_size_that_is_not_offered_names_the_nearest) {
    EXPECT_REFUSED(plan(wish(35, 24), metal()), "The nearest size is 36 x 24 in");
    EXPECT_REFUSED(plan(wish(0, 24), metal()), "above zero");
}

TEST(plan_settle, bleed_outside_makes_the_file_larger_and_is_picture) {
    auto medium = metal();
    medium.bleed = shops::Bleed{shops::BleedPlace::outside, base::Edges<base::Millimetres>::all({25.4})};
    const auto geometry = plan(wish(36, 24), medium).geometry;
    EXPECT_EQ(geometry.file, (PixelSize{5700, 3900}));
    EXPECT_EQ(geometry.image, (PixelRect{0, 0, 5700, 3900}));
    EXPECT_EQ(geometry.finished_px, (PixelRect{150, 150, 5400, 3600}));
    Wish off = wish(36, 24);
    off.bleed = false;
    EXPECT_EQ(plan(off, medium).geometry.file, (PixelSize{5400, 3600}));
}

TEST(plan_settle, a_crop_by_hand_is_what_hangs_and_bleed_takes_what_lies_around_it) {
    auto medium = metal();
    medium.bleed = shops::Bleed{shops::BleedPlace::outside, base::Edges<base::Millimetres>::all({25.4})};
    Wish hand = wish(36, 24);
    hand.crop = RealRect{1000, 1000, 3600, 2400};  // 100 px an inch, so that an inch of bleed is 100 px.
    expect_crop(plan(hand, medium), {900, 900, 3800, 2600});
}

TEST(plan_settle, bleed_inside_keeps_the_files_size_and_takes_from_what_hangs) {
    auto medium = metal();
    medium.bleed = shops::Bleed{shops::BleedPlace::inside, base::Edges<base::Millimetres>::all({25.4})};
    const auto geometry = plan(wish(36, 24), medium).geometry;
    EXPECT_EQ(geometry.file, (PixelSize{5400, 3600}));
    EXPECT_EQ(geometry.finished_px, (PixelRect{150, 150, 5100, 3300}));
    EXPECT_NEAR(base::in_inches(geometry.finished.width), 34, 1e-9);
}

TEST(plan_settle, the_file_size_that_a_shop_names_is_kept) {
    auto medium = metal();
    medium.sizes.front().file = base::SizeMm{base::inches(8.25), base::inches(12.25)};  // Standing, for a lying print.
    EXPECT_EQ(plan(wish(12, 8), medium).geometry.file, (PixelSize{1838, 1238}));        // 1837.5 and 1237.5, rounded.
    EXPECT_EQ(plan(wish(12, 8), medium, picture(4000, 6000)).geometry.file, (PixelSize{1238, 1838}));
}

// 400 x 600 mm face, 38 mm bar, 20 mm back: 516 x 716 mm. Common practice.
TEST(plan_settle, a_400_x_600_mm_canvas_on_38_mm_bars_has_a_file_of_516_x_716_mm) {
    auto medium = canvas();
    medium.ppi.wanted = {254};  // 10 px a millimetre.
    medium.ppi.most.reset();
    shops::Size size;
    size.finished = {{600}, {400}};
    medium.sizes = {size};
    Wish cm;
    cm.size = {{600}, {400}};
    EXPECT_EQ(plan(cm, medium).geometry.file, (PixelSize{7160, 5160}));
}

TEST(plan_settle, a_wrap_is_mirrored_unless_asked_round_or_flat) {
    const auto mirrored = plan(wish(24, 16), canvas()).geometry;
    EXPECT_EQ(mirrored.fill, Fill::mirror);
    EXPECT_EQ(mirrored.image, mirrored.finished_px);
    EXPECT_EQ(mirrored.image.width, 2400);

    Wish round = wish(24, 16);
    round.wrap = WrapWish{WrapFill::round, {}};
    const auto whole = plan(round, canvas()).geometry;
    EXPECT_EQ(whole.image, (PixelRect{0, 0, whole.file.width, whole.file.height}));

    Wish flat = wish(24, 16);
    flat.wrap = WrapWish{WrapFill::colour, {{1, 2, 3}}};
    const auto coloured = plan(flat, canvas()).geometry;
    EXPECT_EQ(coloured.fill, Fill::colour);
    EXPECT_EQ(coloured.fill_colour, (FlatColour{{1, 2, 3}}));
    EXPECT_EQ(coloured.image, coloured.finished_px);
}

TEST(plan_settle, a_face_smaller_than_its_wrap_cannot_be_mirrored) {
    auto medium = canvas();
    medium.wrap->bar_depth = {190};  // 190 + 20 mm of wrap, 8 in = 203.2 mm of face.
    EXPECT_REFUSED(plan(wish(12, 8), medium), "smaller than the wrap");
}

TEST(plan_settle, a_wrap_that_cannot_be_made_lists_what_can) {
    Wish round = wish(24, 16);
    round.wrap = WrapWish{WrapFill::round, {}};
    EXPECT_REFUSED(plan(round, metal()), "leave --wrap out");
    auto medium = canvas();
    medium.wrap->made_from = {"mirror", "colour"};
    EXPECT_REFUSED(plan(round, medium), "Possible: mirror or a flat colour");
    medium.wrap->maker = shops::WrapMaker::shop;
    EXPECT_EQ(plan(wish(24, 16), medium).geometry.file, (PixelSize{2400, 1600}));  // The face alone.
}

TEST(plan_settle, a_border_lies_inside_the_size) {
    Wish border = wish(36, 24);
    border.border = BorderWish{{base::inches(1), base::inches(2), base::inches(3), base::inches(4)}, {{9, 9, 9}}};
    const auto geometry = plan(border, metal()).geometry;
    EXPECT_EQ(geometry.file, (PixelSize{5400, 3600}));
    EXPECT_EQ(geometry.image, (PixelRect{600, 150, 4500, 3000}));
    border.border->widths.left = base::inches(34);
    EXPECT_REFUSED(plan(border, metal()), "leaves no picture");
}

TEST(plan_settle, a_border_on_canvas_runs_on_round_the_bars_in_its_colour) {
    Wish border = wish(36, 24);
    border.border = BorderWish{base::Edges<Millimetres>::all(base::inches(1)), {{9, 9, 9}}};
    const auto geometry = plan(border, canvas()).geometry;
    EXPECT_EQ(geometry.fill, Fill::colour);
    EXPECT_EQ(geometry.fill_colour, (FlatColour{{9, 9, 9}}));
    // Bars of 38 mm and a fold of 20 mm are 228 px at 100 ppi, the border 100 px.
    EXPECT_EQ(geometry.image, (PixelRect{328, 328, 3400, 2200}));
    border.wrap = WrapWish{WrapFill::colour, {{9, 9, 9}}};
    EXPECT_EQ(plan(border, canvas()).geometry.image, geometry.image);
}

TEST(plan_settle, a_wrap_that_cannot_go_with_the_border_is_refused_with_the_words_to_give) {
    Wish border = wish(36, 24);
    border.border = BorderWish{base::Edges<Millimetres>::all({20}), {{9, 9, 9}}};
    border.wrap = WrapWish{WrapFill::mirror, {}};
    EXPECT_REFUSED(plan(border, canvas()), "--wrap #090909");
    border.wrap = WrapWish{WrapFill::colour, {{9, 9, 8}}};
    EXPECT_REFUSED(plan(border, canvas()), "The border is #090909 and the wrap #090908");
    border.wrap.reset();
    auto picture_alone = canvas();
    picture_alone.wrap->made_from = {"round", "mirror"};
    EXPECT_REFUSED(plan(border, picture_alone), "from the picture alone (round or mirror)");
}

TEST(plan_settle, a_gap_without_panels_is_a_contradiction) {
    Wish alone = wish(36, 24);
    alone.gap = {20};
    EXPECT_REFUSED(plan(alone, metal()), "ask for 2 to 5 with --panels, or leave --gap out");
}

TEST(plan_settle, lengths_in_sentences_stand_in_the_users_units_first_and_in_the_others_after) {
    const auto refusal = [](base::ShownUnits units) {
        try {
            settled(wish(5, 4), example::shop(), metal(), picture(), example::srgb(), units);
        } catch (const InvalidWish& error) {
            return std::string(error.what());
        }
        return std::string();
    };
    EXPECT_THAT(refusal(base::ShownUnits::inches), HasSubstr("not offered in 5 x 4 in (12.7 x 10.2 cm)."));
    EXPECT_THAT(refusal(base::ShownUnits::centimetres), HasSubstr("not offered in 12.7 x 10.2 cm (5 x 4 in)."));
}

// ISO 216:2007, table 1.
TEST(plan_paper_size, the_a_series_is_known_by_its_names) {
    EXPECT_EQ(paper_size("A0"), (SizeMm{{841}, {1189}}));
    EXPECT_EQ(paper_size("A1"), (SizeMm{{594}, {841}}));
    EXPECT_EQ(paper_size("A2"), (SizeMm{{420}, {594}}));
    EXPECT_EQ(paper_size("a3"), (SizeMm{{297}, {420}}));
    EXPECT_EQ(paper_size("A4"), (SizeMm{{210}, {297}}));
    EXPECT_EQ(paper_name({{420}, {297}}), "A3");
    for (const char* other : {"", "A", "A7", "A9", "A33", "B3", "A-", "3A"}) EXPECT_FALSE(paper_size(other)) << other;
    EXPECT_FALSE(paper_name({{420}, {298}}));
}

TEST(plan_paper_size, a3_is_taken_where_the_medium_has_it_and_named_where_it_has_not) {
    Wish a3 = wish(1, 1);
    a3.size = *paper_size("A3");
    EXPECT_REFUSED(plan(a3, metal()), "\"Brushed metal\" is not offered in A3, 11.7 x 16.5 in (29.7 x 42 cm).");
    auto medium = metal();
    shops::Size offered;
    offered.name = "DIN A3";
    offered.finished = {{420}, {297}};
    medium.sizes.push_back(offered);
    EXPECT_EQ(plan(a3, medium).size_name, "DIN A3");
    // The picture lies, and so does the print: 420 x 297 mm at 150 ppi.
    EXPECT_EQ(plan(a3, medium).geometry.file, (PixelSize{2480, 1754}));
}

TEST(plan_settle, three_panels_show_one_picture_through_gaps_of_an_inch) {
    Wish three = wish(12, 8);
    three.panels = 3;
    three.gap = base::inches(1);
    const auto panels = plans(three, metal());
    ASSERT_EQ(panels.size(), 3U);
    // Standing panels of 8 x 12 in keep more of a 3:2 picture: 26 x 12 in instead of 38 x 8.
    EXPECT_EQ(panels[0].geometry.file, (PixelSize{1200, 1800}));
    const double px_an_inch = 6000.0 / 26;
    for (int i = 0; i < 3; ++i) {
        const auto& crop = panels[static_cast<std::size_t>(i)].geometry.crop;
        EXPECT_NEAR(crop.x, i * 9 * px_an_inch, 1e-6);
        EXPECT_NEAR(crop.width, 8 * px_an_inch, 1e-6);
        EXPECT_EQ(panels[static_cast<std::size_t>(i)].panel, i + 1);
    }
    EXPECT_EQ(panels[0].sharpening.filter, panels[2].sharpening.filter);
    EXPECT_NEAR(panels[0].sharpening.design_distance.value, 25.4 * std::hypot(26, 12), 1e-6);
    EXPECT_NE(panels[0].file.name, panels[1].file.name);
    three.panels = 6;
    EXPECT_REFUSED(plans(three, metal()), "2 to 5 panels");
}

TEST(plan_settle, wild_numbers_are_refused) {
    Wish none = wish(36, 24);
    none.quantity = 0;
    EXPECT_REFUSED(plan(none, metal()), "quantity");
    Wish close = wish(36, 24);
    close.distance = base::Millimetres{1};
    EXPECT_REFUSED(plan(close, metal()), "looked at");
    Wish harsh = wish(36, 24);
    harsh.sharpen = 4;
    EXPECT_REFUSED(plan(harsh, metal()), "300 %");
    Wish speck = wish(60, 40);
    speck.crop = RealRect{0, 0, 30, 20};
    EXPECT_REFUSED(plan(speck, metal()), "no picture left");
}

TEST(plan_settle, sharpening_off_has_no_terms_and_auto_has_some_on_canvas) {
    Wish off = wish(24, 16);
    off.sharpen = 0;
    EXPECT_TRUE(plan(off, canvas()).sharpening.filter.is_off());
    EXPECT_FALSE(plan(wish(24, 16), canvas()).sharpening.filter.is_off());
}

/// `picture` enlarged by the filter, or by a network.
Plan enlarged(const PictureFacts& picture, bool by_network, enlarge::Grain grain = enlarge::Grain::keep) {
    Wish large = wish(36, 24);
    large.grain = grain;
    const auto network = by_network
                             ? std::optional(NetworkFacts{"fine", {}, picture.measured.blur.sigma_px > 1 ? 1.4 : 0})
                             : std::nullopt;
    return settled(large, example::shop(), metal(), picture, example::srgb(), base::ShownUnits::inches, network)
        .front();
}

TEST(plan_settle, sharpening_leaves_to_the_network_what_that_gives_back) {
    PictureFacts soft = picture(3600, 2400);
    soft.measured.noise.sd_8bit = 0;
    soft.measured.blur.sigma_px = 1.6;
    PictureFacts crisp = soft;
    crisp.measured.blur.sigma_px = 0.29;
    for (const auto& facts : {soft, crisp}) {
        const Plan by_filter = enlarged(facts, false);
        const Plan by_network = enlarged(facts, true);
        EXPECT_EQ(by_network.network.doublings, 1);
        EXPECT_GT(by_network.sharpening.acutance_before, by_filter.sharpening.acutance_before);
        EXPECT_LT(by_network.sharpening.largest_gain, 1.02 * by_filter.sharpening.largest_gain);
    }
    // Of a blur that the network undoes, most is taken away.
    EXPECT_GT(enlarged(soft, true).network.measures.undone_blur_px, 0.5);
    EXPECT_GT(enlarged(soft, true).sharpening.acutance_before, 1.1 * enlarged(soft, false).sharpening.acutance_before);
}

TEST(plan_settle, sharpening_fears_no_grain_that_was_left_out) {
    PictureFacts noisy = picture(3600, 2400);
    noisy.measured.noise.sd_8bit = 3;
    EXPECT_GT(enlarged(noisy, true).sharpening.filter.threshold, 0);
    EXPECT_EQ(enlarged(noisy, true, enlarge::Grain::calm).sharpening.filter.threshold, 0);
    EXPECT_GT(enlarged(noisy, false, enlarge::Grain::calm).sharpening.filter.threshold, 0) << "the filter leaves it";
}

TEST(plan_settle, what_the_shop_wants_chosen_and_how_its_improvement_goes_off_is_listed) {
    auto medium = metal();
    medium.order_choices = {"Finish: gloss"};
    medium.improvement_off = "Untick AutoBright";
    medium.mirrored = true;
    const Plan settled = plan(wish(36, 24), medium);
    EXPECT_EQ(settled.order_choices, (std::vector<std::string>{"Finish: gloss", "Untick AutoBright"}));
    EXPECT_TRUE(settled.geometry.mirrored);
}

}  // namespace
}  // namespace hangtrue::plan

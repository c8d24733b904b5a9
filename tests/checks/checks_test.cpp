// SPDX-License-Identifier: Apache-2.0
/// Each check trips on one case and keeps still on another.

#include "engine/checks/checks.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <map>
#include <set>

#include "engine/colour/profile.h"
#include "engine/optics/vision.h"
#include "tests/checks/made_samples.h"
#include "tests/plan/example.h"

namespace hangtrue::checks {
namespace {

namespace example = plan::example;

const Samples& hills() {
    static const Samples samples = made::samples(made::hills);
    return samples;
}

/// A print with nothing to say against it: 6000 x 4000 px on 36 x 24 in at 150 ppi.
struct Case {
    shops::Medium medium = example::metal();
    plan::PictureFacts picture = example::picture();
    plan::Plan plan;
    Samples samples = hills();
    History history{.sheets_made = 1,
                    .sheets_read = 1,
                    .tint_doubt = 0.4,
                    .correction = AppliedCorrection{.id = 3, .age_days = 20},
                    .earlier = {}};
    bool has_medium = true;
    bool is_sheet_of_untold_process = false;

    Case() : plan(example::plan(example::wish(36, 24), medium, picture)) {
        medium.blur = shops::BlurClass::silver_halide;
        picture.measured.detail_cycles_per_px = 0.45;
        picture.measured.halo_overshoot = 0.02;
        picture.measured.blocking = 1.01;
        plan.file_profile = colour::Profile::srgb().hash();
    }
    std::vector<Finding> found() const {
        if (!has_medium) return {medium_gone(plan)};
        if (is_sheet_of_untold_process) return {process_not_told(plan)};
        std::vector<Finding> all = plan_findings();
        const auto add = [&all](std::vector<Finding> more) { all.insert(all.end(), more.begin(), more.end()); };
        add(findings_in(samples, {&plan, 1}, medium));
        add(findings_of(history, plan));
        return all;
    }
    std::vector<Finding> plan_findings(base::ShownUnits units = base::ShownUnits::inches) const {
        return findings({plan, medium, picture, units});
    }
};

/// The hills with a disc in the middle; its radius in shares of the height.
made::Scene with_disc(made::Rgb colour, double radius) {
    return
        [=](double x, double y) { return std::hypot(1.5 * (x - 0.5), y - 0.5) < radius ? colour : made::hills(x, y); };
}
/// Of the picture, which is 1.5 times as wide as high.
double disc_percent(double radius) { return 100 * 3.14159265 * radius * radius / 1.5; }

/// The hills, dimmed, with a row of bright strokes as of a name, its middle there.
made::Scene with_signature(double x_middle, double y_middle) {
    return [=](double x, double y) {
        const bool is_stroke = std::abs(x - x_middle) < 0.025 && std::abs(y - y_middle) < 0.012 &&
                               static_cast<int>((x - x_middle + 1) * 300) % 3 != 0;
        const made::Rgb hill = made::hills(x, y);
        return is_stroke ? made::Rgb{0.95, 0.95, 0.95} : made::Rgb{hill[0] / 2, hill[1] / 2, hill[2] / 2};
    };
}

struct Trip {
    std::function<void(Case&)> change;
    double figure = 0;
    double limit = 0;
};

/// How to trip each check; the untouched case trips none, so each one has its case that keeps
/// still.
const std::map<std::string, Trip>& trips() {
    using base::PixelsPerInch;
    static const std::map<std::string, Trip> cases{
        {"format-not-taken", {[](Case& c) { c.medium.rules.formats = {"jpeg"}; }}},
        {"depth-not-taken", {[](Case& c) { c.medium.rules.tiff_bits = {8}; }, 16, 8}},
        {"compression-not-taken", {[](Case& c) { c.medium.rules.tiff_compressions = {"lzw"}; }}},
        {"big-tiff-not-taken", {[](Case& c) { c.plan.file.big_tiff = true; }}},
        {"big-tiff", {[](Case& c) {
             c.plan.file.big_tiff = true;
             c.medium.rules.big_tiff = true;
         }}},
        {"file-too-large", {[](Case& c) { c.medium.rules.most_bytes = 116'640'000; }}},
        {"too-many-pixels", {[](Case& c) { c.medium.rules.most_pixels = 19'439'999; }, 19'440'000, 19'439'999}},
        {"side-too-long", {[](Case& c) { c.medium.rules.most_side_px = 5399; }, 5400, 5399}},
        {"pixels-not-exact",
         {[](Case& c) {
              c.medium.pixel_rule = shops::PixelRule::exact;
              c.medium.ppi.wanted = {140};
          },
          150, 140}},
        {"shape-off",
         {[](Case& c) {
              c.medium.shape_tolerance = 0.005;
              c.medium.told.shape_tolerance = true;
              // 5400 x 3600 px where 5450 x 3600 would be 36.33 x 24 in.
              c.medium.sizes[2].file = base::SizeMm{base::inches(5450.0 / 150), base::inches(24)};
          },
          100 - 100 * 5400.0 / 5450, 0.5}},
        {"size-gone", {[](Case& c) { c.medium.sizes.erase(c.medium.sizes.begin() + 2); }}},
        {"medium-gone", {[](Case& c) { c.has_medium = false; }}},
        {"wrong-file-space", {[](Case& c) { c.medium.file_space = shops::FileSpace::adobe_rgb; }}},
        {"profile-rule", {[](Case& c) { c.medium.rules.embed_profile = false; }}},
        {"name-too-long", {[](Case& c) { c.medium.rules.most_name_length = 38; }, 39, 38}},
        {"name-not-ascii", {[](Case& c) {
             c.plan.file.name = "\u00fc.tif";
             c.medium.rules.ascii_names = true;
         }}},
        {"too-few-pixels",
         {[](Case& c) {
              c.plan.picture_ppi = {99};
              c.plan.sharpening.design_distance = {500};  // from there 174.6 ppi are resolved
          },
          99, 100}},
        {"fewer-pixels-than-wanted", {[](Case& c) { c.plan.picture_ppi = {149}; }, 149, 150}},
        {"enlarged-much", {[](Case& c) { c.plan.enlarging = 2.01; }, 2.01, 2}},
        {"shape-against-size",
         {[](Case& c) {
              c.plan = example::plan(example::wish(20, 20), example::metal());
              c.plan.file_profile = colour::Profile::srgb().hash();
          },
          100.0 / 3, 15}},
        {"no-bleed",
         {[](Case& c) {
              c.medium.bleed = shops::Bleed{shops::BleedPlace::outside, base::Edges<base::Millimetres>::all({3})};
          },
          0, 3}},
        {"mirrored-untold", {[](Case& c) { c.medium.blur = shops::BlurClass::acrylic_mount; }}},
        {"no-profile", {[](Case& c) { c.plan.picture.profile_assumed = true; }}},
        {"file-space-untold", {[](Case& c) { c.medium.file_space.reset(); }}},
        {"improvement-untold", {[](Case& c) { c.medium.improvement_off.reset(); }}},
        {"clipped-white",
         {[](Case& c) {
              c.samples = made::samples(with_disc({1, 1, 1}, 0.2));
          },
          disc_percent(0.2), 1}},
        {"metal-shows",
         {[](Case& c) {
              c.samples = made::samples(with_disc({1, 1, 1}, 0.2));
              c.medium.base = shops::Base::bare_metal;
          },
          disc_percent(0.2), 1}},
        {"clipped-black",
         {[](Case& c) {
              c.samples = made::samples(with_disc({0, 0, 0}, 0.3));
          },
          disc_percent(0.3), 5}},
        {"banding", {[](Case& c) {
             // A slope of a code in 20 px, posterised to every third code: 3 codes of 8 bits about 128 are 1.2 L*.
             c.samples.plateaus = made::plateaus({6000, 4000}, [](int x, int) { return 100 + 3 * (x / 60 % 20); });
         }}},
        {"beyond-print-gamut", {[](Case& c) { c.samples.beyond_print.assign(c.samples.print.size(), 4.0F); }, 100, 1}},
        {"beyond-file-space",
         {[](Case& c) {
              c.plan.correction.id = 0;
              for (auto& lab : c.samples.picture) lab.a -= 20;
          },
          100, 1}},
        {"profile-does-not-fit", {[](Case& c) { c.samples.from_device_profile = true; }}},
        {"stands-at-edge", {[](Case& c) {
             c.plan.geometry.safe_area = {30};
             c.samples = made::samples(with_signature(0.965, 0.96));
         }}},
        {"too-little-detail",
         {[](Case& c) { c.picture.measured.detail_cycles_per_px = 0.05; }, 0.1 * 6000 / 36,
          optics::resolved_ppi(base::Millimetres{std::hypot(914.4, 609.6)}).value}},
        {"noise-shows", {[](Case& c) {
             c.plan.picture.noise.sd_8bit = 25;
             c.picture.measured.detail_cycles_per_px = 0.5;
             c.plan.sharpening.design_distance = {500};
         }}},
        {"halos", {[](Case& c) { c.picture.measured.halo_overshoot = 0.2; }, 20, 15}},
        // Quality 60 of the IJG scale is 0.8 of the example table (ITU-T T.81 K.1).
        {"jpeg-damage", {[](Case& c) { c.picture.info.jpeg_coding = 0.8; }, 0.8, 0.5}},
        {"no-test-print", {[](Case& c) { c.history.sheets_read = 0; }}},
        {"tint-in-black-and-white",
         {[](Case& c) {
              c.plan.picture.is_neutral = true;
              c.history.tint_doubt = 4.9;
          },
          4.9, 1}},
        {"lightness-changed",
         {[](Case& c) {
              c.history.earlier = {EarlierPrint{.id = 7,
                                                .made_on = "2026-03-14",
                                                .medium_name = "Brushed metal",
                                                .is_same_medium = true,
                                                .is_same_picture = true,
                                                .correction = 2,
                                                .lightness_then = 50,
                                                .lightness_now = 45}};
          },
          5, 3}},
        {"process-not-told", {[](Case& c) { c.is_sheet_of_untold_process = true; }}},
        {"light-counted-twice",
         {[](Case& c) {
              c.history.correction->has_light = true;
              c.history.correction->judged_lux = 100;
          },
          100, 300}},
        {"correction-old", {[](Case& c) { c.history.correction->age_days = 366; }, 366, 365}},
        {"screen-changed", {[](Case& c) { c.history.correction->has_different_screens = true; }}},
        {"paper-changed", {[](Case& c) { c.history.correction->paper_difference = 2.5; }, 2.5, 2}},
        {"correction-clips", {[](Case& c) { c.history.correction->clipped_share = 0.02; }, 2, 1}},
        {"copyright-missing", {[](Case& c) { c.plan.picture.copyright.clear(); }}},
        {"mirrored", {[](Case& c) { c.plan.geometry.mirrored = true; }}},
        {"wrapped-round", {[](Case& c) {
             plan::Wish round = example::wish(24, 16);
             round.wrap = plan::WrapWish{plan::WrapFill::round, {}};
             c.plan = example::plan(round, example::canvas());
             c.plan.file_profile = colour::Profile::srgb().hash();
             c.plan.picture_ppi = {150};
         }}},
        {"safe-area", {[](Case& c) { c.plan.geometry.safe_area = {5}; }, 0, 5}},
        {"heavy-print",
         {[](Case& c) {
              c.medium.blur = shops::BlurClass::metal;
              c.plan.geometry.finished = {{1240}, {820}};
              c.medium.sizes[2].finished = c.plan.geometry.finished;
          },
          1.0168, 1}},
    };
    return cases;
}

TEST(checks_findings, a_print_without_fault_has_none) {
    for (const auto& finding : Case().found()) ADD_FAILURE() << finding.name << ": " << finding.sentence;
}

TEST(checks_findings, each_row_of_the_table_can_be_tripped_alone) {
    for (const auto& row : table()) {
        SCOPED_TRACE(row.name);
        const auto trip = trips().find(row.name);
        ASSERT_NE(trip, trips().end());
        Case tripped;
        trip->second.change(tripped);
        const auto found = tripped.found();
        ASSERT_EQ(found.size(), 1U) << (found.empty() ? "" : found.back().name);
        const Finding& finding = found.front();
        EXPECT_EQ(finding.name, row.name);
        EXPECT_EQ(finding.severity, row.severity);
        EXPECT_EQ(finding.passable, row.passable);
        EXPECT_FALSE(finding.sentence.empty());
        EXPECT_FALSE(finding.way_out.empty());
        if (trip->second.limit != 0) {
            // Discs are counted in whole samples: within 2 % of their area.
            EXPECT_NEAR(finding.figure, trip->second.figure,
                        trip->second.figure * (finding.where.empty() ? 1e-9 : 0.02));
            EXPECT_NEAR(finding.limit, trip->second.limit, 1e-9);
            EXPECT_FALSE(finding.unit.empty());
        }
    }
    EXPECT_EQ(trips().size(), table().size());
}

TEST(checks_findings, limits_are_met_by_what_equals_them) {
    Case exact;
    exact.medium.rules.most_pixels = 19'440'000;
    exact.medium.rules.most_side_px = 5400;
    exact.medium.rules.most_name_length = 39;
    exact.medium.rules.most_bytes = 120'000'000;
    exact.plan.picture_ppi = {150};
    exact.plan.enlarging = 2;
    exact.picture.info.jpeg_coding = 0.5;
    exact.picture.measured.halo_overshoot = 0.15;
    exact.picture.measured.blocking = 2;
    EXPECT_TRUE(exact.found().empty());
}

TEST(checks_findings, a_shape_within_the_shops_tolerance_and_the_rounding_to_pixels_is_taken) {
    Case c;
    c.medium.told.shape_tolerance = true;
    // Without any tolerance half a pixel a side is still the shop's own shape: 5400 x 3600 px are 36 x 24 in.
    EXPECT_TRUE(c.found().empty());
    c.medium.sizes[2].file = base::SizeMm{base::inches(36), base::inches(3600.4 / 150)};
    EXPECT_TRUE(c.found().empty());
    c.medium.sizes[2].file = base::SizeMm{base::inches(36), base::inches(3602.0 / 150)};
    ASSERT_EQ(c.found().size(), 1U);
    EXPECT_EQ(c.found().front().name, "shape-off");
    c.medium.shape_tolerance = 0.001;
    EXPECT_TRUE(c.found().empty());
}

TEST(checks_findings, bleed_left_off_is_another_shape_and_another_number_of_pixels) {
    Case c;
    c.medium.bleed = shops::Bleed{shops::BleedPlace::outside, base::Edges<base::Millimetres>::all({25.4})};
    const auto names = [&c] {
        std::vector<std::string> found_here;
        for (const auto& finding : c.found()) found_here.push_back(finding.name);
        return found_here;
    };
    EXPECT_EQ(names(), std::vector<std::string>{"no-bleed"});
    // 38 x 26 in are 1.4615 to 1, and 36 x 24 in 1.5 to 1.
    c.medium.told.shape_tolerance = true;
    c.medium.shape_tolerance = 0.02;
    EXPECT_EQ(names(), (std::vector<std::string>{"shape-off", "no-bleed"}));
    c.medium.told.shape_tolerance = false;
    c.medium.pixel_rule = shops::PixelRule::exact;
    EXPECT_EQ(names(), (std::vector<std::string>{"pixels-not-exact", "no-bleed"}));
    plan::Wish with_bleed = example::wish(36, 24);
    c.plan = example::plan(with_bleed, c.medium, c.picture);
    c.plan.file_profile = colour::Profile::srgb().hash();
    EXPECT_EQ(names(), std::vector<std::string>{});
}

TEST(checks_findings, every_way_of_cutting_and_wrapping_settles_on_the_shape_that_the_shop_wants) {
    for (const auto place : {shops::BleedPlace::none, shops::BleedPlace::outside, shops::BleedPlace::inside}) {
        for (const bool is_canvas : {false, true}) {
            for (const auto& size : {base::SizeMm{{914.4}, {609.6}}, base::SizeMm{{609.6}, {914.4}}}) {
                Case c;
                if (is_canvas) c.medium.wrap = example::canvas().wrap;
                c.medium.bleed = shops::Bleed{place, {{3}, {5}, {7}, {9}}};
                c.medium.told.shape_tolerance = true;
                plan::Wish wish;
                wish.size = size;
                c.picture = example::picture(size.width > size.height ? 6000 : 4000, 6000);
                c.plan = example::plan(wish, c.medium, c.picture);
                c.plan.file_profile = colour::Profile::srgb().hash();
                for (const auto& finding : c.found()) EXPECT_NE(finding.name, "shape-off") << finding.sentence;
                for (const auto& finding : c.found()) EXPECT_NE(finding.name, "size-gone") << finding.sentence;
            }
        }
    }
}

TEST(checks_findings, a_crop_by_hand_of_another_shape_is_meant) {
    Case square;
    plan::Wish wish = example::wish(20, 20);
    wish.crop = base::RealRect{100, 100, 3000, 3000};
    square.plan = example::plan(wish, example::metal());
    square.plan.file_profile = colour::Profile::srgb().hash();
    for (const auto& finding : square.found()) EXPECT_NE(finding.name, "shape-against-size");
}

TEST(checks_findings, lengths_stand_in_the_users_units_first_and_in_the_others_after) {
    Case c;
    c.plan.geometry.safe_area = {5};
    c.plan.picture_ppi = {149};
    const auto sentences = [&c](base::ShownUnits units) {
        std::string text;
        std::vector<Finding> all = c.plan_findings(units);
        for (Finding& finding : findings_in(c.samples, {&c.plan, 1}, c.medium, units))
            all.push_back(std::move(finding));
        for (const auto& finding : all) {
            text += finding.sentence + " " + finding.way_out + "\n";
        }
        return text;
    };
    // A pixel of 149 ppi is one arc minute wide at 0.586 m.
    const std::string in_inches = sentences(base::ShownUnits::inches);
    EXPECT_NE(in_inches.find("at least 0.197 in (5 mm) away"), std::string::npos) << in_inches;
    EXPECT_NE(in_inches.find("from 1.9 ft (0.59 m) or further"), std::string::npos) << in_inches;
    EXPECT_NE(in_inches.find("up to 35.8 x 23.8 in (90.8 x 60.6 cm)"), std::string::npos) << in_inches;
    const std::string in_cm = sentences(base::ShownUnits::centimetres);
    EXPECT_NE(in_cm.find("at least 5 mm (0.197 in) away"), std::string::npos) << in_cm;
    EXPECT_NE(in_cm.find("from 0.59 m (1.9 ft) or further"), std::string::npos) << in_cm;
    EXPECT_NE(in_cm.find("up to 90.8 x 60.6 cm (35.8 x 23.8 in)"), std::string::npos) << in_cm;
}

TEST(checks_findings, say_why_a_print_is_brighter_than_the_one_before) {
    Case c;
    const auto sentence = [&c](const EarlierPrint& earlier) {
        c.history.earlier = {earlier};
        for (const Finding& finding : findings_of(c.history, c.plan)) {
            if (finding.name == "lightness-changed") return finding.sentence;
        }
        return std::string();
    };
    EarlierPrint earlier{.id = 7,
                         .made_on = "2026-03-14",
                         .medium_name = "Metal",
                         .is_same_medium = true,
                         .is_same_picture = true,
                         .correction = 0,
                         .light_lux = 0,
                         .lightness_then = 40,
                         .lightness_now = 46};
    c.plan.correction.id = 4;
    EXPECT_NE(sentence(earlier).find("That one has no correction, this one correction 4."), std::string::npos);
    c.plan.correction.id = 0;
    c.plan.light.lux = 60;
    EXPECT_NE(sentence(earlier).find("without --light, this one is for a light of 60 lux."), std::string::npos);
    earlier.is_same_picture = false;
    EXPECT_NE(sentence(earlier).find("The picture was edited in between."), std::string::npos);
    earlier.lightness_now = 43;  // The line itself is met.
    EXPECT_EQ(sentence(earlier), "");
}

TEST(checks_findings, of_the_file_space_are_not_those_of_a_change_that_is_meant) {
    Case c;
    c.plan.correction.id = 0;
    for (auto& lab : c.samples.picture) lab.lightness -= 8;
    const auto names = [&c] {
        std::vector<std::string> all;
        for (const Finding& finding : c.found()) all.push_back(finding.name);
        return all;
    };
    EXPECT_EQ(names(), std::vector<std::string>{"beyond-file-space"});
    c.plan.light.lux = 60;
    EXPECT_EQ(names(), std::vector<std::string>{});
}

TEST(checks_stops, anyway_passes_pixels_but_never_a_shops_file_rule) {
    Case both;
    both.plan.picture_ppi = {60};
    both.medium.rules.most_side_px = 100;
    const auto found = both.found();
    EXPECT_EQ(stops(found, false).size(), 2U);
    const auto left = stops(found, true);
    ASSERT_EQ(left.size(), 1U);
    EXPECT_EQ(left.front().name, "side-too-long");
}

TEST(checks_table, names_are_unique_and_no_stop_for_a_file_rule_can_be_passed) {
    std::set<std::string> names;
    for (const auto& row : table()) {
        EXPECT_TRUE(names.insert(row.name).second) << row.name;
        EXPECT_FALSE(row.meaning.empty());
        if (row.severity == Severity::stop) {
            const bool may_be = row.name == "too-few-pixels" || row.name == "medium-gone" || row.name == "size-gone" ||
                                row.name == "light-counted-twice";
            EXPECT_EQ(row.passable, may_be) << row.name;
        }
    }
}

TEST(checks_findings, pixels_that_nobody_sees_from_where_the_print_hangs_are_no_stop) {
    Case c;
    c.plan.picture_ppi = {60};
    // 20/20 vision resolves 43.66 ppi from 2 m (one arc minute a pixel).
    c.plan.sharpening.design_distance = {2000};
    for (const Finding& finding : c.plan_findings()) EXPECT_NE(finding.name, "too-few-pixels");
}

}  // namespace
}  // namespace hangtrue::checks

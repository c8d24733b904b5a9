// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/plan_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "engine/base/error.h"
#include "tests/plan/example.h"
#include "tests/support/random.h"

namespace hangtrue::plan {
namespace {

using base::UnreadableInput;
using example::canvas;
using example::metal;
using example::plan;
using example::wish;
using testing::AllOf;
using testing::HasSubstr;
using testing::ThrowsMessage;

/// `text` with the first `from` replaced.
std::string changed(std::string text, std::string_view from, std::string_view to) {
    const auto at = text.find(from);
    if (at == std::string::npos) throw std::logic_error("the plan's text holds no " + std::string(from));
    return text.replace(at, from.size(), to);
}

/// `key = …` in its line set to `value`.
std::string with_value(std::string text, std::string_view key, std::string_view value) {
    const auto at = text.find("\n" + std::string(key) + " = ");
    if (at == std::string::npos) throw std::logic_error("the plan's text holds no " + std::string(key));
    const auto begin = at + key.size() + 4;
    return text.replace(begin, text.find('\n', begin) - begin, value);
}

#define EXPECT_UNREADABLE(text, words)                   \
    EXPECT_THAT([&] { plan_from_text(text, "a.plan"); }, \
                ThrowsMessage<UnreadableInput>(AllOf(HasSubstr("a.plan, line "), HasSubstr(words))))

TEST(plan_text, reads_back_to_the_same_bits) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const auto real = [&](double most) { return most * std::ldexp(static_cast<double>(random() >> 11U), -53); };
    for (int round = 0; round < 200; ++round) {
        Plan original =
            plan(wish(24, 16), random() % 2 == 0 ? canvas() : metal(),
                 example::picture(500 + static_cast<int>(random() % 9000), 500 + static_cast<int>(random() % 9000)));
        original.picture.noise = {real(255), real(1)};
        original.picture.blur.sigma_px = real(3);
        original.picture.name = "\"q\" \\ \u00fc\t\u5c71.tif";
        original.sharpening.filter.terms.assign(random() % 4, {0.1 + real(10), real(20) - 10});
        original.sharpening.filter.threshold = real(1) * 1e-300;
        original.sharpening.acutance_after = real(1);
        original.geometry.safe_area = {real(100)};
        original.picture_ppi = {real(1000)};
        for (auto& byte : original.picture.content.bytes) byte = static_cast<std::uint8_t>(random());
        if (random() % 2 == 0) original.price_cents = static_cast<std::int64_t>(random() >> 2U);
        original.file.most_bytes = static_cast<std::int64_t>(random() >> 2U);
        const std::string text = plan_text(original);
        const Plan read = plan_from_text(text, "a.plan");
        // The text holds every field and spells each number exactly: equal texts are equal plans.
        ASSERT_EQ(plan_text(read), text);
        ASSERT_EQ(read.geometry.crop, original.geometry.crop);
        ASSERT_EQ(read.sharpening.filter, original.sharpening.filter);
        ASSERT_EQ(read.picture.noise, original.picture.noise);
        ASSERT_EQ(read.picture.content, original.picture.content);
        ASSERT_EQ(read.picture.name, original.picture.name);
        ASSERT_EQ(read.enlarging, original.enlarging);
        ASSERT_EQ(read.price_cents, original.price_cents);
        ASSERT_EQ(read.geometry.safe_area, original.geometry.safe_area);
    }
}

TEST(plan_text, values_out_of_bounds_are_refused_with_their_line) {
    const std::string text = plan_text(plan(wish(36, 24), metal()));
    EXPECT_UNREADABLE(with_value(text, "ppi", "-3.0"), "");
    EXPECT_UNREADABLE(with_value(text, "ppi", "nan"), "");
    EXPECT_UNREADABLE(with_value(text, "file_px", "[0, 3600]"), "");
    EXPECT_UNREADABLE(with_value(text, "file_px", "[5400]"), "2 numbers");
    EXPECT_UNREADABLE(with_value(text, "content", "\"12\""), "64 hexadecimal digits");
    EXPECT_UNREADABLE(with_value(text, "resample", "99"), "newer Hangtrue");
    EXPECT_UNREADABLE(changed(text, "[scale]\n", "[scale]\nppj = 3\n"), "ppj");
    EXPECT_UNREADABLE(changed(text, "quantity = 1\n", ""), "quantity");
}

TEST(plan_text, a_plan_from_before_the_noise_had_a_coarse_share_reads_as_white_noise) {
    Plan before = plan(wish(36, 24), metal());
    before.picture.noise.coarse_share = 0.5;
    const Plan read = plan_from_text(changed(plan_text(before), "noise_coarse_share = 0.5\n", ""), "a.plan");
    EXPECT_EQ(read.picture.noise.coarse_share, optics::white_coarse_share);
}

TEST(plan_text, a_newer_format_is_refused_as_such) {
    const std::string text = plan_text(plan(wish(36, 24), metal()));
    EXPECT_THROW(plan_from_text(changed(text, "format = 1", "format = 2"), "a.plan"), UnreadableInput);
    EXPECT_THROW(plan_from_text("", "a.plan"), UnreadableInput);
}

TEST(plan_text, numbers_that_contradict_one_another_are_refused) {
    const std::string text = plan_text(plan(wish(36, 24), metal()));
    EXPECT_UNREADABLE(with_value(text, "image_px", "[1, 0, 5400, 3600]"), "inside the file");
    EXPECT_UNREADABLE(with_value(text, "image_px", "[0, 0, 0, 0]"), "inside the file");
    EXPECT_UNREADABLE(with_value(text, "finished_px", "[0, 1, 5400, 3600]"), "inside the file");
    EXPECT_UNREADABLE(with_value(text, "crop", "[1.0, 0.0, 6000.0, 4000.0]"), "inside the picture");
    EXPECT_UNREADABLE(with_value(text, "crop", "[0.0, 0.0, 6000.0, 3999.0]"), "stretched");
    EXPECT_UNREADABLE(with_value(text, "enlarging", "0.91"), "enlarging");
    EXPECT_UNREADABLE(with_value(text, "resampling", "\"none\""), "resampling");
    EXPECT_UNREADABLE(with_value(text, "resampling", "\"enlarge_encoded\""), "resampling");
    EXPECT_UNREADABLE(with_value(text, "bits", "12"), "8 bits");
    EXPECT_UNREADABLE(with_value(text, "panel", "2"), "fewer panels");
    EXPECT_UNREADABLE(changed(text, "name = \"Ridge at dawn 36x24in brushed-metal.tif\"", "name = \"../a.tif\""),
                      "one file's");
    EXPECT_UNREADABLE(changed(text, "format = \"tiff\"", "format = \"jpeg\""), "8 bits");
    const std::string wrapped = plan_text(plan(wish(24, 16), canvas()));
    EXPECT_UNREADABLE(with_value(wrapped, "sigmas_px", "[0.0]"), "");
}

TEST(plan_text, of_a_light_reads_back_to_the_same_bits_and_no_fall_or_moved_end_is_taken) {
    Wish lit = wish(36, 24);
    lit.light = LightWish{80, "a room"};
    lit.screen_candelas = 160;
    const Plan original = plan(lit, metal());
    ASSERT_TRUE(original.light.changes());
    const std::string text = plan_text(original);
    const Plan read = plan_from_text(text, "a.plan");
    EXPECT_EQ(read.light.tones, original.light.tones);
    EXPECT_EQ(read.light.lux, 80);
    EXPECT_EQ(read.light.room, "a room");
    EXPECT_EQ(read.light.screen_candelas, 160);
    EXPECT_EQ(plan_text(read), text);

    const auto with_tones = [&](colour::Correction::Curve tones) {
        Plan changed = original;
        changed.light.tones.lightness = tones;
        return plan_text(changed);
    };
    colour::Correction::Curve falling = original.light.tones.lightness;
    std::swap(falling[4], falling[5]);
    EXPECT_UNREADABLE(with_tones(falling), "rises all the way");
    colour::Correction::Curve grey_white = original.light.tones.lightness;
    grey_white.back() = 98;
    EXPECT_UNREADABLE(with_tones(grey_white), "leaves white and black");
    EXPECT_UNREADABLE(with_value(text, "lux", "0.0"), "lux");
    EXPECT_UNREADABLE(with_value(text, "screen_candelas", "nan"), "screen_candelas");
    // A plan of a time before there was light in plans is one without.
    const std::string plain = plan_text(plan(wish(36, 24), metal()));
    EXPECT_EQ(plain.find("[light]"), std::string::npos);
    EXPECT_FALSE(plan_from_text(plain, "a.plan").light.is_asked());
}

TEST(plan_text, a_text_cut_short_or_changed_anywhere_is_read_or_refused_and_no_more) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const std::string text = plan_text(plan(wish(24, 16), canvas()));
    int refused = 0;
    for (int round = 0; round < 500; ++round) {
        std::string wrong = text;
        if (round % 2 == 0) {
            wrong.resize(random() % wrong.size());
        } else {
            wrong[random() % wrong.size()] = static_cast<char>(' ' + random() % 95);
        }
        try {
            plan_from_text(wrong, "a.plan");
        } catch (const UnreadableInput&) {
            ++refused;
        }
    }
    EXPECT_GT(refused, 260);  // All cut ones; a changed letter in a name or a hash reads well.
}

}  // namespace
}  // namespace hangtrue::plan

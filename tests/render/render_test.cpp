// SPDX-License-Identifier: Apache-2.0
#include "engine/render/render.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <memory>
#include <vector>

#include "engine/base/error.h"
#include "engine/base/hash.h"
#include "engine/colour/correction.h"
#include "engine/render/grid.h"
#include "engine/render/sample_record.h"
#include "engine/render/shrunk_rows.h"
#include "tests/support/random.h"

namespace hangtrue::render {
namespace {

/// A picture made in code: smooth waves, an edge and some noise, 16 bit RGB. Counts how often it starts anew.
class MadePicture : public raster::RowReader {
  public:
    explicit MadePicture(base::PixelSize size, std::uint64_t seed = 1) {
        m_info.size = size;
        m_info.bits = 16;
        std::mt19937_64 random(seed);
        m_samples.resize(static_cast<std::size_t>(size.count()) * 3);
        std::size_t at = 0;
        for (int y = 0; y < size.height; ++y) {
            for (int x = 0; x < size.width; ++x) {
                for (int c = 0; c < 3; ++c) {
                    const double wave = 0.5 + 0.3 * std::sin(x * 0.13 + c) * std::cos(y * 0.09);
                    const double edge = x > size.width / 2 ? 0.1 : -0.1;
                    const double noise = static_cast<double>(random() % 1000) / 50000;
                    m_samples[at++] = static_cast<std::uint16_t>(65535 * std::clamp(wave + edge + noise, 0.0, 1.0));
                }
            }
        }
    }
    void read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        progress.check();
        if (first < m_next) ++restarts;
        m_next = first + count;
        const std::size_t row = static_cast<std::size_t>(m_info.size.width) * 3;
        std::memcpy(out.data(), m_samples.data() + static_cast<std::size_t>(first) * row,
                    static_cast<std::size_t>(count) * row * 2);
    }
    std::uint16_t sample(int x, int y, int channel) const {
        return m_samples[(static_cast<std::size_t>(y) * static_cast<std::size_t>(m_info.size.width) +
                          static_cast<std::size_t>(x)) *
                             3 +
                         static_cast<std::size_t>(channel)];
    }
    int restarts = 0;

  private:
    std::vector<std::uint16_t> m_samples;
    int m_next = 0;
};

plan::Plan plan_for(const MadePicture& picture, base::PixelSize image) {
    plan::Plan plan;
    plan.picture.name = "made.tif";
    plan.picture.size = picture.info().size;
    plan.geometry.file = image;
    plan.geometry.image = {0, 0, image.width, image.height};
    plan.geometry.crop = {0, 0, static_cast<double>(picture.info().size.width),
                          static_cast<double>(picture.info().size.height)};
    plan.resampling =
        image.width < picture.info().size.width ? plan::Resampling::reduce_linear : plan::Resampling::enlarge_encoded;
    plan.sharpening.filter.terms = {{0.8, 0.6}, {1.9, 0.3}};
    plan.sharpening.filter.threshold = 0.002;
    plan.sharpening.filter.overshoot_limit = 0.05;
    plan.sharpening.filter.highlight_fade = 0.05;
    plan.sharpening.filter.shadow_fade = 0.05;
    plan.file.bits = 8;
    return plan;
}

/// A wrapped canvas: 40 pixels of fill on each side of the image.
plan::Plan wrapped(plan::Plan plan, plan::Fill fill) {
    const base::PixelRect image = plan.geometry.image;
    plan.geometry.file = {image.width + 80, image.height + 80};
    plan.geometry.image = {40, 40, image.width, image.height};
    plan.geometry.fill = fill;
    return plan;
}

struct Prepared {
    explicit Prepared(const plan::Plan& plan)
        : working(colour::Profile::adobe_rgb(), colour::SourceModel::rgb, "made.tif"),
          conversion(working, colour::Profile::srgb(), {}),
          stages{plan, working, &conversion, {1, 1, 1}} {}
    colour::WorkingForm working;
    colour::Conversion conversion;
    Stages stages;
};

std::vector<std::byte> window_of(const plan::Plan& plan, MadePicture& picture, base::PixelRect window, int threads) {
    const Prepared prepared(plan);
    base::Progress progress;
    return rendered_window(prepared.stages, picture, window, threads, progress);
}

std::vector<std::byte> whole_file(const plan::Plan& plan, MadePicture& picture, int threads) {
    return window_of(plan, picture, {0, 0, plan.geometry.file.width, plan.geometry.file.height}, threads);
}

std::vector<std::byte> cut(const std::vector<std::byte>& file, int file_width, base::PixelRect window,
                           std::size_t pixel_bytes) {
    std::vector<std::byte> result;
    for (int y = window.y; y < window.bottom(); ++y) {
        const auto* row = file.data() + (static_cast<std::size_t>(y) * static_cast<std::size_t>(file_width) +
                                         static_cast<std::size_t>(window.x)) *
                                            pixel_bytes;
        result.insert(result.end(), row, row + static_cast<std::size_t>(window.width) * pixel_bytes);
    }
    return result;
}

TEST(render_render, one_two_three_and_four_threads_give_the_same_bytes) {
    MadePicture picture({700, 400});
    for (const auto& plan :
         {plan_for(picture, {1330, 760}), wrapped(plan_for(picture, {1330, 760}), plan::Fill::mirror),
          plan_for(picture, {350, 200})}) {
        const auto one = whole_file(plan, picture, 1);
        for (const int threads : {2, 3, 4})
            EXPECT_EQ(base::digest(whole_file(plan, picture, threads)), base::digest(one));
    }
}

TEST(render_render, variants_of_a_window_are_what_each_conversion_gives_alone) {
    MadePicture picture({700, 400});
    for (const base::PixelSize file : {base::PixelSize{1330, 760}, {350, 200}}) {
        for (const int bits : {8, 16}) {
            plan::Plan plan = plan_for(picture, file);
            plan.file.bits = bits;
            const Prepared plain(plan);
            const colour::Correction lighter = colour::correction_of({5, 2, -3, 0.05});
            const colour::Conversion corrected(plain.working, colour::Profile::srgb(), {}, {.correction = &lighter});
            const std::array<const colour::Conversion*, 2> conversions{&plain.conversion, &corrected};
            const base::PixelRect window{file.width / 3, file.height / 4, file.width / 2, file.height / 2};
            base::Progress progress;
            const auto variants = rendered_variants(plain.stages, conversions, picture, window, progress);
            ASSERT_EQ(variants.size(), 2U);
            Stages stages = plain.stages;
            for (std::size_t i = 0; i < variants.size(); ++i) {
                stages.conversion = conversions[i];
                EXPECT_TRUE(variants[i] == rendered_window(stages, picture, window, 2, progress)) << i << ' ' << bits;
            }
            EXPECT_FALSE(variants[0] == variants[1]);
        }
    }
}

TEST(render_render, any_window_gives_the_bytes_of_the_whole_file) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    MadePicture picture({700, 400});
    for (const int bits : {8, 16}) {
        for (const auto fill : {plan::Fill::colour, plan::Fill::mirror}) {
            plan::Plan plan = wrapped(plan_for(picture, {1330, 760}), fill);
            plan.file.bits = bits;
            const auto file = whole_file(plan, picture, 2);
            for (int round = 0; round < 8; ++round) {
                const int x = static_cast<int>(random() % 1400);
                const int y = static_cast<int>(random() % 830);
                const base::PixelRect window = base::intersection(
                    {x, y, 1 + static_cast<int>(random() % 600), 1 + static_cast<int>(random() % 500)},
                    {0, 0, plan.geometry.file.width, plan.geometry.file.height});
                ASSERT_EQ(window_of(plan, picture, window, 2),
                          cut(file, plan.geometry.file.width, window, static_cast<std::size_t>(3 * bits / 8)))
                    << "window " << window.x << "," << window.y << " " << window.width << "x" << window.height;
            }
        }
    }
}

TEST(render_render, a_mirrored_wrap_shows_the_picture_mirrored_at_each_side_within_a_dithered_code) {
    MadePicture picture({600, 400});
    plan::Plan plan = wrapped(plan_for(picture, {900, 600}), plan::Fill::mirror);
    const auto file = whole_file(plan, picture, 2);
    const auto at = [&](int x, int y, int channel) {
        return std::to_integer<int>(
            file[(static_cast<std::size_t>(y) * static_cast<std::size_t>(plan.geometry.file.width) +
                  static_cast<std::size_t>(x)) *
                     3 +
                 static_cast<std::size_t>(channel)]);
    };
    // Two codes: each place has a dither of its own, at most one code apart, and a block of its own.
    for (int k = 0; k < 40; ++k) {
        for (int along = 50; along < 500; along += 41) {
            EXPECT_NEAR(at(39 - k, along, 0), at(40 + k, along, 0), 2);
            EXPECT_NEAR(at(940 + k, along, 1), at(939 - k, along, 1), 2);
            EXPECT_NEAR(at(along, 39 - k, 2), at(along, 40 + k, 2), 2);
            EXPECT_NEAR(at(along, 640 + k, 0), at(along, 639 - k, 0), 2);
        }
        EXPECT_NEAR(at(39 - k, 39 - k, 0), at(40 + k, 40 + k, 0), 2) << "corner";
    }
}

TEST(render_render, a_flat_fill_is_exactly_its_colour_and_white_exactly_white) {
    MadePicture picture({300, 200});
    const plan::Plan plan = wrapped(plan_for(picture, {450, 300}), plan::Fill::colour);
    const auto file = whole_file(plan, picture, 1);
    for (int y = 0; y < plan.geometry.file.height; ++y) {
        for (int x = 0; x < plan.geometry.file.width; ++x) {
            const bool inside = x >= 40 && x < 490 && y >= 40 && y < 340;
            if (inside) continue;
            const std::size_t offset =
                (static_cast<std::size_t>(y) * static_cast<std::size_t>(plan.geometry.file.width) +
                 static_cast<std::size_t>(x)) *
                3;
            for (std::size_t c = 0; c < 3; ++c) ASSERT_EQ(std::to_integer<int>(file[offset + c]), 255);
        }
    }
}

TEST(render_render, a_file_mirrored_for_the_back_of_acrylic_is_the_mirror_image) {
    MadePicture picture({600, 300});
    plan::Plan plan = plan_for(picture, {900, 450});
    plan.file.bits = 16;
    const auto straight = whole_file(plan, picture, 2);
    plan.geometry.mirrored = true;
    const auto mirrored = whole_file(plan, picture, 2);
    const auto* a = reinterpret_cast<const std::uint16_t*>(straight.data());
    const auto* b = reinterpret_cast<const std::uint16_t*>(mirrored.data());
    for (int y = 0; y < 450; y += 7) {
        for (int x = 0; x < 900; ++x) {
            for (int c = 0; c < 3; ++c) {
                // Blocks are cut elsewhere, so that the last bit of a float may differ: one code of 65535.
                ASSERT_NEAR(a[(y * 900 + x) * 3 + c], b[(y * 900 + 899 - x) * 3 + c], 1);
            }
        }
    }
}

TEST(render_render, at_1_to_1_without_sharpening_in_its_own_space_the_samples_are_the_pictures) {
    MadePicture picture({600, 300});
    plan::Plan plan = plan_for(picture, {520, 280});
    plan.geometry.crop = {17, 9, 520, 280};
    plan.resampling = plan::Resampling::none;
    plan.sharpening.filter = {};
    plan.file.bits = 16;
    const colour::WorkingForm working(colour::Profile::srgb(), colour::SourceModel::rgb, "made.tif");
    const colour::Conversion conversion(working, colour::Profile::srgb(), {});
    base::Progress progress;
    const auto file = rendered_window({plan, working, &conversion, {1, 1, 1}}, picture, {0, 0, 520, 280}, 2, progress);
    const auto* samples = reinterpret_cast<const std::uint16_t*>(file.data());
    for (int y = 0; y < 280; ++y) {
        for (int x = 0; x < 520; ++x) {
            for (int c = 0; c < 3; ++c) ASSERT_EQ(samples[(y * 520 + x) * 3 + c], picture.sample(17 + x, 9 + y, c));
        }
    }
}

TEST(render_render, a_picture_measured_neutral_gives_equal_channels) {
    MadePicture picture({600, 300});
    plan::Plan plan = plan_for(picture, {900, 450});
    plan.picture.is_neutral = true;
    const auto dithered = whole_file(plan, picture, 2);
    for (std::size_t i = 0; i < dithered.size(); i += 3) {
        ASSERT_EQ(dithered[i], dithered[i + 1]);
        ASSERT_EQ(dithered[i], dithered[i + 2]);
    }
    plan.file.bits = 16;
    const auto file = whole_file(plan, picture, 2);
    const auto* samples = reinterpret_cast<const std::uint16_t*>(file.data());
    for (std::size_t i = 0; i < file.size() / 6; ++i) {
        ASSERT_EQ(samples[3 * i], samples[3 * i + 1]);
        ASSERT_EQ(samples[3 * i], samples[3 * i + 2]);
    }
}

TEST(render_render, the_picture_is_read_once_forwards_even_for_a_mirrored_canvas) {
    MadePicture picture({700, 1500});
    (void)whole_file(wrapped(plan_for(picture, {1050, 2250}), plan::Fill::mirror), picture, 2);
    EXPECT_EQ(picture.restarts, 0);
}

TEST(render_render, another_picture_than_the_plans_is_refused) {
    MadePicture picture({300, 200});
    const plan::Plan plan = plan_for(picture, {450, 300});
    MadePicture other({301, 200});
    EXPECT_THROW((void)whole_file(plan, other, 1), base::UnreadableInput);
}

TEST(render_render, cancelling_stops_at_the_next_block) {
    MadePicture picture({700, 700});
    const plan::Plan plan = plan_for(picture, {2000, 2000});
    const Prepared prepared(plan);
    base::Progress* running = nullptr;
    int reports = 0;
    base::Progress progress([&](const base::ProgressReport&) {
        ++reports;
        running->cancel();
    });
    running = &progress;
    EXPECT_THROW((void)rendered_window(prepared.stages, picture, {0, 0, 2000, 2000}, 2, progress), base::Cancelled);
    EXPECT_EQ(reports, 1);
}

TEST(render_shrunk_rows, a_reduction_under_a_quarter_begins_with_a_whole_factor) {
    EXPECT_EQ(shrink_factor(1.5), 1);
    EXPECT_EQ(shrink_factor(0.25), 1);
    EXPECT_EQ(shrink_factor(0.2499), 2);
    EXPECT_EQ(shrink_factor(0.1), 5);
    EXPECT_EQ(shrink_factor(0.01), 50);
}

TEST(render_shrunk_rows, averages_light_not_codes_and_the_rest_at_the_border) {
    // 0 and 65535 side by side: half the light is code 0.735357 (IEC 61966-2-1), not 0.5.
    class Stripes : public raster::RowReader {
      public:
        Stripes() {
            m_info.size = {5, 3};
            m_info.bits = 16;
        }
        void read_rows(int, int, std::span<std::byte> out, base::Progress&) override {
            auto* codes = reinterpret_cast<std::uint16_t*>(out.data());
            for (int x = 0; x < 5; ++x) {
                for (int c = 0; c < 3; ++c) *codes++ = x % 2 == 0 ? 65535 : 0;
            }
        }
    } stripes;
    ShrunkRows shrunk(stripes, 2);
    ASSERT_EQ(shrunk.info().size, (base::PixelSize{3, 2}));
    std::vector<std::byte> rows(2 * shrunk.info().bytes_per_row());
    base::Progress progress;
    shrunk.read_rows(0, 2, rows, progress);
    const auto* codes = reinterpret_cast<const std::uint16_t*>(rows.data());
    for (int y = 0; y < 2; ++y) {
        EXPECT_NEAR(codes[9 * y], 0.735357 * 65535, 1);  // six digits of the source: a twentieth of a code
        EXPECT_NEAR(codes[9 * y + 3], 0.735357 * 65535, 1);
        EXPECT_EQ(codes[9 * y + 6], 65535);  // the fifth column alone
    }
}

TEST(render_shrunk_rows, a_strong_reduction_keeps_place_and_light) {
    MadePicture picture({1600, 1200});
    plan::Plan plan = plan_for(picture, {160, 120});
    plan.sharpening.filter = {};
    plan.file.bits = 16;
    const auto small = whole_file(plan, picture, 2);
    EXPECT_EQ(base::digest(small), base::digest(whole_file(plan, picture, 4)));
    // Left of the edge at x = 800 the picture is darker by a fifth: the edge stays at x = 80.
    const auto* samples = reinterpret_cast<const std::uint16_t*>(small.data());
    const auto column = [&](int x) {
        double sum = 0;
        for (int y = 0; y < 120; ++y) sum += samples[(y * 160 + x) * 3 + 1];
        return sum / 120;
    };
    EXPECT_GT(column(82) - column(77), 0.1 * 65535);
}

TEST(render_sample_record, notices_any_changed_sample_and_keeps_block_means) {
    const base::PixelSize size{130, 300};
    std::vector<std::byte> samples(static_cast<std::size_t>(size.count()) * 3, std::byte{100});
    const auto record_of = [&] {
        SampleRecord record(size, 8);
        const std::size_t first = static_cast<std::size_t>(size.width) * 3 * block_height;
        record.take_band(0, std::span(samples).first(first));
        record.take_band(1, std::span(samples).subspan(first));
        return record;
    };
    const SampleRecord before = record_of();
    ASSERT_EQ(before.fingerprint().size(), 3U * 3 * 5);
    for (const std::uint16_t mean : before.fingerprint()) EXPECT_EQ(mean, 100 * 257);
    samples[samples.size() - 1] = std::byte{101};
    const SampleRecord after = record_of();
    EXPECT_EQ(after.bands()[0], before.bands()[0]);
    EXPECT_FALSE(after.bands()[1] == before.bands()[1]);
    EXPECT_FALSE(after.whole() == before.whole());
}

}  // namespace
}  // namespace hangtrue::render

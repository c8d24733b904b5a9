// SPDX-License-Identifier: Apache-2.0
#include "engine/render/likeness.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <memory>
#include <random>
#include <vector>

#include "engine/render/render.h"
#include "tests/support/made_weights.h"
#include "tests/support/random.h"
#include "tests/support/sanitized.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::render {
namespace {

plan::Plan plan_of(base::PixelSize picture, int doublings, const enlarge::Measures& measures = {}) {
    plan::Plan plan;
    plan.picture.name = "made.tif";
    plan.picture.size = picture;
    plan.geometry.crop = {0, 0, static_cast<double>(picture.width), static_cast<double>(picture.height)};
    plan.network.name = "made";
    plan.network.doublings = doublings;
    plan.network.measures = measures;
    plan.network.grain = enlarge::Grain::calm;
    return plan;
}

struct Image {
    base::PixelSize size;
    std::vector<float> floats;  ///< Three planes.
    Image(base::PixelSize size_, std::uint64_t seed) : size(size_), floats(3 * static_cast<std::size_t>(size.count())) {
        std::mt19937_64 random(seed);
        std::uniform_real_distribution<float> any(0, 1);
        for (float& value : floats) value = any(random);
    }
    float& at(int channel, int x, int y) {
        return floats[(static_cast<std::size_t>(channel) * static_cast<std::size_t>(size.height) +
                       static_cast<std::size_t>(y)) *
                          static_cast<std::size_t>(size.width) +
                      static_cast<std::size_t>(x)];
    }
    LikenessRecord::Planes planes() const {
        const auto plane = static_cast<std::size_t>(size.count());
        return {{floats.data(), floats.data() + plane, floats.data() + 2 * plane},
                static_cast<std::size_t>(size.width),
                {0, 0, size.width, size.height}};
    }
};

int mirrored(int at, int count) {
    while (at < 0 || at >= count) at = at < 0 ? -1 - at : 2 * count - 1 - at;
    return at;
}

/// Eight samples with the weights of the cubic widened to twice the distance (Keys 1981, a = -1/2), along both axes.
std::vector<double> made_small_slowly(const std::vector<double>& plane, int width, int height) {
    constexpr double weights[] = {-0.01171875, -0.03515625, 0.11328125,  0.43359375,
                                  0.43359375,  0.11328125,  -0.03515625, -0.01171875};
    std::vector<double> small;
    for (int y = 0; y < height / 2; ++y) {
        for (int x = 0; x < width / 2; ++x) {
            double sum = 0;
            for (int j = 0; j < 8; ++j) {
                for (int i = 0; i < 8; ++i) {
                    const int row = mirrored(2 * y + j - 3, height);
                    const int column = mirrored(2 * x + i - 3, width);
                    sum += weights[j] * weights[i] * plane[static_cast<std::size_t>(row * width + column)];
                }
            }
            small.push_back(sum);
        }
    }
    return small;
}

std::vector<double> softened_slowly(const std::vector<double>& plane, int width, int height, double sigma) {
    const int reach = static_cast<int>(std::ceil(3 * sigma));
    std::vector<double> soft;
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            double sum = 0;
            double weights = 0;
            for (int j = -reach; j <= reach; ++j) {
                for (int i = -reach; i <= reach; ++i) {
                    const double weight = std::exp(-0.5 * (i * i + j * j) / (sigma * sigma));
                    weights += weight;
                    sum += weight *
                           plane[static_cast<std::size_t>(mirrored(y + j, height) * width + mirrored(x + i, width))];
                }
            }
            soft.push_back(sum / weights);
        }
    }
    return soft;
}

Likeness likeness_slowly(const Image& picture, const Image& enlarged, int doublings, double blur) {
    const int across = picture.size.width / 16;
    const int down = picture.size.height / 16;
    Likeness slow;
    double squares = 0;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const auto count = static_cast<std::size_t>(enlarged.size.count());
        const auto from = enlarged.floats.begin() + static_cast<std::ptrdiff_t>(channel * count);
        std::vector<double> plane(from, from + static_cast<std::ptrdiff_t>(count));
        for (int i = 0; i < doublings; ++i) {
            plane = made_small_slowly(plane, enlarged.size.width >> i, enlarged.size.height >> i);
        }
        if (blur > 0) plane = softened_slowly(plane, picture.size.width, picture.size.height, blur);
        for (int row = 0; row < down; ++row) {
            for (int column = 0; column < across; ++column) {
                double sum = 0;
                for (int i = 0; i < 256; ++i) {
                    const auto at =
                        static_cast<std::size_t>((16 * row + i / 16) * picture.size.width + 16 * column + i % 16);
                    const double difference =
                        plane[at] - static_cast<double>(
                                        picture.floats[channel * static_cast<std::size_t>(picture.size.count()) + at]);
                    sum += difference;
                    slow.mean += std::abs(difference);
                    squares += difference * difference;
                }
                slow.largest_block = std::max(slow.largest_block, 255 * std::abs(sum) / 256);
            }
        }
    }
    slow.pixels = std::int64_t{256} * across * down;
    slow.mean *= 255.0 / static_cast<double>(3 * slow.pixels);
    slow.root_mean_square = 255 * std::sqrt(squares / static_cast<double>(3 * slow.pixels));
    return slow;
}

TEST(render_likeness, agrees_with_the_slow_reference_for_one_and_two_doublings_crisp_and_soft) {
    const support::Seeded seeded;
    for (const int doublings : {1, 2}) {
        for (const double blur : {0.0, 0.9}) {
            // 53 x 37: the last 5 pixels are no whole block.
            const Image picture({53, 37}, seeded.seed);
            const Image enlarged({53 << doublings, 37 << doublings}, seeded.seed + 1);
            LikenessRecord record(plan_of(picture.size, doublings, {.undone_blur_px = blur}));
            base::AlignedFloats scratch;
            // In two parts, the second of which begins with the second column of blocks.
            for (const base::PixelRect blocks : {base::PixelRect{0, 0, 1, 2}, {1, 0, 2, 2}}) {
                record.take(blocks, picture.planes(), enlarged.planes(), scratch);
            }
            const auto found = record.likeness();
            const Likeness slow = likeness_slowly(picture, enlarged, doublings, blur);
            ASSERT_TRUE(found);
            EXPECT_EQ(found->pixels, 48 * 32);
            // Float sums of a few hundred values against double.
            EXPECT_NEAR(found->mean, slow.mean, 1e-4 * slow.mean);
            EXPECT_NEAR(found->root_mean_square, slow.root_mean_square, 1e-4 * slow.root_mean_square);
            EXPECT_NEAR(found->largest_block, slow.largest_block, 1e-4 * slow.largest_block);
        }
    }
}

TEST(render_likeness, counts_the_blocks_that_the_crop_shows_whole) {
    plan::Plan plan = plan_of({100, 100}, 1);
    plan.geometry.crop = {15.5, 0, 50.4, 31.9};  // Columns 16 to 65 whole: blocks 1 to 3; rows 0 to 30: block 0.
    const LikenessRecord record(plan);
    const base::PixelRect blocks = record.blocks_in({0, 0, 200, 200});
    EXPECT_EQ(blocks, (base::PixelRect{1, 0, 3, 1}));
    EXPECT_EQ(record.blocks_in({33, 0, 200, 200}), (base::PixelRect{2, 0, 2, 1})) << "the first begins at 32";
    EXPECT_TRUE(record.blocks_in({0, 1, 200, 200}).empty()) << "they begin at 0";
}

TEST(render_likeness, of_a_picture_smaller_than_a_block_is_unknown) {
    EXPECT_FALSE(LikenessRecord(plan_of({15, 400}, 1)).likeness());
}

TEST(render_likeness, one_code_of_255_everywhere_is_48_decibels) {
    // 20 log10(255) = 48.13.
    EXPECT_NEAR((Likeness{256, 1, 1, 1}.decibels()), 48.13, 0.005);
    EXPECT_EQ((Likeness{256, 0, 0, 0}.decibels()), 200);
}

/// Smooth waves, clean, 16 bit.
class Waves : public raster::RowReader {
  public:
    explicit Waves(base::PixelSize size) {
        m_info.size = size;
        m_info.bits = 16;
    }
    void read_rows(int first, int count, std::span<std::byte> out, base::Progress&) override {
        std::vector<std::uint16_t> samples;
        for (int y = first; y < first + count; ++y) {
            for (int x = 0; x < m_info.size.width; ++x) {
                for (int c = 0; c < 3; ++c) {
                    const double wave = 0.5 + 0.3 * std::sin(x * 0.43 + c) * std::cos(y * 0.29);
                    samples.push_back(static_cast<std::uint16_t>(std::lround(65535 * wave)));
                }
            }
        }
        std::memcpy(out.data(), samples.data(), samples.size() * 2);
    }
};

struct Rendered {
    Likeness likeness;
    std::vector<std::byte> samples;
};

class render_likeness_of_files : public testing::Test {
  protected:
    /// 330 x 300 pixels, of which the crop leaves a frame out, to a print with a mirrored wrap.
    Rendered rendered(const enlarge::Measures& measures, double enlarging, int threads, bool recorded = true) {
        Waves picture({330, 300});
        plan::Plan plan = plan_of(picture.info().size, enlarging > 2 ? 2 : 1, measures);
        plan.geometry.crop = {3.25, 2.5, 320, 280};
        const base::PixelSize image{static_cast<int>(320 * enlarging), static_cast<int>(280 * enlarging)};
        plan.geometry.image = {40, 40, image.width, image.height};
        plan.geometry.file = {image.width + 80, image.height + 80};
        plan.geometry.fill = plan::Fill::mirror;
        plan.enlarging = enlarging;
        plan.resampling = plan::Resampling::enlarge_encoded;
        plan.sharpening.filter.terms = {{0.8, 0.6}};
        const colour::WorkingForm working(colour::Profile::adobe_rgb(), colour::SourceModel::rgb, "made.tif");
        const colour::Conversion conversion(working, colour::Profile::srgb(), {});
        LikenessRecord record(plan);
        const Stages stages{plan, working, &conversion, {1, 1, 1}, m_network.get(), recorded ? &record : nullptr};
        base::Progress progress;
        const auto& file = plan.geometry.file;
        Rendered result;
        result.samples = rendered_window(stages, picture, {0, 0, file.width, file.height}, threads, progress);
        if (recorded) result.likeness = record.likeness().value();
        return result;
    }

  private:
    std::unique_ptr<enlarge::Network> m_network = [] {
        const support::TemporaryFolder folder;
        support::made_weights(8, 1, 7).write(folder.path() / "made.weights");
        return std::make_unique<enlarge::Network>(enlarge::Weights::from_file(folder.path() / "made.weights"));
    }();
};

// The network's weights are random: that its result is the picture again is the work of consistency.
TEST_F(render_likeness_of_files, of_clean_pictures_is_above_50_decibels) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    for (const double enlarging : {1.3, 2.0, 3.1}) {
        const Likeness likeness = rendered({}, enlarging, 2).likeness;
        // The crop shows columns 4 to 322 and rows 3 to 281 whole: blocks 1 to 19 and 1 to 16.
        EXPECT_EQ(likeness.pixels, 19 * 16 * 256);
        EXPECT_GT(likeness.decibels(), 50) << enlarging;
        EXPECT_LT(likeness.largest_block, 0.5) << enlarging;
    }
}

TEST_F(render_likeness_of_files, sees_a_result_that_is_not_the_picture) {
    // Told of so much noise, consistency leaves every difference, and a random network's picture is no picture.
    const Likeness likeness = rendered({1, 0, 0}, 2, 2).likeness;
    EXPECT_LT(likeness.decibels(), 35);
    EXPECT_GT(likeness.largest_block, 1);
}

TEST_F(render_likeness_of_files, is_the_same_for_any_number_of_threads_and_changes_no_sample) {
    for (const double enlarging : {1.3, 3.1}) {
        const Rendered one = rendered({.noise_sd = 0.01, .undone_blur_px = 0.6}, enlarging, 1);
        const Rendered three = rendered({.noise_sd = 0.01, .undone_blur_px = 0.6}, enlarging, 3);
        EXPECT_EQ(three.likeness.mean, one.likeness.mean);
        EXPECT_EQ(three.likeness.root_mean_square, one.likeness.root_mean_square);
        EXPECT_EQ(three.likeness.largest_block, one.likeness.largest_block);
        EXPECT_TRUE(three.samples == one.samples);
        EXPECT_TRUE(rendered({.noise_sd = 0.01, .undone_blur_px = 0.6}, enlarging, 2, /*recorded=*/false).samples ==
                    one.samples);
    }
}

}  // namespace
}  // namespace hangtrue::render

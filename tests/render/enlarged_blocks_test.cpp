// SPDX-License-Identifier: Apache-2.0
#include "engine/render/enlarged_blocks.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <random>
#include <thread>
#include <vector>

#include "engine/base/error.h"
#include "tests/support/made_weights.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::render {
namespace {

std::unique_ptr<enlarge::Network> network_of(const support::MadeWeights& made) {
    const support::TemporaryFolder folder;
    made.write(folder.path() / "made.weights");
    return std::make_unique<enlarge::Network>(enlarge::Weights::from_file(folder.path() / "made.weights"));
}

/// Adds nothing to the picture enlarged by the cubic.
std::unique_ptr<enlarge::Network> cubic_alone() {
    support::MadeWeights made = support::made_weights(8, 1, 1);
    std::fill(made.floats.begin(), made.floats.end(), 0.0f);
    return network_of(made);
}

/// So much noise that consistency leaves every difference.
constexpr enlarge::Measures said_to_be_noise{1, 0, 0};

float scene(int x, int y, std::size_t channel) {
    return 0.5f + 0.3f * std::sin(0.7f * static_cast<float>(x) + static_cast<float>(channel)) *
                      std::cos(0.4f * static_cast<float>(y));
}

/// The picture comes from `scene`; its rows are never looked at.
void from_scene(base::PixelRect part, const SourceRows&, const std::array<float*, 3>& planes, std::size_t stride) {
    for (std::size_t channel = 0; channel < 3; ++channel) {
        for (int y = 0; y < part.height; ++y) {
            for (int x = 0; x < part.width; ++x) {
                planes[channel][static_cast<std::size_t>(y) * stride + static_cast<std::size_t>(x)] =
                    scene(part.x + x, part.y + y, channel);
            }
        }
    }
}

/// `picture` enlarged, all of it or `part`.
EnlargedBlocks::Wanted all_of(base::PixelSize picture, int doublings, enlarge::Grain grain = enlarge::Grain::calm) {
    return {.doublings = doublings,
            .grain = grain,
            .part = {0, 0, picture.width << doublings, picture.height << doublings}};
}

std::vector<float> filled(EnlargedBlocks& blocks, base::PixelRect part, const base::Progress& progress) {
    const auto width = static_cast<std::size_t>(part.width);
    const std::size_t plane = width * static_cast<std::size_t>(part.height);
    std::vector<float> floats(3 * plane);
    blocks.fill(part, {}, {floats.data(), floats.data() + plane, floats.data() + 2 * plane}, width, progress);
    return floats;
}

void expect_cut(const std::vector<float>& part, base::PixelRect at, const std::vector<float>& whole,
                base::PixelSize size) {
    for (int channel = 0; channel < 3; ++channel) {
        for (int row = 0; row < at.height; ++row) {
            const auto in_part = part.begin() + (channel * at.height + row) * at.width;
            const auto in_whole = whole.begin() + (channel * size.height + at.y + row) * size.width + at.x;
            ASSERT_TRUE(std::equal(in_part, in_part + at.width, in_whole))
                << "part at " << at.x << ' ' << at.y << ", channel " << channel << ", row " << row;
        }
    }
}

TEST(enlarged_blocks, any_part_is_cut_from_the_whole_whatever_is_kept_and_wanted) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const auto network = network_of(support::made_weights(8, 1, seeded.seed));
    const base::Progress progress;
    const enlarge::Measures measures{0.01, 0.4, 0.1};
    for (const int doublings : {1, 2}) {
        const base::PixelSize picture{660, 140};
        EnlargedBlocks::Wanted wanted = all_of(picture, doublings, enlarge::Grain::keep);
        const base::PixelSize size{wanted.part.width, wanted.part.height};
        EnlargedBlocks roomy(*network, measures, picture, wanted, from_scene);
        const auto all = filled(roomy, wanted.part, progress);
        wanted.bytes = 1;  // Nothing is kept; pieces are small.
        EnlargedBlocks cramped(*network, measures, picture, wanted, from_scene);
        for (int i = 0; i < 4; ++i) {
            const int x = static_cast<int>(random() % static_cast<unsigned>(size.width - 60));
            const int y = static_cast<int>(random() % static_cast<unsigned>(size.height - 50));
            const base::PixelRect part{x, y, 60, 50};
            SCOPED_TRACE(doublings);
            expect_cut(filled(cramped, part, progress), part, all, size);
            EnlargedBlocks window(*network, measures, picture,
                                  {.doublings = doublings, .grain = enlarge::Grain::keep, .part = part, .threads = 3},
                                  from_scene);
            expect_cut(filled(window, part, progress), part, all, size);
        }
    }
}

TEST(enlarged_blocks, made_piece_by_piece_by_several_threads_are_the_same) {
    const auto network = network_of(support::made_weights(8, 1, 3));
    const base::Progress progress;
    const base::PixelSize picture{300, 200};
    EnlargedBlocks::Wanted wanted = all_of(picture, 2, enlarge::Grain::keep);
    EnlargedBlocks alone(*network, {}, picture, wanted, from_scene);
    const auto expected = filled(alone, wanted.part, progress);
    wanted.threads = 4;
    EnlargedBlocks shared(*network, {}, picture, wanted, from_scene);
    const int pieces = shared.announce(wanted.part, {});
    EXPECT_GE(pieces, 8) << "four threads, two doublings";
    EXPECT_EQ(shared.announce(wanted.part, {}), 0) << "each is announced once";
    std::vector<std::thread> threads;
    for (int i = 0; i < 4; ++i) {
        threads.emplace_back([&] {
            for (int call = 0; call < pieces; ++call) shared.make_announced(progress);
        });
    }
    // One asks for all of it meanwhile, and helps.
    EXPECT_TRUE(filled(shared, wanted.part, progress) == expected);
    for (std::thread& thread : threads) thread.join();
    EXPECT_TRUE(filled(shared, wanted.part, progress) == expected);
}

TEST(enlarged_blocks, beyond_what_is_wanted_nothing_is_computed) {
    const auto network = cubic_alone();
    const base::Progress progress;
    const EnlargedBlocks::Wanted wanted{.doublings = 1, .grain = enlarge::Grain::calm, .part = {100, 100, 20, 10}};
    int top = 1000;
    int bottom = 0;
    EnlargedBlocks blocks(
        *network, {}, {400, 300}, wanted,
        [&](base::PixelRect part, const SourceRows& rows, const std::array<float*, 3>& planes, std::size_t stride) {
            top = std::min(top, part.y);
            bottom = std::max(bottom, part.bottom());
            from_scene(part, rows, planes, stride);
        });
    filled(blocks, {0, 0, 300, 200}, progress);
    // 50 to 55 are enlarged; consistency looks 16 pixels around. The network begins at a multiple of 4 and looks at 3
    // pixels above for each of its 5 convolutions, below at one for each and up to 4 more: to whole tiles, as far as
    // flat ones look.
    EXPECT_EQ(top, 32 - 15);
    EXPECT_EQ(bottom, 55 + 16 + 9);
    EXPECT_EQ(blocks.picture_rows(0, 200), std::pair(top, bottom));
    for (const float sample : filled(blocks, {300, 200, 5, 5}, progress)) EXPECT_EQ(sample, 0);
}

TEST(enlarged_blocks, threads_that_want_the_same_blocks_get_the_same_samples) {
    const auto network = network_of(support::made_weights(8, 1, 5));
    const base::Progress progress;
    EnlargedBlocks::Wanted wanted = all_of({300, 300}, 1);
    EnlargedBlocks alone(*network, {}, {300, 300}, wanted, from_scene);
    const auto expected = filled(alone, {0, 0, 600, 600}, progress);
    wanted.threads = 3;
    EnlargedBlocks shared(*network, {}, {300, 300}, wanted, from_scene);
    std::vector<std::vector<float>> seen(3);
    std::vector<std::thread> threads;
    for (auto& one : seen) threads.emplace_back([&] { one = filled(shared, {0, 0, 600, 600}, progress); });
    for (std::thread& thread : threads) thread.join();
    for (const auto& one : seen) EXPECT_TRUE(one == expected);
}

TEST(enlarged_blocks, of_a_network_that_adds_nothing_are_the_cubic_with_mirrored_borders) {
    const auto network = cubic_alone();
    const base::Progress progress;
    for (const base::PixelSize picture : {base::PixelSize{1, 1}, {1, 9}, {7, 5}, {40, 3}}) {
        EnlargedBlocks blocks(*network, said_to_be_noise, picture, all_of(picture, 1), from_scene);
        const base::PixelSize whole{2 * picture.width, 2 * picture.height};
        const auto floats = filled(blocks, {0, 0, whole.width, whole.height}, progress);
        // Keys 1981, a = -1/2, at a quarter of a pixel before and after each middle.
        const double weights[] = {-0.0234375, 0.2265625, 0.8671875, -0.0703125};
        const auto mirrored = [](int at, int count) {
            while (at < 0 || at >= count) at = at < 0 ? -1 - at : 2 * count - 1 - at;
            return at;
        };
        for (int y = 0; y < whole.height; ++y) {
            for (int x = 0; x < whole.width; ++x) {
                double sum = 0;
                for (int j = 0; j < 4; ++j) {
                    for (int i = 0; i < 4; ++i) {
                        const int row = mirrored(y / 2 + (y % 2 == 0 ? j - 2 : 2 - j), picture.height);
                        const int column = mirrored(x / 2 + (x % 2 == 0 ? i - 2 : 2 - i), picture.width);
                        sum += weights[j] * weights[i] * static_cast<double>(scene(column, row, 1));
                    }
                }
                const auto at = static_cast<std::size_t>((whole.height + y) * whole.width + x);
                EXPECT_NEAR(sum, static_cast<double>(floats[at]), 1e-6) << x << ' ' << y;  // Float against double.
            }
        }
    }
}

TEST(enlarged_blocks, repeat_their_border_beyond_the_picture) {
    const auto network = cubic_alone();
    const base::Progress progress;
    EnlargedBlocks blocks(*network, said_to_be_noise, {20, 10}, all_of({20, 10}, 1), from_scene);
    const auto inside = filled(blocks, {0, 0, 40, 20}, progress);
    const auto beyond = filled(blocks, {-3, -2, 46, 24}, progress);
    for (int y = 0; y < 24; ++y) {
        for (int x = 0; x < 46; ++x) {
            const int row = std::clamp(y - 2, 0, 19);
            const int column = std::clamp(x - 3, 0, 39);
            ASSERT_EQ(beyond[static_cast<std::size_t>(y * 46 + x)],
                      inside[static_cast<std::size_t>(row * 40 + column)]);
        }
    }
}

TEST(enlarged_blocks, need_the_rows_under_their_pieces_and_around_them) {
    const auto network = cubic_alone();        // Halo: 15 pixels above, 9 below.
    const base::PixelSize picture{100, 2000};  // Three pieces of 668 rows; at the second doubling six.
    EnlargedBlocks once(*network, {}, picture, all_of(picture, 1), from_scene);
    EXPECT_EQ(once.picture_rows(0, 1), std::pair(0, 668 + 9));
    EXPECT_EQ(once.picture_rows(1340, 1341), std::pair(0, 2 * 668 + 9));
    EXPECT_EQ(once.picture_rows(1400, 1401), std::pair(668 - 15, 2 * 668 + 9));
    EXPECT_EQ(once.picture_rows(3990, 4010), std::pair(2 * 668 - 15, 2000));
    EnlargedBlocks twice(*network, {}, picture, all_of(picture, 2), from_scene);
    // Rows 653 to 1345 of the first doubling, which come from 310 to 689 of the picture: its first two pieces.
    EXPECT_EQ(twice.picture_rows(2048, 2049), std::pair(0, 2 * 668 + 9));
}

TEST(enlarged_blocks, made_small_again_are_the_clean_picture_to_its_very_border) {
    const auto network = network_of(support::made_weights(8, 1, 21));
    const base::Progress progress;
    const base::PixelSize picture{60, 50};
    EnlargedBlocks blocks(*network, {}, picture, all_of(picture, 1), from_scene);
    // With a rim that the filters do not reach past: where the picture is mirrored, so is what it is made of.
    const auto floats = filled(blocks, {0, 0, 120, 100}, progress);
    const enlarge::Consistency consistency({});
    std::vector<float> extended(140 * 120);
    for (int y = 0; y < 120; ++y) {
        for (int x = 0; x < 140; ++x) {
            const auto mirrored = [](int at, int count) {
                return at < 0 ? -1 - at : at < count ? at : 2 * count - 1 - at;
            };
            extended[static_cast<std::size_t>(y * 140 + x)] =
                floats[static_cast<std::size_t>(mirrored(y - 10, 100) * 120 + mirrored(x - 10, 120))];
        }
    }
    std::vector<float> small(70 * 60);
    std::vector<float> scratch(140);
    consistency.made_small(extended.data(), 140, 70, 60, small.data(), scratch.data());
    double sum = 0;
    for (int y = 0; y < 50; ++y) {
        for (int x = 0; x < 60; ++x) {
            const double difference =
                static_cast<double>(small[static_cast<std::size_t>((y + 5) * 70 + x + 5)] - scene(x, y, 0));
            sum += difference * difference;
        }
    }
    EXPECT_GT(-10 * std::log10(sum / (60 * 50)), 50);
}

TEST(enlarged_blocks, that_were_cancelled_can_be_asked_for_again) {
    const auto network = network_of(support::made_weights(8, 1, 9));
    EnlargedBlocks blocks(*network, {}, {30, 30}, all_of({30, 30}, 1), from_scene);
    base::Progress cancelled;
    cancelled.cancel();
    EXPECT_THROW(filled(blocks, {0, 0, 60, 60}, cancelled), base::Cancelled);
    const base::Progress progress;
    EXPECT_EQ(filled(blocks, {0, 0, 60, 60}, progress).size(), 3u * 60 * 60);
}

}  // namespace
}  // namespace hangtrue::render

// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/network.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <thread>
#include <vector>

#include "engine/base/error.h"
#include "tests/support/made_weights.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::enlarge {
namespace {

using support::made_weights;

Weights read(const support::MadeWeights& made) {
    const support::TemporaryFolder folder;
    const auto file = folder.path() / "made.weights";
    made.write(file);
    return Weights::from_file(file);
}

/// Three planes in one buffer.
struct Picture {
    int side;
    std::vector<float> floats;
    explicit Picture(int of) : side(of), floats(3 * static_cast<std::size_t>(of) * static_cast<std::size_t>(of)) {}
    std::size_t plane() const { return static_cast<std::size_t>(side) * static_cast<std::size_t>(side); }
    float at(std::size_t channel, int y, int x) const {
        return floats[channel * plane() + static_cast<std::size_t>(y * side + x)];
    }
    RgbPlanes<const float> seen() const {
        return {{floats.data(), floats.data() + plane(), floats.data() + 2 * plane()}, static_cast<std::size_t>(side)};
    }
    RgbPlanes<float> written() {
        return {{floats.data(), floats.data() + plane(), floats.data() + 2 * plane()}, static_cast<std::size_t>(side)};
    }
};

Picture random_picture(int side, std::uint64_t seed) {
    Picture picture(side);
    std::mt19937_64 random(seed);
    std::uniform_real_distribution<float> sample(-0.1f, 1.1f);
    for (float& value : picture.floats) value = sample(random);
    return picture;
}

using Maps = std::vector<std::vector<double>>;

/// Slow and plain: each sum as the formula has it, in double; beyond the side there is zero.
Maps convolved(const Maps& in, int side, const Convolution& by) {
    Maps out(static_cast<std::size_t>(by.outputs), std::vector<double>(static_cast<std::size_t>(side * side)));
    for (std::size_t o = 0; o < out.size(); ++o) {
        for (int y = 0; y < side; ++y) {
            for (int x = 0; x < side; ++x) {
                double sum = static_cast<double>(by.biases[o]);
                for (std::size_t i = 0; i < in.size(); ++i) {
                    for (int dy = -1; dy <= 1; ++dy) {
                        for (int dx = -1; dx <= 1; ++dx) {
                            const int yy = y + dy;
                            const int xx = x + dx;
                            if (yy < 0 || yy >= side || xx < 0 || xx >= side) continue;
                            const std::size_t tap =
                                (o * in.size() + i) * 9 + static_cast<std::size_t>(3 * (dy + 1) + dx + 1);
                            sum +=
                                static_cast<double>(by.kernel[tap]) * in[i][static_cast<std::size_t>(yy * side + xx)];
                        }
                    }
                }
                out[o][static_cast<std::size_t>(y * side + x)] = sum;
            }
        }
    }
    return out;
}

void add_to(Maps& maps, const Maps& more) {
    for (std::size_t c = 0; c < maps.size(); ++c) {
        for (std::size_t i = 0; i < maps[c].size(); ++i) maps[c][i] += more[c][i];
    }
}

double keys(double t) {  // Keys 1981, a = -1/2.
    t = std::abs(t);
    return t < 1 ? 1.5 * t * t * t - 2.5 * t * t + 1 : t < 2 ? -0.5 * t * t * t + 2.5 * t * t - 4 * t + 2 : 0;
}

/// Sample (y, x) of the picture enlarged by two, pixel middles at halves.
double doubled_at(const Picture& picture, std::size_t channel, int y, int x) {
    const double at_y = (y + 0.5) / 2 - 0.5;
    const double at_x = (x + 0.5) / 2 - 0.5;
    double sum = 0;
    for (int yy = static_cast<int>(at_y) - 2; yy <= static_cast<int>(at_y) + 3; ++yy) {
        for (int xx = static_cast<int>(at_x) - 2; xx <= static_cast<int>(at_x) + 3; ++xx) {
            if (yy < 0 || xx < 0 || yy >= picture.side || xx >= picture.side) continue;
            sum += keys(yy - at_y) * keys(xx - at_x) * static_cast<double>(picture.at(channel, yy, xx));
        }
    }
    return sum;
}

TEST(enlarge_network, block_is_what_the_formula_gives) {
    const support::Seeded seeded;
    const Weights weights = read(made_weights(8, 1, seeded.seed));
    const Network network(read(made_weights(8, 1, seeded.seed)));
    const int side = network.source_px();
    const Picture source = random_picture(side, seeded.seed + 1);
    const Measures measures{0.02, 0.7, 0.3};
    Picture result(2 * Network::block_px);
    Network::Scratch scratch;
    base::Progress progress;
    network.enlarge_block(source.seen(), measures, result.written(), scratch, progress);

    Maps maps;
    for (std::size_t c = 0; c < 3; ++c) {
        maps.emplace_back(source.floats.begin() + static_cast<std::ptrdiff_t>(c * source.plane()),
                          source.floats.begin() + static_cast<std::ptrdiff_t>((c + 1) * source.plane()));
        for (double& value : maps.back()) value -= 0.5;
    }
    for (const double plane : {0.02 * 255 / 16, 0.7, 0.3}) maps.emplace_back(source.plane(), plane);
    const auto& steps = weights.convolutions();
    Maps head = convolved(maps, side, steps[0]);
    Maps between = convolved(head, side, steps[1]);
    for (auto& map : between) {
        for (double& value : map) value = std::max(value, 0.0);
    }
    Maps body = head;
    add_to(body, convolved(between, side, steps[2]));
    add_to(head, convolved(body, side, steps[3]));
    const Maps detail = convolved(head, side, steps[4]);

    const int halo = network.halo_px();
    double largest = 0;
    for (std::size_t c = 0; c < 3; ++c) {
        for (int y = 0; y < result.side; ++y) {
            for (int x = 0; x < result.side; ++x) {
                const auto place = static_cast<std::size_t>(2 * (y % 2) + x % 2);
                const double expected =
                    detail[4 * c + place][static_cast<std::size_t>((y / 2 + halo) * side + x / 2 + halo)] +
                    doubled_at(source, c, y + 2 * halo, x + 2 * halo);
                largest = std::max(largest, std::abs(expected - static_cast<double>(result.at(c, y, x))));
            }
        }
    }
    EXPECT_LT(largest, 3e-6);  // Float sums of some hundred products near 1: a few times 2^-23.
}

TEST(enlarge_network, result_is_the_same_from_any_thread_and_after_any_other_block) {
    const Network network(read(made_weights(8, 3, 7)));
    const Picture source = random_picture(network.source_px(), 8);
    const Picture other = random_picture(network.source_px(), 9);
    std::vector<Picture> results(3, Picture(2 * Network::block_px));
    std::vector<std::thread> threads;
    for (Picture& result : results) {
        threads.emplace_back([&] {
            Network::Scratch scratch;
            const base::Progress progress;
            if (&result != &results[0]) network.enlarge_block(other.seen(), {}, result.written(), scratch, progress);
            network.enlarge_block(source.seen(), {}, result.written(), scratch, progress);
        });
    }
    for (std::thread& thread : threads) thread.join();
    EXPECT_EQ(results[0].floats, results[1].floats);
    EXPECT_EQ(results[0].floats, results[2].floats);
}

TEST(enlarge_network, halo_is_as_wide_as_what_a_block_depends_on) {
    const Network network(read(made_weights(8, 2, 11)));
    Picture source = random_picture(network.source_px(), 12);
    Picture before(2 * Network::block_px);
    Picture after(2 * Network::block_px);
    Network::Scratch scratch;
    const base::Progress progress;
    network.enlarge_block(source.seen(), {}, before.written(), scratch, progress);
    // The outermost ring alone reaches the block's own border pixels, and no further in.
    for (std::size_t c = 0; c < 3; ++c)
        source.floats[c * source.plane() + static_cast<std::size_t>(source.side / 2)] += 1;
    network.enlarge_block(source.seen(), {}, after.written(), scratch, progress);
    const int row = 0;
    bool differs = false;
    for (int x = 0; x < before.side; ++x) differs |= before.at(0, row, x) != after.at(0, row, x);
    EXPECT_TRUE(differs);
    for (int y = 2; y < before.side; ++y) {
        for (int x = 0; x < before.side; ++x) ASSERT_EQ(before.at(0, y, x), after.at(0, y, x)) << x << ' ' << y;
    }
}

TEST(enlarge_network, stops_between_layers_when_cancelled) {
    const Network network(read(made_weights(8, 1, 13)));
    const Picture source = random_picture(network.source_px(), 14);
    Picture result(2 * Network::block_px);
    Network::Scratch scratch;
    base::Progress progress;
    progress.cancel();
    EXPECT_THROW(network.enlarge_block(source.seen(), {}, result.written(), scratch, progress), base::Cancelled);
}

}  // namespace
}  // namespace hangtrue::enlarge

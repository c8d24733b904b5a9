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
    base::PixelSize size;
    std::vector<float> floats;
    explicit Picture(base::PixelSize of) : size(of), floats(3 * static_cast<std::size_t>(of.count())) {}
    std::size_t plane() const { return static_cast<std::size_t>(size.count()); }
    std::size_t stride() const { return static_cast<std::size_t>(size.width); }
    float at(std::size_t channel, int y, int x) const {
        return floats[channel * plane() + static_cast<std::size_t>(y * size.width + x)];
    }
    RgbPlanes<const float> seen_from(int x, int y) const {
        const float* first = floats.data() + y * size.width + x;
        return {{first, first + plane(), first + 2 * plane()}, stride()};
    }
    RgbPlanes<float> written() {
        return {{floats.data(), floats.data() + plane(), floats.data() + 2 * plane()}, stride()};
    }
};

Picture random_picture(base::PixelSize size, std::uint64_t seed) {
    Picture picture(size);
    std::mt19937_64 random(seed);
    std::uniform_real_distribution<float> sample(-0.1f, 1.1f);
    for (float& value : picture.floats) value = sample(random);
    return picture;
}

base::PixelSize with_halo(base::PixelSize size, const Network& network) {
    const int both = network.halo().before_px + network.halo().after_px;
    return {size.width + both, size.height + both};
}

/// The pixels `part` of the picture inside of `source`'s halo.
Picture enlarged(const Network& network, const Picture& source, base::PixelRect part, const Measures& measures,
                 Network::Scratch& scratch) {
    Picture result({2 * part.width, 2 * part.height});
    const base::Progress progress;
    network.enlarge(source.seen_from(part.x, part.y), {part.width, part.height}, measures, result.written(), scratch,
                    progress);
    return result;
}

Picture enlarged(const Network& network, const Picture& source, base::PixelRect part) {
    Network::Scratch scratch;
    return enlarged(network, source, part, {}, scratch);
}

using Maps = std::vector<std::vector<double>>;

/// Slow and plain: each sum as the formula has it, in double; beyond the picture there is zero.
Maps convolved(const Maps& in, base::PixelSize size, const Convolution& by) {
    const int width = size.width;
    Maps out(static_cast<std::size_t>(by.outputs), std::vector<double>(static_cast<std::size_t>(size.count())));
    for (std::size_t o = 0; o < out.size(); ++o) {
        for (int y = 0; y < size.height; ++y) {
            for (int x = 0; x < width; ++x) {
                double sum = static_cast<double>(by.biases[o]);
                for (std::size_t i = 0; i < in.size(); ++i) {
                    for (int dy = -1; dy <= 1; ++dy) {
                        for (int dx = -1; dx <= 1; ++dx) {
                            const int yy = y + dy;
                            const int xx = x + dx;
                            if (yy < 0 || yy >= size.height || xx < 0 || xx >= width) continue;
                            const std::size_t tap =
                                (o * in.size() + i) * 9 + static_cast<std::size_t>(3 * (dy + 1) + dx + 1);
                            sum +=
                                static_cast<double>(by.kernel[tap]) * in[i][static_cast<std::size_t>(yy * width + xx)];
                        }
                    }
                }
                out[o][static_cast<std::size_t>(y * width + x)] = sum;
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
            if (yy < 0 || xx < 0 || yy >= picture.size.height || xx >= picture.size.width) continue;
            sum += keys(yy - at_y) * keys(xx - at_x) * static_cast<double>(picture.at(channel, yy, xx));
        }
    }
    return sum;
}

TEST(enlarge_network, part_is_what_the_formula_gives) {
    const support::Seeded seeded;
    for (const int blocks : {1, 3, 4}) {
        const Weights weights = read(made_weights(8, blocks, seeded.seed));
        const Network network(read(made_weights(8, blocks, seeded.seed)));
        const int halo = network.halo().before_px;
        const Picture source = random_picture(with_halo({23, 17}, network), seeded.seed + 1);
        Network::Scratch scratch;
        const Picture result = enlarged(network, source, {0, 0, 23, 17}, {0.02, 0.7, 0.3}, scratch);

        Maps maps;
        for (std::size_t c = 0; c < 3; ++c) {
            maps.emplace_back(source.floats.begin() + static_cast<std::ptrdiff_t>(c * source.plane()),
                              source.floats.begin() + static_cast<std::ptrdiff_t>((c + 1) * source.plane()));
            for (double& value : maps.back()) value -= 0.5;
        }
        for (const double plane : {0.02 * 255 / 16, 0.7, 0.3}) maps.emplace_back(source.plane(), plane);
        const auto& steps = weights.convolutions();
        Maps head = convolved(maps, source.size, steps[0]);
        Maps body = head;
        for (std::size_t block = 0; block < static_cast<std::size_t>(blocks); ++block) {
            Maps between = convolved(body, source.size, steps[1 + 2 * block]);
            for (auto& map : between) {
                for (double& value : map) value = std::max(value, 0.0);
            }
            add_to(body, convolved(between, source.size, steps[2 + 2 * block]));
        }
        add_to(head, convolved(body, source.size, steps[steps.size() - 2]));
        const Maps detail = convolved(head, source.size, steps.back());

        double largest = 0;
        for (std::size_t c = 0; c < 3; ++c) {
            for (int y = 0; y < result.size.height; ++y) {
                for (int x = 0; x < result.size.width; ++x) {
                    const auto place = static_cast<std::size_t>(2 * (y % 2) + x % 2);
                    const auto at = static_cast<std::size_t>((y / 2 + halo) * source.size.width + x / 2 + halo);
                    const double expected =
                        detail[4 * c + place][at] + doubled_at(source, c, y + 2 * halo, x + 2 * halo);
                    largest = std::max(largest, std::abs(expected - static_cast<double>(result.at(c, y, x))));
                }
            }
        }
        // Sums of some hundred products near 1, in floats; the tiles' transforms multiply what is rounded by up to 100.
        EXPECT_LT(largest, 2e-5) << blocks;
    }
}

TEST(enlarge_network, any_part_that_begins_at_a_place_has_the_bits_of_the_whole) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    struct Shape {
        int channels, blocks;
    };
    // The shapes of the networks that are shipped, but for the number of blocks, and more than one stage.
    for (const Shape shape : {Shape{64, 1}, {48, 1}, {8, 7}, {5, 2}}) {
        const Network network(read(made_weights(shape.channels, shape.blocks, seeded.seed)));
        const base::PixelSize whole{210, 70};
        const Picture source = random_picture(with_halo(whole, network), seeded.seed + 3);
        const Picture all = enlarged(network, source, {0, 0, whole.width, whole.height});
        for (const base::PixelSize size : {base::PixelSize{1, 1}, {2, 9}, {31, 8}, {150, 3}, {64, 64}}) {
            const auto place = [&](int room) {
                const int at = static_cast<int>(random() % static_cast<unsigned>(room));
                return at - at % Network::place_px;
            };
            const int x = place(whole.width - size.width);
            const int y = place(whole.height - size.height);
            const Picture part = enlarged(network, source, {x, y, size.width, size.height});
            for (std::size_t c = 0; c < 3; ++c) {
                for (int row = 0; row < part.size.height; ++row) {
                    for (int column = 0; column < part.size.width; ++column) {
                        ASSERT_EQ(part.at(c, row, column), all.at(c, 2 * y + row, 2 * x + column))
                            << shape.channels << " channels, part at " << x << ' ' << y;
                    }
                }
            }
        }
    }
}

TEST(enlarge_network, result_is_the_same_from_any_thread_and_after_any_other_part) {
    const Network network(read(made_weights(8, 3, 7)));
    const Picture source = random_picture(with_halo({60, 50}, network), 8);
    const Picture other = random_picture(with_halo({90, 20}, network), 9);
    std::vector<Picture> results(3, Picture({0, 0}));
    std::vector<std::thread> threads;
    for (Picture& result : results) {
        threads.emplace_back([&] {
            Network::Scratch scratch;
            if (&result != &results[0]) enlarged(network, other, {0, 0, 90, 20}, {}, scratch);
            result = enlarged(network, source, {0, 0, 60, 50}, {}, scratch);
        });
    }
    for (std::thread& thread : threads) thread.join();
    EXPECT_EQ(results[0].floats, results[1].floats);
    EXPECT_EQ(results[0].floats, results[2].floats);
}

TEST(enlarge_network, pixel_reaches_one_further_with_each_convolution) {
    const Network network(read(made_weights(8, 2, 11)));
    const int convolutions = 7;
    const int halo = network.halo().before_px;
    const Picture source = random_picture(with_halo({40, 30}, network), 12);
    const Picture before = enlarged(network, source, {0, 0, 40, 30});
    const auto change_of_the_first_rows = [&](int above) {
        Picture changed = source;
        const std::size_t at = static_cast<std::size_t>(halo - above) * source.stride() + source.stride() / 2;
        for (std::size_t c = 0; c < 3; ++c) changed.floats[c * source.plane() + at] += 1;
        const Picture after = enlarged(network, changed, {0, 0, 40, 30});
        float largest = 0;
        for (int y = 0; y < 2; ++y) {
            for (int x = 0; x < before.size.width; ++x) {
                largest = std::max(largest, std::abs(before.at(0, y, x) - after.at(0, y, x)));
            }
        }
        return largest;
    };
    const float reached = change_of_the_first_rows(convolutions);
    EXPECT_GT(reached, 0);
    // Beyond, tiles that hold it round differently, no more.
    EXPECT_LT(change_of_the_first_rows(convolutions + 1), 2e-5f);
    EXPECT_LT(change_of_the_first_rows(halo), 2e-5f);
}

TEST(enlarge_network, height_of_a_part_costs_no_memory) {
    const Network network(read(made_weights(64, 2, 11)));
    EXPECT_LT(network.scratch_bytes(512), 8'000'000u);  // Some 40 rows of 64 channels, 570 wide.
    EXPECT_LT(network.scratch_bytes(256), 0.65 * static_cast<double>(network.scratch_bytes(512)));
}

TEST(enlarge_network, stops_between_layers_when_cancelled) {
    const Network network(read(made_weights(8, 1, 13)));
    const Picture source = random_picture(with_halo({20, 20}, network), 14);
    Picture result({40, 40});
    Network::Scratch scratch;
    base::Progress progress;
    progress.cancel();
    EXPECT_THROW(network.enlarge(source.seen_from(0, 0), {20, 20}, {}, result.written(), scratch, progress),
                 base::Cancelled);
}

}  // namespace
}  // namespace hangtrue::enlarge

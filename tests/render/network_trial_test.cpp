// SPDX-License-Identifier: Apache-2.0
#include "engine/render/network_trial.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstddef>
#include <vector>

#include "tests/support/disc_scene.h"
#include "tests/support/random.h"
#include "tests/support/sanitized.h"

namespace hangtrue::render {
namespace {

/// A grey plane as an 8-bit RGB file; remembers whether it was ever read backwards.
class PlaneReader : public raster::RowReader {
  public:
    explicit PlaneReader(const support::GreyPlane& plane) {
        m_info.size = {plane.width, plane.height};
        for (const float value : plane.floats) {
            const auto code = static_cast<std::byte>(std::lround(255 * std::clamp(value, 0.0f, 1.0f)));
            m_samples.insert(m_samples.end(), 3, code);
        }
    }
    void read_rows(int first, int count, std::span<std::byte> out, base::Progress&) override {
        was_read_backwards = was_read_backwards || first < m_next;
        m_next = first + count;
        const auto row = static_cast<std::ptrdiff_t>(m_info.bytes_per_row());
        std::copy_n(m_samples.begin() + first * row, count * row, out.begin());
    }
    bool was_read_backwards = false;

  private:
    std::vector<std::byte> m_samples;
    int m_next = 0;
};

class render_network_trial : public testing::Test {
  protected:
    double undone(PlaneReader& picture, double measured_blur_px, int threads = 2) {
        base::Progress progress;
        return undone_blur_px(m_network, {.blur_px = measured_blur_px}, m_working, picture, threads, progress);
    }

  private:
    enlarge::Network m_network{enlarge::Weights::from_file(HANGTRUE_SOURCE_DIR "/models/quick.weights")};
    colour::WorkingForm m_working{colour::Profile::srgb(), colour::SourceModel::rgb, "made.png"};
};

TEST_F(render_network_trial, finds_the_blur_that_was_added_and_none_in_a_crisp_picture) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const support::GreyPlane large = support::discs(600, 520, random);
    PlaneReader crisp(support::halved(large, 0));
    EXPECT_EQ(undone(crisp, 0.29), 0);
    // The network was told a figure that is 0.1 px off, as measures are; a step of the trial is 0.05 px.
    PlaneReader blurred(support::halved(large, 0.8));
    EXPECT_NEAR(undone(blurred, 0.7), 0.8, 0.1);
    EXPECT_FALSE(blurred.was_read_backwards);
}

TEST_F(render_network_trial, finds_the_same_with_any_number_of_threads) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const support::GreyPlane small = support::halved(support::discs(600, 520, random), 0.6);
    PlaneReader one(small);
    PlaneReader four(small);
    EXPECT_EQ(undone(one, 0.6, 1), undone(four, 0.6, 4));
}

TEST_F(render_network_trial, finds_none_in_pictures_of_a_few_pixels) {
    for (const base::PixelSize size : {base::PixelSize{1, 1}, {1, 300}, {7, 5}, {200, 3}}) {
        PlaneReader picture(
            {size.width, size.height, std::vector<float>(static_cast<std::size_t>(size.count()), 0.4f)});
        EXPECT_EQ(undone(picture, 0), 0) << size.width << " x " << size.height;
    }
}

}  // namespace
}  // namespace hangtrue::render

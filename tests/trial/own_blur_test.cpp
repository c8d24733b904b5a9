// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/own_blur.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <optional>
#include <random>
#include <vector>

#include "engine/optics/mtf.h"
#include "engine/trial/bare_paper.h"
#include "engine/trial/edge_blur.h"
#include "tests/trial/pictured_sheet.h"

namespace hangtrue::trial {
namespace {

double normal_below(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

/// A device that looks straight down on a sheet, as formulas: each pixel sees a point through one Gaussian.
struct Device {
    double pitch_mm = 0.066;  ///< 20 megapixels that a sheet of 10 x 8 in fills to five sixths.
    double turned = 2.3;      ///< Degrees.
    double sigma_px = 0.45;   ///< Across vertical edges…
    double other_px = 0.45;   ///< …and across horizontal ones.
    double paper = 0.6;
    double table = 0.15;
    double noise = 0.004;
    double pattern = 0;    ///< Of the table, along and across the sides, as a share of it.
    double shadow = 0;     ///< Of the table's light, right at the cut; falls to a third in 0.3 mm.
    double overshoot = 0;  ///< Sharpening: so much of a blur twice as wide is taken off again.
    double cut_mm = 0;     ///< The paper ends so far inside the file's end, all around.
    double bow_mm = 0;     ///< What a lens bends a side by, over 20 mm from its middle.

    Homography to_picture() const {
        const double c = std::cos(turned * std::numbers::pi / 180) / pitch_mm;
        const double s = std::sin(turned * std::numbers::pi / 180) / pitch_mm;
        return Homography({c, -s, 900, s, c, 400, 0, 0, 1});
    }
    // Of a step that was blurred by `print` mm before the device sees it.
    double step(double distance, double print, double own) const {
        const double plain = normal_below(distance / std::hypot(print, own));
        return plain + overshoot * (plain - normal_below(distance / std::hypot(print, 2 * own)));
    }
    double sigma_mm(bool is_vertical) const { return pitch_mm * (is_vertical ? sigma_px : other_px); }

    /// The pixels about an edge: `light` of the distances along and across it.
    std::vector<EdgeSample> seen(const EdgeFrame& frame, double length, double outside, double inside,
                                 const std::function<double(double, double)>& light) const {
        std::vector<EdgeSample> samples;
        std::mt19937_64 random(7);
        std::normal_distribution<double> spread(0, noise);
        const Homography to_sheet = to_picture().inverse();
        const Point middle = to_picture()(frame.middle);
        const double reach = (length + outside + inside) / pitch_mm;
        for (double y = std::floor(middle.y - reach) + 0.5; y < middle.y + reach; ++y) {
            for (double x = std::floor(middle.x - reach) + 0.5; x < middle.x + reach; ++x) {
                const Point at = to_sheet({x, y});
                const double dx = at.x - frame.middle.x, dy = at.y - frame.middle.y;
                const double along = dx * frame.along.x + dy * frame.along.y;
                const double across = dx * frame.across.x + dy * frame.across.y;
                if (std::abs(along) > length || across < -outside || across > inside) continue;
                samples.push_back({static_cast<float>(along), static_cast<float>(across),
                                   static_cast<float>(light(along, across) + spread(random))});
            }
        }
        return samples;
    }

    std::array<std::vector<EdgeSample>, 4> sides(const Sheet& sheet) const {
        std::array<std::vector<EdgeSample>, 4> result;
        for (std::size_t i = 0; i < 4; ++i) {
            const PaperSide side = side_of(sheet, to_picture(), i);
            result[i] = seen(side.frame, side.length, side.outside, side.inside, [&](double along, double across) {
                const double distance = across - cut_mm - bow_mm * along * along / 400;
                const double outer = table * (1 + pattern * std::sin(1.7 * across + 0.5 * along)) *
                                     (1 - shadow * std::exp(-std::max(-distance, 0.0) / 0.3));
                return outer + (paper - outer) * step(distance, 0, sigma_mm(i % 2 == 0));
            });
        }
        return result;
    }
    OwnBlur own(const Sheet& sheet) const { return own_blur(sheet, to_picture(), sides(sheet)); }

    /// The sheet's slanted edges as a file holds them, printed with `print_mm` of blur.
    std::vector<EdgeBlur> edges(const Sheet& sheet, double print_mm) const {
        std::vector<EdgeBlur> result;
        for (const SlantedEdge& edge : sheet.edges) {
            const base::RealRect mm = in_mm(sheet, edge.rect);
            const double own = sigma_mm(edge.is_vertical), pixel = mm_a_pixel(sheet);
            const auto samples =
                seen(frame_of(sheet, edge), mm.height / 2, mm.width / 2, mm.width / 2, [&](double, double across) {
                    double share = 0;
                    for (int i = 0; i < 8; ++i) {
                        share += step(across + ((i + 0.5) / 8 - 0.5) * pixel, print_mm, own) / 8;
                    }
                    return paper * (0.15 + 0.4 * share);
                });
            const auto blur = blur_of(sheet, edge, to_picture(), samples);
            EXPECT_TRUE(blur);
            if (blur) result.push_back(*blur);
        }
        return result;
    }
};

/// Two per cent: quarter pixels and levelling leave one, noise the rest.
void expect_known(const Device& device, const OwnBlur& own) {
    ASSERT_TRUE(own.vertical_px);
    ASSERT_TRUE(own.horizontal_px);
    EXPECT_NEAR(*own.vertical_px / device.sigma_px, 1, 0.02);
    EXPECT_NEAR(*own.horizontal_px / device.other_px, 1, 0.02);
}

class own_blur_of : public testing::Test {
  protected:
    const Sheet m_sheet = made_sheet(17);
    Device m_device;
};

TEST_F(own_blur_of, a_device_is_that_of_the_papers_cut) {
    for (const double turned : {0.5, 2.3, 30.0, 91.0, 178.0}) {
        m_device.turned = turned;
        SCOPED_TRACE(turned);
        expect_known(m_device, m_device.own(m_sheet));
    }
}

TEST_F(own_blur_of, shake_along_one_direction_is_told_apart) {
    m_device.other_px = 0.8;
    expect_known(m_device, m_device.own(m_sheet));
}

// The table's light changes by a third within 2 mm; 4 %: what a straight run of it beside the cut leaves open.
TEST_F(own_blur_of, a_table_with_a_pattern_hardly_changes_it) {
    m_device.table = 0.3;
    m_device.pattern = 0.15;
    const OwnBlur own = m_device.own(m_sheet);
    ASSERT_TRUE(own.vertical_px && own.horizontal_px);
    EXPECT_NEAR(*own.vertical_px / m_device.sigma_px, 1, 0.04);
    EXPECT_NEAR(*own.horizontal_px / m_device.other_px, 1, 0.04);
}

TEST_F(own_blur_of, a_trimmed_sheet_is_found_where_it_ends) {
    for (const double cut : {-1.5, 1.0}) {
        m_device.cut_mm = cut;
        SCOPED_TRACE(cut);
        expect_known(m_device, m_device.own(m_sheet));
    }
}

// A barrel of 1 % bends 40 mm of a side by 0.05 mm: most of a pixel.
TEST_F(own_blur_of, a_side_that_a_lens_bends_is_followed) {
    m_device.bow_mm = 0.05;
    expect_known(m_device, m_device.own(m_sheet));
}

TEST_F(own_blur_of, without_contrast_is_not_told) {
    for (const double table : {0.55, 0.7}) {  // The second: a white lid.
        m_device.table = table;
        const OwnBlur own = m_device.own(m_sheet);
        EXPECT_FALSE(own.vertical_px || own.horizontal_px);
    }
}

TEST_F(own_blur_of, along_the_pictures_pixels_is_not_told) {
    m_device.turned = 0;
    const OwnBlur own = m_device.own(m_sheet);
    EXPECT_FALSE(own.vertical_px || own.horizontal_px);
}

// Deep ones are seen as such; what is let pass may not tell more than 4 % wrong.
TEST_F(own_blur_of, a_shadow_along_the_cut_is_not_told_or_right) {
    m_device.table = 0.3;
    for (const double shadow : {0.05, 0.1, 0.2, 0.4, 0.8}) {
        m_device.shadow = shadow;
        const OwnBlur own = m_device.own(m_sheet);
        if (own.vertical_px) {
            EXPECT_NEAR(*own.vertical_px / m_device.sigma_px, 1, 0.04) << shadow;
            EXPECT_LE(shadow, 0.2);
        }
        EXPECT_TRUE(own.vertical_px || shadow > 0.05);
    }
}

TEST_F(own_blur_of, a_sharpened_picture_is_not_told) {
    m_device.overshoot = 0.5;
    const OwnBlur own = m_device.own(m_sheet);
    EXPECT_FALSE(own.vertical_px || own.horizontal_px);
}

// 12 megapixels of a sheet of 16 x 12 in: the pixels are wider than the bins that the cut is looked for in.
TEST_F(own_blur_of, a_coarse_picture_is_that_of_the_papers_cut) {
    m_device.pitch_mm = 0.13;
    m_device.turned = 1.5;
    const OwnBlur own = m_device.own(m_sheet);
    ASSERT_TRUE(own.vertical_px && own.horizontal_px);
    // 4 %: the bare border holds 11 pixels here, and a quarter of them is a bin.
    EXPECT_NEAR(*own.vertical_px / m_device.sigma_px, 1, 0.04);
    EXPECT_NEAR(*own.horizontal_px / m_device.other_px, 1, 0.04);
}

// A canvas's fold lies where its paper's cut would be looked for, were that not so deep in the file.
TEST_F(own_blur_of, nothing_deeper_than_bleed_and_trim_is_looked_at) {
    Sheet sheet = m_sheet;
    sheet.marks = {};
    sheet.patches.clear();
    sheet.cells.clear();
    sheet.edges.clear();
    sheet.lines.clear();
    sheet.captions = {{{sheet.size.width / 2, sheet.size.height / 2, 1, 1}, ""}};
    for (std::size_t i = 0; i < 4; ++i) EXPECT_LE(side_of(sheet, m_device.to_picture(), i).inside, 10);
}

// At 4800 ppi an old rule tells the medium's blur without; a side would be some ten million pixels.
TEST_F(own_blur_of, a_very_fine_picture_is_not_gathered) {
    m_device.pitch_mm = 25.4 / 4800;
    EXPECT_EQ(side_of(m_sheet, m_device.to_picture(), 0).length, 0);
}

// The medium's MTF50 from a photograph's pixels and lens; within 10 %: the aim, of which the edges' noise takes 2.
TEST_F(own_blur_of, a_device_taken_out_leaves_the_mediums_mtf50) {
    for (const double f50 : {2.5, 4.0, 5.5}) {
        const auto edges = m_device.edges(m_sheet, optics::sigma_of_f50(f50));
        const OwnBlur own = m_device.own(m_sheet);
        const auto told = medium_f50(edges, own);
        ASSERT_TRUE(told) << f50;
        EXPECT_NEAR(*told / f50, 1, 0.1);
        // A pitch of 0.066 mm resolves 7.6 cycles/mm, three times 2.5: without the device only that can be told.
        EXPECT_FALSE(f50 > 2.6 && medium_f50(edges, {}));
        EXPECT_FALSE(f50 > 2.6 && medium_f50(edges, {own.vertical_px, std::nullopt}));
    }
}

// What is let pass of it may not make the medium's blur wrong.
TEST_F(own_blur_of, sharpening_is_not_told_or_right) {
    for (const double overshoot : {0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4}) {
        m_device.overshoot = overshoot;
        const auto told = medium_f50(m_device.edges(m_sheet, optics::sigma_of_f50(4)), m_device.own(m_sheet));
        if (told) {
            EXPECT_NEAR(*told / 4, 1, 0.1) << overshoot;
        }
        EXPECT_TRUE(told || overshoot > 0.05);
    }
}

// At 0.9 of a pixel 12 % of the contrast is left at 5.5 cycles/mm: nothing is known of the medium there.
TEST_F(own_blur_of, a_blurred_device_does_not_tell_a_sharp_medium) {
    m_device.sigma_px = m_device.other_px = 0.9;
    const OwnBlur own = m_device.own(m_sheet);
    expect_known(m_device, own);
    EXPECT_FALSE(medium_f50(m_device.edges(m_sheet, optics::sigma_of_f50(5.5)), own));
    EXPECT_TRUE(medium_f50(m_device.edges(m_sheet, optics::sigma_of_f50(2.5)), own));
}

TEST_F(own_blur_of, a_sheet_printed_to_its_end_is_not_known) {
    Sheet sheet = m_sheet;
    sheet.captions.push_back({{0, 0, sheet.size.width, sheet.size.height}, ""});
    EXPECT_FALSE(m_device.own(sheet).vertical_px);
}

}  // namespace
}  // namespace hangtrue::trial

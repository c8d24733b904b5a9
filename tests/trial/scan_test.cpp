// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/scan.h"

#include <gtest/gtest.h>

#include <cmath>

#include "engine/optics/mtf.h"
#include "engine/raster/row_reader.h"
#include "tests/support/temporary_folder.h"
#include "tests/trial/pictured_sheet.h"
#include "tests/support/sanitized.h"

namespace hangtrue::trial {
namespace {

constexpr std::int64_t number = 4711;

Measured read(const Sheet& sheet, const support::TestPicture& picture, Trust trust) {
    MemoryRows rows(picture);
    base::Progress progress;
    return read_scan(sheet, rows, trust == Trust::colours ? std::optional(colour::Profile::srgb()) : std::nullopt,
                     trust, "scan.tif", progress);
}

const Patch& patch_named(const Sheet& sheet, const std::string& name) {
    return *std::ranges::find(sheet.patches, name, &Patch::name);
}

/// The largest colour difference from what the print's surface is made to be.
double worst_of(const Sheet& sheet, const Measured& measured) {
    double worst = 0;
    for (const ReadPatch& patch : measured.patches) {
        worst = std::max(worst, colour::delta_e_76(patch.lab, printed(patch_named(sheet, patch.name).lab)));
    }
    return worst;
}

/// Held over a table in a room: perspective, a lamp at one side, its tint, a sensor's noise.
Taking photographed(base::PixelSize size) {
    Taking taking;
    taking.size = size;
    const double w = size.width;
    const double h = size.height;
    taking.corners = {{{0.09 * w, 0.12 * h}, {0.93 * w, 0.05 * h}, {0.97 * w, 0.93 * h}, {0.03 * w, 0.88 * h}}};
    taking.tint = {1.05, 0.95, 0.72};
    taking.fall_off = 0.3;
    taking.noise = 0.012;
    return taking;
}

Measured read_jpeg(const Sheet& sheet, const support::TestPicture& picture, int quality) {
    const support::TemporaryFolder folder;
    const auto file = folder.path() / "photo.jpg";
    support::JpegWish wish;
    wish.quality = quality;
    wish.subsampled = true;
    write_jpeg(file, picture, wish);
    base::Faults faults;
    base::Progress progress;
    const auto rows = raster::open_picture(file, {folder.path(), faults}, progress);
    return read_scan(sheet, *rows, std::nullopt, Trust::greys, "photo.jpg", progress);
}

// 0.3 dE: less than a third of what can be seen. In 8 bits a scanner's noise hides the steps between codes, as it does
// in a real one; without it each code would be half a dE.
TEST(scan, of_a_profiled_scanner_gives_every_patch_within_0_3_at_any_angle) {
    const Sheet sheet = made_sheet(number);
    const Printed as;
    const PrintedSheet print(sheet, as);
    for (const double degrees : {0.7, 180.0, 90.4, -17.0}) {
        Taking taking = scanned(sheet, 200, degrees);
        taking.exposure = 1;
        taking.fall_off = 0.03;
        if (degrees > 0) taking.bits = 16;
        if (degrees <= 0) taking.noise = 0.01;
        const Measured measured = read(sheet, taken(sheet, print, taking), Trust::colours);
        EXPECT_TRUE(measured.is_absolute);
        ASSERT_EQ(measured.patches.size(), sheet.patches.size());
        for (std::size_t i = 0; i < sheet.patches.size(); ++i) {
            const colour::Lab truth = printed(sheet.patches[i].lab);
            EXPECT_LT(colour::delta_e_76(measured.patches[i].lab, truth), 0.3)
                << sheet.patches[i].name << ' ' << degrees;
            EXPECT_LT(measured.patches[i].sd, 0.3);
        }
        ASSERT_TRUE(measured.paper);
        // The fall-off takes 3 % in the picture's corners: one L* of the paper's own colour.
        EXPECT_LT(colour::delta_e_76(*measured.paper, as.paper), 1);
    }
}

// 1.5 dE, one and a half times what can just be seen: noise, the fit of a light that falls off by 30 %, and the steps
// of JPEG's colour, which on even patches no noise hides. Those steps make most of it: without coding it is 0.1.
TEST(scan, of_a_photograph_gives_greys_within_1_5_of_the_paper) {
    const Sheet sheet = made_sheet(number);
    const PrintedSheet print(sheet, {});
    const Measured measured = read_jpeg(sheet, taken(sheet, print, photographed({2000, 1500})), 90);
    EXPECT_FALSE(measured.is_absolute);
    EXPECT_FALSE(measured.paper);
    ASSERT_EQ(measured.patches.size(), 30U) << "21 greys and 9 near greys";
    double sum = 0;
    for (const ReadPatch& patch : measured.patches) {
        EXPECT_NE(patch_named(sheet, patch.name).kind, Patch::Kind::colour);
        const double off = colour::delta_e_76(patch.lab, printed(patch_named(sheet, patch.name).lab));
        EXPECT_LT(off, 1.5) << patch.name;
        EXPECT_GT(patch.sd, 0.9) << "a camera's own curve is never known";
        sum += off / 30;
    }
    RecordProperty("mean", std::to_string(sum));
    EXPECT_LT(sum, 1);
}

// A patch's stated doubt against what it is really off by: of normally spread ones, two sd hold 95 %.
TEST(scan, sds_are_neither_far_too_small_nor_far_too_large) {
    const Sheet sheet = made_sheet(number);
    const PrintedSheet print(sheet, {});
    Taking taking = scanned(sheet, 200, 1);
    taking.noise = 0.05;
    taking.fall_off = 0.05;
    taking.bits = 16;
    const Measured measured = read(sheet, taken(sheet, print, taking), Trust::colours);
    int held = 0;
    double sd = 0;
    double off = 0;
    for (const ReadPatch& patch : measured.patches) {
        const double here = colour::delta_e_76(patch.lab, printed(patch_named(sheet, patch.name).lab));
        if (here <= 2 * patch.sd) ++held;
        sd += patch.sd;
        off += here;
    }
    EXPECT_GE(held, static_cast<int>(measured.patches.size()) * 85 / 100);
    EXPECT_LT(sd, 5 * off);
}

TEST(scan, is_the_same_each_time) {
    const Sheet sheet = made_sheet(number);
    const auto picture = taken(sheet, PrintedSheet(sheet, {}), scanned(sheet, 160, 5));
    const Measured first = read(sheet, picture, Trust::colours);
    const Measured second = read(sheet, picture, Trust::colours);
    ASSERT_EQ(first.patches.size(), second.patches.size());
    for (std::size_t i = 0; i < first.patches.size(); ++i) {
        EXPECT_EQ(first.patches[i].lab.lightness, second.patches[i].lab.lightness);
        EXPECT_EQ(first.patches[i].sd, second.patches[i].sd);
    }
}

// Dust on two patches and on the paper.
TEST(scan, specks_do_not_change_what_is_read) {
    const Sheet sheet = made_sheet(number);
    const PrintedSheet print(sheet, {});
    Taking taking = scanned(sheet, 200, 0.5);
    const double mm = print.mm();
    for (const std::size_t i : {std::size_t{3}, std::size_t{40}}) {
        const auto& rect = sheet.patches[i].rect;
        taking.covers.push_back({(rect.x + 20) * mm, (rect.y + 20) * mm, 0.5, 0.4});
    }
    taking.covers.push_back({75, 99, 0.6, 0.6});
    taking.bits = 16;
    const Measured measured = read(sheet, taken(sheet, print, taking), Trust::colours);
    EXPECT_LT(worst_of(sheet, measured), 0.3);
}

// f50 of a Gaussian is sqrt(ln 2 / 2) / (pi sigma); the edges are as a file holds them, and the scanner's pixels are
// squares (ISO 12233 for the way).
TEST(scan, tells_the_mediums_mtf50_within_10_percent) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    const Sheet sheet = made_sheet(number);
    const struct {
        double ppi, degrees, f50;
    } table[] = {{300, 0, 1.9}, {300, 181, 1.2}, {300, 60, 1.5}, {600, 2, 3.5}};
    for (const auto& [ppi, degrees, f50] : table) {
        Printed as;
        as.sigma_mm = std::sqrt(std::log(2.0) / 2) / (std::numbers::pi * f50);
        const Measured measured =
            read(sheet, taken(sheet, PrintedSheet(sheet, as), scanned(sheet, ppi, degrees)), Trust::colours);
        ASSERT_TRUE(measured.f50_cycles_per_mm) << ppi << ' ' << degrees << ' ' << f50;
        EXPECT_NEAR(*measured.f50_cycles_per_mm / f50, 1, 0.1) << ppi << ' ' << degrees;
    }
}

// Twice the medium's MTF50 is what these pixels resolve, and the lens takes as much as the print does: only the paper's
// cut tells the two apart.
TEST(scan, of_a_photograph_tells_the_mtf50_within_10_percent) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    const Sheet sheet = made_sheet(number);
    Printed as;
    as.sigma_mm = optics::sigma_of_f50(4);
    Taking taking = photographed({2600, 1840});
    taking.own_sigma_px = 0.5;
    taking.pattern = 0.1;
    const Measured measured = read_jpeg(sheet, taken(sheet, PrintedSheet(sheet, as), taking), 92);
    ASSERT_TRUE(measured.f50_cycles_per_mm);
    EXPECT_NEAR(*measured.f50_cycles_per_mm / 4, 1, 0.1);
}

// 200 ppi resolve 3.9 cycles/mm: too little to tell 2 from a lens's own blur, unless the paper's cut against something
// dark tells that.
TEST(scan, too_coarse_leaves_the_mtf50_open_where_the_papers_cut_does_not_show) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    const Sheet sheet = made_sheet(number);
    Printed as;
    as.sigma_mm = optics::sigma_of_f50(2);
    const PrintedSheet print(sheet, as);
    Taking taking = scanned(sheet, 200, 1);
    const auto told = read(sheet, taken(sheet, print, taking), Trust::colours).f50_cycles_per_mm;
    ASSERT_TRUE(told);
    EXPECT_NEAR(*told / 2, 1, 0.1);
    taking.backdrop = {0.86, 0.86, 0.86};  // A lid as light as the paper.
    EXPECT_FALSE(read(sheet, taken(sheet, print, taking), Trust::colours).f50_cycles_per_mm);
}

TEST(scan, sharpened_leaves_the_mtf50_open) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    const Sheet sheet = made_sheet(number);
    Printed as;
    as.sigma_mm = optics::sigma_of_f50(2);
    const PrintedSheet print(sheet, as);
    Taking taking = scanned(sheet, 360, 1);
    EXPECT_TRUE(read(sheet, taken(sheet, print, taking), Trust::colours).f50_cycles_per_mm);
    taking.sharpened = 3;
    EXPECT_FALSE(read(sheet, taken(sheet, print, taking), Trust::colours).f50_cycles_per_mm);
}

}  // namespace
}  // namespace hangtrue::trial

// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/find_marks.h"

#include <gtest/gtest.h>

#include <cmath>

#include "engine/trial/scan.h"
#include "tests/trial/pictured_sheet.h"

namespace hangtrue::trial {
namespace {

// The corners of the black ring, one module within each mark, by the picture's own geometry. 0.2 px: a fifth of what a
// patch's margin could bear many times over.
TEST(found_marks, stand_where_the_picture_has_them_at_every_angle) {
    const Sheet sheet = made_sheet(123456789);
    const PrintedSheet print(sheet, {});
    base::Progress progress;
    for (const double degrees : {0.0, 90.0, 180.0, 270.0, 33.0, -141.0}) {
        const Taking taking = scanned(sheet, 150, degrees);
        MemoryRows rows(taken(sheet, print, taking));
        const Homography way = way_of(sheet, taking);
        const auto found = marks_in(rows, progress);
        ASSERT_EQ(found.size(), 4U) << degrees;
        for (std::size_t corner = 0; corner < 4; ++corner) {
            EXPECT_EQ(found[corner].code, sheet.marks[corner].code);
            const base::PixelRect rect = sheet.marks[corner].rect;
            const double mm = print.mm();
            const double left = (rect.x + 6) * mm;
            const double top = (rect.y + 6) * mm;
            const double side = 48 * mm;
            const std::array<Point, 4> places{
                {{left, top}, {left + side, top}, {left + side, top + side}, {left, top + side}}};
            for (std::size_t i = 0; i < 4; ++i) {
                EXPECT_NEAR(found[corner].corners[i].x, way(places[i]).x, 0.2) << degrees << ' ' << corner << ' ' << i;
                EXPECT_NEAR(found[corner].corners[i].y, way(places[i]).y, 0.2) << degrees << ' ' << corner << ' ' << i;
            }
        }
    }
}

TEST(found_marks, say_the_sheets_number) {
    base::Progress progress;
    for (const std::int64_t number : {std::int64_t{0}, std::int64_t{7}, most_sheet_number}) {
        const Sheet sheet = made_sheet(number);
        MemoryRows rows(taken(sheet, PrintedSheet(sheet, {}), scanned(sheet, 120, 180)));
        EXPECT_EQ(sheet_number_in(rows, progress), number);
    }
}

TEST(found_marks, are_not_seen_in_noise_a_grating_or_a_tiny_picture) {
    base::Progress progress;
    for (const auto& picture : {support::noise({700, 500}, 3, 8, 5), support::grating({700, 500}, 3, 8, 0.02, 1),
                                support::gradient({12, 9}, 3, 16)}) {
        MemoryRows rows(picture);
        EXPECT_TRUE(marks_in(rows, progress).empty());
        EXPECT_FALSE(sheet_number_in(rows, progress));
    }
}

}  // namespace
}  // namespace hangtrue::trial

// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/scan_refusals.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/base/error.h"
#include "engine/trial/scan.h"
#include "tests/trial/pictured_sheet.h"

namespace hangtrue::trial {
namespace {

using testing::HasSubstr;

constexpr std::int64_t number = 90210;

std::string refusal_of(const Sheet& sheet, const support::TestPicture& picture) {
    MemoryRows rows(picture);
    base::Progress progress;
    try {
        read_scan(sheet, rows, colour::Profile::srgb(), Trust::colours, "scan.tif", progress);
    } catch (const base::UnreadableInput& error) {
        return error.what();
    }
    return "";
}

/// The sheet of all these tests, on the scanner at 160 ppi; each test spoils one thing, and `plain` spoils none.
class scan_refusals : public testing::Test {
  protected:
    std::string refused(const Taking& taking, const Printed& printed_as = {}) const {
        return refusal_of(m_sheet, taken(m_sheet, PrintedSheet(m_sheet, printed_as), taking));
    }
    Point middle_of_patch(const std::string& name) const {
        const auto& rect = std::ranges::find(m_sheet.patches, name, &Patch::name)->rect;
        return {(rect.x + 30) * 25.4 / 300, (rect.y + 30) * 25.4 / 300};
    }
    const Sheet m_sheet = made_sheet(number);
    const Taking m_plain = scanned(m_sheet, 160, 1);
};

TEST_F(scan_refusals, a_plain_scan_is_taken) { EXPECT_EQ(refused(m_plain), ""); }

TEST_F(scan_refusals, something_else_is_no_test_sheet) {
    EXPECT_THAT(refusal_of(m_sheet, support::noise({900, 600}, 3, 8, 3)),
                HasSubstr("No test sheet was found in scan.tif"));
}

TEST_F(scan_refusals, missing_marks_are_named_by_their_corners) {
    Taking taking = m_plain;
    taking.covers.push_back({0, 0, 12, 12});
    EXPECT_THAT(refused(taking),
                HasSubstr("The mark at the upper left of test sheet 90210 cannot be seen in scan.tif"));
    taking.covers.push_back({140, 88, 20, 20});
    EXPECT_THAT(refused(taking), HasSubstr("The marks at the upper left and lower right of"));
}

TEST_F(scan_refusals, another_sheet_is_told_with_both_numbers) {
    const Sheet other = made_sheet(90211);
    EXPECT_THAT(refusal_of(m_sheet, taken(other, PrintedSheet(other, {}), m_plain)),
                HasSubstr("scan.tif shows test sheet 90211, not test sheet 90210"));
}

TEST_F(scan_refusals, two_sheets_at_once_are_one_too_many) {
    const auto one = taken(m_sheet, PrintedSheet(m_sheet, {}), m_plain);
    support::TestPicture two{{one.size.width, 2 * one.size.height}, 3, 8, one.samples};
    two.samples.insert(two.samples.end(), one.samples.begin(), one.samples.end());
    EXPECT_THAT(refusal_of(m_sheet, two), HasSubstr("shows more than one test sheet"));
}

TEST_F(scan_refusals, too_few_pixels_are_told_with_how_many_are_needed) {
    // 6 px of 300 ppi are a module: 3 pixels need 150 ppi. A tenth less is not enough.
    EXPECT_THAT(refused(scanned(m_sheet, 136, 1)),
                testing::AllOf(HasSubstr("135 pixels an inch"), HasSubstr("at least 150 are needed")));
}

TEST_F(scan_refusals, blur_that_reaches_into_patches) {
    // Marks as large as fit: where modules are smaller, blur takes the marks first.
    Sheet sheet = made_sheet(number);
    for (std::size_t i = 0; i < 4; ++i) {
        sheet.marks[i].rect = {i == 0 || i == 3 ? 12 : 1698, i < 2 ? 12 : 1098, 90, 90};
    }
    Printed printed_as;
    EXPECT_EQ(refusal_of(sheet, taken(sheet, PrintedSheet(sheet, printed_as), m_plain)), "");
    printed_as.sigma_mm = 0.36;
    EXPECT_THAT(refusal_of(sheet, taken(sheet, PrintedSheet(sheet, printed_as), m_plain)),
                HasSubstr("scan.tif is too blurred"));
}

TEST_F(scan_refusals, overexposure) {
    Taking taking = m_plain;
    taking.exposure = 1.3;
    EXPECT_THAT(refused(taking), HasSubstr("scan.tif is overexposed"));
}

TEST_F(scan_refusals, shadows_cut_off_to_black) {
    Printed printed_as;
    printed_as.lowest_patch = -0.03;
    EXPECT_THAT(refused(m_plain, printed_as), HasSubstr("shadows cut off to black"));
}

TEST_F(scan_refusals, glare_on_the_bare_paper) {
    Taking taking = m_plain;
    taking.exposure = 0.7;
    taking.glare = 0.25;
    taking.glare_mm = 3;
    taking.glare_place = {20, 98};
    EXPECT_THAT(refused(taking),
                testing::AllOf(HasSubstr("The bare paper at the lower left"), HasSubstr("reflection")));
}

TEST_F(scan_refusals, a_shadow_on_the_bare_paper) {
    Taking taking = m_plain;
    taking.covers.push_back({60, 97, 12, 3});
    EXPECT_THAT(refused(taking), testing::AllOf(HasSubstr("The bare paper at the bottom"), HasSubstr("shadow")));
}

TEST_F(scan_refusals, glare_within_a_patch) {
    Taking taking = m_plain;
    taking.glare = 0.1;
    taking.glare_mm = 1.2;
    const Point middle = middle_of_patch("W18");
    taking.glare_place = {middle.x + 1.5, middle.y};
    EXPECT_THAT(refused(taking), HasSubstr("The patch W18 at the right of the sheet is not even"));
}

TEST_F(scan_refusals, black_lifted_by_an_even_reflection) {
    Taking taking = m_plain;
    taking.glare = 0.06;
    taking.glare_mm = 4;
    taking.glare_place = middle_of_patch("W21");
    EXPECT_THAT(refused(taking), testing::AllOf(HasSubstr("The grey W21"), HasSubstr("which was sent lighter")));
}

TEST_F(scan_refusals, a_sheet_that_is_bent) {
    Taking taking = m_plain;
    taking.bend_mm = 1.5;
    EXPECT_THAT(refused(taking), HasSubstr("does not lie flat in scan.tif"));
}

TEST_F(scan_refusals, marks_that_lie_in_no_plane) {
    std::vector<FoundMark> found;
    const Homography way = way_of(m_sheet, m_plain);
    for (const Mark& mark : m_sheet.marks) {
        FoundMark one{mark.code, {}};
        const double mm = 25.4 / 300;
        const double left = (mark.rect.x + 6) * mm;
        const double top = (mark.rect.y + 6) * mm;
        one.corners = {way({left, top}), way({left + 48 * mm, top}), way({left + 48 * mm, top + 48 * mm}),
                       way({left, top + 48 * mm})};
        found.push_back(one);
    }
    const auto marks = marks_of(m_sheet, found, "scan.tif");
    const Point there = geometry_of(m_sheet, marks, "scan.tif")({75, 50});
    EXPECT_NEAR(there.x, way({75, 50}).x, 1e-4);
    auto bent = marks;
    // One corner curls up: its mark is seen narrower by a third.
    for (const std::size_t corner : {std::size_t{1}, std::size_t{2}}) {
        bent[2].corners[corner].x -= (marks[2].corners[1].x - marks[2].corners[0].x) / 3;
    }
    EXPECT_THROW(geometry_of(m_sheet, bent, "scan.tif"), base::UnreadableInput);
}

TEST_F(scan_refusals, pictures_without_colours) {
    EXPECT_THAT(refusal_of(m_sheet, support::gradient({500, 400}, 1, 8)), HasSubstr("black-and-white"));
}

TEST_F(scan_refusals, a_stopped_reading_ends_as_cancelled) {
    MemoryRows rows(taken(m_sheet, PrintedSheet(m_sheet, {}), m_plain));
    base::Progress progress;
    progress.cancel();
    EXPECT_THROW(read_scan(m_sheet, rows, std::nullopt, Trust::greys, "scan.tif", progress), base::Cancelled);
}

}  // namespace
}  // namespace hangtrue::trial

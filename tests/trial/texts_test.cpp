// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/texts.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/base/error.h"
#include "tests/trial/ground.h"

namespace hangtrue::trial {
namespace {

KeptSheet kept_sheet() {
    KeptSheet kept;
    kept.sheet = *laid_out_in_srgb(ground_of({base::inches(7), base::inches(5)}));
    kept.sheet.number = 12;
    kept.sheet.part = {100.25, 33.5, 1 / 3.0, 7};
    kept.sheet.window = {10, 20, 300, 300};
    kept.sheet.cells[1].variant = {1.25, -0.1, 1e-17, 0.03};
    kept.part_colours = {{50, 1.5, -2}, {99.9, 0, 0.1}};
    kept.is_mirrored = true;
    return kept;
}

TEST(trial_texts, a_sheet_reads_back_as_it_was) {
    const KeptSheet kept = kept_sheet();
    const std::string text = sheet_text(kept);
    const KeptSheet read = sheet_from_text(text);
    EXPECT_EQ(sheet_text(read), text);
    EXPECT_EQ(read.sheet.number, 12);
    EXPECT_EQ(read.sheet.part, kept.sheet.part);
    EXPECT_EQ(read.sheet.cells[1].variant, kept.sheet.cells[1].variant);
    EXPECT_EQ(read.sheet.patches.size(), kept.sheet.patches.size());
    EXPECT_EQ(read.sheet.patches.back().rgb, kept.sheet.patches.back().rgb);
    EXPECT_EQ(read.part_colours.size(), 2U);
    EXPECT_TRUE(read.is_mirrored);
}

TEST(trial_texts, readings_of_every_kind_read_back_as_they_were) {
    Reading eye;
    eye.answer = Answer{.best = "E", .second = "B", .is_between = true, .all = {}, .grey = "G4"};
    eye.judged = {120, base::sha256(std::string("screen")), 500};
    Reading direction;
    direction.answer = Answer{.best = "", .second = "", .is_between = false, .all = Answer::All::warm, .grey = {}};
    Reading scan;
    scan.by = Learned::By::scan;
    scan.measured = Measured{true, colour::Lab{94, 0.5, -1.25}, {{"W1", {3, 0.1, 1 / 3.0}, 0.2}}, 4.5};
    for (const Reading& reading : {eye, direction, scan}) {
        const std::string text = reading_text(reading);
        EXPECT_EQ(reading_text(reading_from_text(text)), text);
    }
    const Reading read = reading_from_text(reading_text(eye));
    EXPECT_EQ(read.answer->grey, "G4");
    EXPECT_EQ(read.judged.screen_profile, eye.judged.screen_profile);
    EXPECT_EQ(reading_from_text(reading_text(direction)).answer->all, Answer::All::warm);
    EXPECT_EQ(reading_from_text(reading_text(scan)).measured->patches.front().lab.b, 1 / 3.0);
}

TEST(trial_texts, what_was_learned_reads_back_and_curves_that_are_no_correction_are_refused) {
    Learned learned;
    learned.by = Learned::By::eye;
    learned.sheets = 2;
    learned.is_applied = true;
    learned.curves = colour::correction_of({3, -2, 1, 0.05});
    learned.f50_cycles_per_mm = 3.7;
    const std::string text = learned_text(learned);
    const Learned read = learned_from_text(text);
    EXPECT_EQ(read.curves, learned.curves);
    EXPECT_EQ(read.f50_cycles_per_mm, 3.7);
    learned.curves.lightness[5] = 0;
    EXPECT_THROW(learned_from_text(learned_text(learned)), base::UnreadableInput);
    EXPECT_THROW(learned_from_text("format = 1\nby = \"guess\"\n"), base::UnreadableInput);
    EXPECT_THROW(sheet_from_text("format = 1\n"), base::UnreadableInput);
    EXPECT_THROW(reading_from_text("nonsense"), base::UnreadableInput);
}

}  // namespace
}  // namespace hangtrue::trial

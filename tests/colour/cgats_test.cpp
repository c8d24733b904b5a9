// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/cgats.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <random>
#include <string>

#include "engine/base/error.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::colour {
namespace {

using testing::HasSubstr;

class Cgats : public testing::Test {
  protected:
    std::filesystem::path file_of(const std::string& text) {
        const auto name = m_folder.path() / "readings.txt";
        std::ofstream(name, std::ios::binary) << text;
        return name;
    }
    std::string complaint_of(const std::string& text) {
        try {
            const auto table = read_cgats(file_of(text));
            table.names();
            table.lab_values();
        } catch (const base::UnreadableInput& error) {
            return error.what();
        }
        return "no complaint";
    }

  private:
    support::TemporaryFolder m_folder;
};

const std::string readings = R"(CGATS.17
ORIGINATOR "an instrument"
NUMBER_OF_FIELDS 5
BEGIN_DATA_FORMAT
SAMPLE_ID SAMPLE_NAME Lab_L LAB_A LAB_B
END_DATA_FORMAT
NUMBER_OF_SETS 3
BEGIN_DATA
1 "P1" 95.0 0.1 -2.00
2 "P 2" 50 -1e-1 .5
# a remark
3 P3 16.25 0 0
END_DATA
)";

TEST_F(Cgats, HoldsWhatTheTextSays) {
    const CgatsTable table = read_cgats(file_of(readings));
    EXPECT_THAT(table.columns, testing::ElementsAre("SAMPLE_ID", "SAMPLE_NAME", "LAB_L", "LAB_A", "LAB_B"));
    EXPECT_THAT(table.names(), testing::ElementsAre("P1", "P 2", "P3"));
    EXPECT_THAT(table.numbers("LAB_L"), testing::ElementsAre(95, 50, 16.25));
    EXPECT_THAT(table.numbers("LAB_A"), testing::ElementsAre(0.1, -0.1, 0));
    EXPECT_DOUBLE_EQ(table.lab_values()[1].b, 0.5);
}

TEST_F(Cgats, TakesXyzWhereThereIsNoLab) {
    const CgatsTable table = read_cgats(
        file_of("CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID XYZ_X XYZ_Y XYZ_Z\nEND_DATA_FORMAT\nNUMBER_OF_SETS 1\n"
                "BEGIN_DATA\n7 15.02 22.93 52.85\nEND_DATA\n"));
    // FOGRA39L's cyan solid: L*a*b* 55.00 -37.00 -50.00 is printed beside these XYZ, each rounded to two digits.
    const Lab lab = table.lab_values()[0];
    EXPECT_NEAR(lab.lightness, 55, 0.02);
    EXPECT_NEAR(lab.a, -37, 0.05);
    EXPECT_NEAR(lab.b, -50, 0.05);
    EXPECT_THAT(table.names(), testing::ElementsAre("7"));
}

TEST_F(Cgats, ReadsPublishedPrintConditions) {
    // Counts as the files state them; FOGRA39L's paper and magenta as published with ISO 12647-2:2004/Amd 1.
    const std::filesystem::path folder = "/usr/share/color/icc";
    const CgatsTable coated = read_cgats(folder / "FOGRA39L.ti3");
    ASSERT_EQ(coated.rows.size(), 1617u);
    EXPECT_DOUBLE_EQ(coated.lab_values()[0].lightness, 95);
    EXPECT_DOUBLE_EQ(coated.lab_values()[8].a, 74);
    EXPECT_DOUBLE_EQ(coated.numbers("CMYK_M")[8], 100);
    EXPECT_EQ(read_cgats(folder / "FOGRA29L.ti3").rows.size(), 1485u);
    EXPECT_EQ(read_cgats(folder / "TR006.ti3").rows.size(), 1617u);
    EXPECT_EQ(read_cgats(folder / "TR002.ti3").rows.size(), 928u);
}

std::string changed(std::string text, const std::string& from, const std::string& to) {
    return text.replace(text.find(from), from.size(), to);
}

TEST_F(Cgats, SaysWhatIsWrong) {
    EXPECT_THAT(complaint_of("I am a letter, not a table.\n"), HasSubstr("no table of measurements"));
    EXPECT_THAT(complaint_of(changed(readings, "SETS 3", "SETS 4")), HasSubstr("it has 4 rows and holds 3"));
    EXPECT_THAT(complaint_of(changed(readings, "SETS 3", "SETS 2")), HasSubstr("it has 2 rows and holds 3"));
    EXPECT_THAT(complaint_of(changed(readings, "16.25 0 0", "16.25 0")), HasSubstr("line 12 holds 4 values"));
    EXPECT_THAT(complaint_of(changed(readings, "FIELDS 5", "FIELDS 6")), HasSubstr("says that it has 6 columns"));
    EXPECT_THAT(complaint_of(changed(readings, "END_DATA\n", "")), HasSubstr("cut short"));
    EXPECT_THAT(complaint_of(changed(readings, "SAMPLE_NAME", "LAB_A")), HasSubstr("LAB_A stands in it twice"));
    EXPECT_THAT(complaint_of(changed(readings, "16.25", "dark")), HasSubstr("row 3, column LAB_L, stands \"dark\""));
    EXPECT_THAT(complaint_of(changed(readings, "LAB_A", "LAB_X")), HasSubstr("it holds no colours"));
    EXPECT_THAT(complaint_of(changed(changed(readings, "SAMPLE_ID", "COLUMN"), "SAMPLE_NAME", "ROW")),
                HasSubstr("neither a column SAMPLE_NAME"));
    EXPECT_THROW(read_cgats("/nowhere/readings.txt"), base::UnreadableInput);
    try {
        read_cgats(file_of(readings)).numbers("XYZ_X");
        FAIL();
    } catch (const base::UnreadableInput& error) {
        EXPECT_THAT(error.what(), HasSubstr("no column XYZ_X"));
    }
}

TEST_F(Cgats, SurvivesAnyDamage) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    for (int i = 0; i < 400; ++i) {
        std::string text = readings;
        for (int change = 0; change < 1 + i % 5; ++change) {
            const std::size_t at = random() % text.size();
            if (random() % 3 == 0) {
                text.resize(at + 1);
            } else {
                text[at] = static_cast<char>(random() % 256);
            }
        }
        EXPECT_NE(complaint_of(text), "");  // It comes back, with the colours or with a sentence.
    }
}

}  // namespace
}  // namespace hangtrue::colour

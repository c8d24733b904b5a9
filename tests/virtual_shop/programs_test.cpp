// SPDX-License-Identifier: Apache-2.0
// The two programs as somebody starts them, against files.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <sstream>

#include "tests/support/pictures.h"
#include "tests/support/temporary_folder.h"
#include "tests/virtual_shop/print_file.h"

namespace hangtrue::virtual_shop {
namespace {

using testing::HasSubstr;

class Programs : public testing::Test {
  protected:
    std::string path(const char* name) { return (m_folder.path() / name).string(); }
    void write(const char* name, const std::string& text) { std::ofstream(path(name)) << text; }
    int run(const std::string& line) {
        const int state = std::system((line + " > " + path("out") + " 2> " + path("err")).c_str());
        return WEXITSTATUS(state);
    }
    std::string text(const char* name) {
        std::ostringstream out;
        out << std::ifstream(path(name)).rdbuf();
        return out.str();
    }

  private:
    support::TemporaryFolder m_folder;
};

const std::string shop_program = VIRTUAL_SHOP;

TEST_F(Programs, AShopPrintsAndSomebodyAnswers) {
    // A picture of one grey, and a sheet of three cells of it: as it is, lighter, darker. The shop prints 6 darker at
    // mid grey, so the lighter cell (one that L* 50 -> 56 makes) looks right.
    write("like.toml", "format = 1\nblur_mm = 0\ngrain_sd = 0\n[bias]\nlightness = -6\n");
    ASSERT_EQ(run(shop_program + " open --like " + path("like.toml") + " --to " + path("shop.toml")), 0);
    support::TestPicture picture{{60, 60}, 3, 8, std::vector<std::uint16_t>(60 * 60 * 3, 119)};  // sRGB 119: L* 50.
    support::write_tiff(path("picture.tif"), picture, {});
    support::TestPicture sheet{{300, 100}, 3, 8, std::vector<std::uint16_t>(300 * 100 * 3, 119)};
    for (int y = 0; y < 100; ++y) {
        for (int x = 0; x < 300; ++x) {
            for (int c = 0; c < 3; ++c) sheet.at(x, y, c) = x < 100 ? 119 : x < 200 ? 134 : 104;
        }
    }
    support::write_tiff(path("sheet.tif"), sheet, {});
    ASSERT_EQ(
        run(shop_program + " print " + path("shop.toml") + " " + path("sheet.tif") + " --to " + path("print.tif")), 0);
    // No resolution in the file: taken as 300 ppi, so a cell is 8.47 mm wide.
    write("layout.json", R"({"part": {"x": 0, "y": 0, "width": 60, "height": 60}, "cells": [
        {"letter": "A", "x_mm": 0, "y_mm": 0, "width_mm": 8.4, "height_mm": 8.4},
        {"letter": "B", "x_mm": 8.5, "y_mm": 0, "width_mm": 8.4, "height_mm": 8.4},
        {"letter": "C", "x_mm": 17, "y_mm": 0, "width_mm": 8.4, "height_mm": 8.4}],
        "greys": [{"name": "G1", "x_mm": 1, "y_mm": 1, "width_mm": 5, "height_mm": 5}]})");
    const std::string asked =
        shop_program + " answer " + path("shop.toml") + " " + path("print.tif") + " --layout " + path("layout.json");
    ASSERT_EQ(run(asked + " --picture " + path("picture.tif") + " --error 0"), 0) << text("err");
    EXPECT_EQ(text("out"), "B\n");
    ASSERT_EQ(run(asked + " --greys --error 0"), 0) << text("err");
    EXPECT_EQ(text("out"), "G1\n");
    EXPECT_EQ(run(asked), 2);

    write("boxes.json", R"([{"x_mm": 1, "y_mm": 1, "width_mm": 5, "height_mm": 5}])");
    ASSERT_EQ(run(shop_program + " colours " + path("shop.toml") + " " + path("sheet.tif") + " --boxes " +
                  path("boxes.json")),
              0);
    const std::string with_bias = text("out");
    ASSERT_EQ(run(shop_program + " colours " + path("shop.toml") + " " + path("sheet.tif") + " --boxes " +
                  path("boxes.json") + " --without-bias"),
              0);
    EXPECT_NE(with_bias, text("out"));
    for (const char* device : {"scan", "photograph"}) {
        ASSERT_EQ(run(shop_program + " " + device + " " + path("print.tif") + " --to " + path("look.jpg")), 0);
        EXPECT_GT(read_sent(path("look.jpg")).size.count(), 10000);
    }
}

TEST_F(Programs, SaysWhatIsWrong) {
    EXPECT_EQ(run(shop_program), 2);
    EXPECT_EQ(run(shop_program + " open --to " + path("shop.toml")), 2);
    write("shop.toml", "format = 1\nblurr_mm = 1\n");
    EXPECT_EQ(run(shop_program + " print " + path("shop.toml") + " x.tif --to " + path("p.tif")), 3);
    EXPECT_THAT(text("err"), HasSubstr("blurr_mm"));
    write("shop.toml", "format = 1\n");
    EXPECT_EQ(run(shop_program + " print " + path("shop.toml") + " " + path("no.tif") + " --to " + path("p.tif")), 3);
    support::TestPicture picture{{60, 60}, 3, 8, std::vector<std::uint16_t>(60 * 60 * 3, 119)};
    support::write_tiff(path("picture.tif"), picture, {});
    EXPECT_EQ(run(shop_program + " scan " + path("picture.tif") + " --to " + path("scan.tif")), 3);
    EXPECT_THAT(text("err"), HasSubstr("no print"));
    EXPECT_EQ(run(shop_program + " print " + path("shop.toml") + " " + path("picture.tif") + " --to /nowhere/p.tif"),
              4);
}

TEST_F(Programs, ManyShopsRunThroughAProgram) {
    // A stand-in program that learns by cells alone and refuses scans.
    const std::string program = HANGTRUE_SOURCE_DIR "/tests/virtual_shop/fake_program.py";
    support::write_tiff(path("picture.tif"), support::gradient({1200, 900}, 3, 8), {});
    ASSERT_EQ(
        run(std::string(VIRTUAL_SHOPS) + " --shops 2 --seed 7 --most-sheets 2 --ways eye,scan,hand --json --program " +
            program + " --picture " + path("picture.tif") + " --work " + path("work")),
        0)
        << text("err");
    const std::string told = text("out");
    write("check.py",
          "import json,sys\n"
          "r = json.load(open(sys.argv[1]))['ways']\n"
          "eye, scan, hand = r['eye'], r['scan'], r['hand']\n"
          "assert eye['failed'] == 0 and len(eye['each']) == 2, eye\n"
          "assert all(1 <= e['sheets'] <= 2 for e in eye['each']), eye\n"
          "off = [e for e in eye['each'] if e['before_de00'] > 3]\n"
          "assert off and all(e['after_de00'] < e['before_de00'] for e in off), eye\n"
          "assert all(e['best_de00'] <= e['before_de00'] + 0.2 for e in eye['each']), eye\n"
          "assert scan['failed'] == 2 and 'not understood' in scan['each'][0]['failure'], scan\n"
          "assert all(e['after_de00'] == e['before_de00'] for e in scan['each']), scan\n"
          "assert all(1 <= e['sheets'] <= 20 for e in hand['each']), hand\n"
          "assert eye['after_de00']['mean']['low'] <= eye['after_de00']['mean']['value'], eye\n");
    const std::string kept = path("kept.json");
    std::ofstream(kept) << told;
    EXPECT_EQ(run("python3 " + path("check.py") + " " + kept), 0) << text("err") << told;
}

}  // namespace
}  // namespace hangtrue::virtual_shop

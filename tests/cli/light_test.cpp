// SPDX-License-Identifier: Apache-2.0
// `light`, and `view --as print`.

#include <gmock/gmock.h>

#include "tests/cli/program.h"

namespace hangtrue::cli_test {
namespace {

using testing::HasSubstr;

TEST(cli_light, lists_the_rooms_with_their_lux_and_where_those_come_from) {
    const Studio studio;
    const Ran text = studio.run({"light"});
    EXPECT_EQ(text.status, 0) << text.err;
    for (const char* words : {"living-room", "2.4 stops darker", "ISO 3664:2009", "An estimate", "CIE 157:2004"}) {
        EXPECT_THAT(text.out, HasSubstr(words));
    }
    const Json json = studio.run({"light", "--json", "--screen-brightness", "80"}).json();
    ASSERT_GE(json["rooms"].size(), 5u);
    for (const Json& room : json["rooms"]) {
        EXPECT_FALSE(room["source"].get<std::string>().empty());
        EXPECT_EQ(room["screen_cd_m2"], 80);
        EXPECT_EQ(room["tones"].size(), 21u);
        EXPECT_EQ(room["tones"][0]["becomes"], 0);
        EXPECT_EQ(room["tones"][20]["becomes"], 100);
    }
}

TEST(cli_light, of_one_room_tells_before_and_after_and_takes_a_mediums_paper) {
    const Studio studio;
    const Ran text = studio.run({"light", "--light", "60"});
    EXPECT_EQ(text.status, 0) << text.err;
    EXPECT_THAT(text.out, HasSubstr("Under 60 lux"));
    EXPECT_THAT(text.out, HasSubstr("lightness in the picture"));
    const Json json =
        studio.run({"light", "--light", "60", "--shop", "test-prints", "--medium", "plain-paper", "--json"}).json();
    EXPECT_EQ(json["medium_name"], "Plain paper");
    EXPECT_EQ(json["lux"], 60);
    EXPECT_TRUE(json["changes"].get<bool>());
    EXPECT_EQ(json["visible_steps"].size(), 3u);
}

TEST(cli_light, used_wrongly_ends_with_2_and_says_how) {
    const Studio studio;
    struct Wrong {
        Words words;
        std::string told;
    };
    for (const Wrong& wrong : {
             Wrong{{"light", "--light", "cellar"}, "living-room"},
             Wrong{{"light", "--shop", "test-prints", "--light", "60"}, "--medium"},
             Wrong{{"light", "--screen-at", "0,0,10,10"}, "--photograph"},
             Wrong{{"light", "--photograph", studio.picture.string(), "--light", "80"}, "one of them"},
             Wrong{{"light", "--photograph", studio.picture.string(), "--screen-at", "0,0,10"}, "0,0,10"},
         }) {
        const Ran ran = studio.run(wrong.words);
        EXPECT_EQ(ran.status, 2) << wrong.told;
        EXPECT_THAT(ran.err, HasSubstr(wrong.told));
    }
    EXPECT_EQ(studio.run({"light", "--photograph", (studio.root() / "none.jpg").string()}).status, 3);
}

TEST(cli_view, as_print_writes_srgb_and_says_what_it_rests_on) {
    const Studio studio;
    const std::string out = (studio.root() / "print.png").string();
    const Words viewing{"view",     studio.picture.string(),
                        "--shop",   "test-prints",
                        "--medium", "plain-paper",
                        "--size",   "3x2in",
                        "--out",    out,
                        "--replace"};
    Words proofing = viewing;
    proofing.insert(proofing.end(), {"--as", "print", "--paper-white", "off", "--json"});
    const Ran ran = studio.run(proofing);
    ASSERT_EQ(ran.status, 0) << ran.err;
    EXPECT_EQ(ran.json()["as_print"]["basis"], "assumed");
    EXPECT_TRUE(fs::exists(out));
    Words lacking = viewing;
    lacking.insert(lacking.end(), {"--gamut", "hatch"});
    const Ran wrong = studio.run(lacking);
    EXPECT_EQ(wrong.status, 2);
    EXPECT_THAT(wrong.err, HasSubstr("--as print"));
}

}  // namespace
}  // namespace hangtrue::cli_test

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/order_verdicts.h"
#include "tests/jobs/workroom.h"

namespace hangtrue::jobs_test {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

TEST(order_verdicts, say_of_each_picture_what_the_size_asks_of_it_or_why_not) {
    Workroom room;
    jobs::Context context = room.context();
    // 3 x 2 in at 60 ppi are 180 x 120 pixels.
    const fs::path large = room.tiff("large.tif", scene({360, 240}, 3, 8));
    const fs::path small = room.tiff("small.tif", scene({90, 60}, 3, 8));
    const fs::path square = room.tiff("square.tif", scene({200, 200}, 3, 8));
    const fs::path broken = room.pictures() / "broken.tif";
    const std::string damaged = "no picture";
    support::write_bytes(broken, std::as_bytes(std::span(damaged)));
    const auto said = jobs::order_verdicts(
        {room.request(large), room.request(small), room.request(square), room.request(broken),
         room.request(large, {{"size", "70x40mm"}}), room.request(large, {{"medium", "upload"}, {"size", "9x9in"}}),
         room.request(large, {{"medium", "vellum"}})},
        context);
    EXPECT_THAT(said, ElementsAre(HasSubstr("no enlarging"), HasSubstr("enlarged 2 times"),
                                  HasSubstr("its shape takes 33 %"), HasSubstr("broken.tif"), HasSubstr("cut to order"),
                                  HasSubstr("not offered"), HasSubstr("vellum")));
}

TEST(order_verdicts, go_by_the_crop_and_the_panels_that_are_asked_for) {
    Workroom room;
    jobs::Context context = room.context();
    const fs::path picture = room.tiff("ridge.tif", scene({360, 240}, 3, 8));
    const auto said = jobs::order_verdicts(
        {room.request(picture), room.request(picture, {{"crop", "0,0,90,60"}}),
         room.request(picture, {{"size", "70x40mm"}}), room.request(picture, {{"panels", "2"}, {"gap", "10mm"}})},
        context);
    EXPECT_THAT(said.at(0), HasSubstr("no enlarging."));
    EXPECT_THAT(said.at(1), HasSubstr("enlarged 2 times"));  // A quarter of the picture: 90 pixels for 180.
    EXPECT_THAT(said.at(1), testing::Not(HasSubstr("shape")));
    // Of 240 rows 205 are left.
    EXPECT_THAT(said.at(2), HasSubstr("cut to order: no enlarging, its shape takes 15 %"));
    EXPECT_THAT(said.at(3), HasSubstr("2 panels"));
}

}  // namespace
}  // namespace hangtrue::jobs_test

// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/marks.h"

#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <random>

#include "engine/trial/sheet.h"
#include "tests/support/random.h"

namespace hangtrue::trial {
namespace {

TEST(sheet_marks, are_those_that_the_reference_library_draws) {
    apriltag_family_t* const family = tag36h11_create();
    ASSERT_GE(family->ncodes, 4U * 146);
    for (int code = 0; code < 4 * 146; ++code) {
        image_u8_t* const drawn = apriltag_to_image(family, static_cast<std::uint32_t>(code));
        ASSERT_EQ(drawn->width, mark_modules);
        const MarkModules ours = mark_modules_of(code);
        for (int y = 0; y < mark_modules; ++y) {
            for (int x = 0; x < mark_modules; ++x) {
                ASSERT_EQ(ours[static_cast<std::size_t>(y)][static_cast<std::size_t>(x)],
                          drawn->buf[y * drawn->stride + x] == 255)
                    << code << " at " << x << ", " << y;
            }
        }
        std::free(drawn->buf);  // The library does not export its own way of doing this.
        std::free(drawn);
    }
    tag36h11_destroy(family);
}

TEST(sheet_marks, carry_the_sheets_number_and_say_their_corner) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::uniform_int_distribution<std::int64_t> numbers(0, most_sheet_number);
    for (int i = 0; i < 1000; ++i) {
        const std::int64_t number = i < 300 ? i : numbers(random);
        const auto codes = codes_of(number);
        EXPECT_EQ(number_of(codes), number);
        for (std::size_t corner = 0; corner < 4; ++corner) {
            EXPECT_EQ(corner_of(codes[corner]), static_cast<int>(corner));
        }
    }
}

}  // namespace
}  // namespace hangtrue::trial

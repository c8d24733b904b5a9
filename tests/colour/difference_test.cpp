// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/difference.h"

#include <gtest/gtest.h>

#include "engine/colour/profile.h"

namespace hangtrue::colour {
namespace {

struct Pair {
    Lab first;
    Lab second;
    double de00;
    double de76;
    double de94;
};

// dE00: Sharma, Wu, Dalal, Color Research and Application 30(1), 2005, table 1, to four decimals. dE76 and
// dE94 (graphic arts, the first is the standard) computed apart from this code in double precision.
constexpr Pair pairs[] = {
    {{50.0000, 2.6772, -79.7751}, {50.0000, 0.0000, -82.7485}, 2.0425, 4.0011, 1.3950},
    {{50.0000, 3.1571, -77.2803}, {50.0000, 0.0000, -82.7485}, 2.8615, 6.3142, 1.9341},
    {{50.0000, 2.8361, -74.0200}, {50.0000, 0.0000, -82.7485}, 3.4412, 9.1777, 2.4543},
    {{50.0000, -1.3802, -84.2814}, {50.0000, 0.0000, -82.7485}, 1.0000, 2.0627, 0.6845},
    {{50.0000, -1.1848, -84.8006}, {50.0000, 0.0000, -82.7485}, 1.0000, 2.3696, 0.6696},
    {{50.0000, -0.9009, -85.5211}, {50.0000, 0.0000, -82.7485}, 1.0000, 2.9153, 0.6919},
    {{50.0000, 0.0000, 0.0000}, {50.0000, -1.0000, 2.0000}, 2.3669, 2.2361, 2.2361},
    {{50.0000, -1.0000, 2.0000}, {50.0000, 0.0000, 0.0000}, 2.3669, 2.2361, 2.0316},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0009}, 7.1792, 4.9800, 4.8007},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0010}, 7.1792, 4.9800, 4.8007},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0011}, 7.2195, 4.9800, 4.8007},
    {{50.0000, 2.4900, -0.0010}, {50.0000, -2.4900, 0.0012}, 7.2195, 4.9800, 4.8007},
    {{50.0000, -0.0010, 2.4900}, {50.0000, 0.0009, -2.4900}, 4.8045, 4.9800, 4.8007},
    {{50.0000, -0.0010, 2.4900}, {50.0000, 0.0010, -2.4900}, 4.8045, 4.9800, 4.8007},
    {{50.0000, -0.0010, 2.4900}, {50.0000, 0.0011, -2.4900}, 4.7461, 4.9800, 4.8007},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 0.0000, -2.5000}, 4.3065, 3.5355, 3.4077},
    {{50.0000, 2.5000, 0.0000}, {73.0000, 25.0000, -18.0000}, 27.1492, 36.8680, 34.6892},
    {{50.0000, 2.5000, 0.0000}, {61.0000, -5.0000, 29.0000}, 22.8977, 31.9100, 29.4414},
    {{50.0000, 2.5000, 0.0000}, {56.0000, -27.0000, -3.0000}, 31.9030, 30.2531, 27.9141},
    {{50.0000, 2.5000, 0.0000}, {58.0000, 24.0000, 15.0000}, 19.4535, 27.4089, 24.9377},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 3.1736, 0.5854}, 1.0000, 0.8924, 0.8221},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 3.2972, 0.0000}, 1.0000, 0.7972, 0.7166},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 1.8634, 0.5757}, 1.0000, 0.8583, 0.8049},
    {{50.0000, 2.5000, 0.0000}, {50.0000, 3.2592, 0.3350}, 1.0000, 0.8298, 0.7528},
    {{60.2574, -34.0099, 36.2677}, {60.4626, -34.1751, 39.4387}, 1.2644, 3.1819, 1.3910},
    {{63.0109, -31.0961, -5.8663}, {62.8187, -29.7946, -4.0864}, 1.2630, 2.2133, 1.2481},
    {{61.2901, 3.7196, -5.3901}, {61.4292, 2.2480, -4.9620}, 1.8731, 1.5389, 1.2980},
    {{35.0831, -44.1164, 3.7933}, {35.0232, -40.0716, 1.5901}, 1.8645, 4.6063, 1.8205},
    {{22.7233, 20.0904, -46.6940}, {23.0331, 14.9730, -42.5619}, 2.0373, 6.5847, 2.5561},
    {{36.4612, 47.8580, 18.3852}, {36.2715, 50.5065, 21.2231}, 1.4146, 3.8864, 1.4249},
    {{90.8027, -2.0831, 1.4410}, {91.1528, -1.6435, 0.0447}, 1.4441, 1.5051, 1.4195},
    {{90.9257, -0.5406, -0.9208}, {88.6381, -0.8985, -0.7239}, 1.5381, 2.3238, 2.3226},
    {{6.7747, -0.2908, -2.4247}, {5.8714, -0.0985, -2.2286}, 0.6377, 0.9441, 0.9385},
    {{2.0776, 0.0795, -1.1350}, {0.9033, -0.0636, -0.5514}, 0.9082, 1.3191, 1.3065},
};

TEST(difference, the_34_published_pairs_within_half_their_last_digit) {
    for (const Pair& pair : pairs) {
        SCOPED_TRACE(testing::Message() << "pair " << &pair - pairs + 1);
        EXPECT_NEAR(delta_e_2000(pair.first, pair.second), pair.de00, 5e-5);
        EXPECT_NEAR(delta_e_2000(pair.second, pair.first), pair.de00, 5e-5);
        EXPECT_NEAR(delta_e_76(pair.first, pair.second), pair.de76, 5.1e-5);
        EXPECT_NEAR(delta_e_94(pair.first, pair.second), pair.de94, 5.1e-5);
    }
    EXPECT_EQ(std::size(pairs), 34U);
}

// Values from the tests of the colour-science library (test_delta_e.py), eight decimals.
TEST(difference, far_pairs_of_the_colour_science_tests) {
    const Lab standard{100, 21.57210357, 272.22819350};
    const Lab first{100, 426.67945353, 72.39590835};
    const Lab second{100, 74.05216981, 276.45318193};
    const Lab third{100, 8.32281957, -73.58297716};
    EXPECT_NEAR(delta_e_76(standard, first), 451.7133020, 1e-6);
    EXPECT_NEAR(delta_e_94(standard, first), 83.779225501, 1e-6);
    EXPECT_NEAR(delta_e_2000(standard, first), 94.03564903, 1e-6);
    EXPECT_NEAR(delta_e_94(standard, second), 10.053931955, 1e-6);
    EXPECT_NEAR(delta_e_2000(standard, second), 14.87906419, 1e-6);
    EXPECT_NEAR(delta_e_94(standard, third), 57.535453707, 1e-6);
    // That library leaves the mean of these two hues at 361 degrees; Sharma, Wu, Dalal (equation 14) bring it
    // to 1, which changes the fourth decimal at this distance.
    EXPECT_NEAR(delta_e_2000(standard, third), 68.23094879, 2e-4);
}

TEST(difference, of_a_colour_to_itself_is_zero) {
    const Lab colour{41.5, -20.25, 63.125};
    EXPECT_EQ(delta_e_2000(colour, colour), 0);
    EXPECT_EQ(delta_e_76(colour, colour), 0);
    EXPECT_EQ(delta_e_94(colour, colour), 0);
}

Xyz white_of(double x, double y) { return {x / y, 1, (1 - x - y) / y}; }

// Values from the tests of the colour-science library (test_cie_lab.py).
TEST(lab, published_values_under_d65_d50_and_a) {
    const Xyz d65 = white_of(0.31270, 0.32900);
    const struct {
        Xyz colour;
        Xyz white;
        Lab lab;
    } cases[] = {
        {{0.20654008, 0.12197225, 0.05136952}, d65, {41.52787529, 52.63858304, 26.92317922}},
        {{0.14222010, 0.23042768, 0.10495772}, d65, {55.11636304, -41.08791787, 30.91825778}},
        {{0.07818780, 0.06157201, 0.28099326}, d65, {29.80565520, 20.01830466, -48.34913874}},
        {{0.20654008, 0.12197225, 0.05136952}, white_of(0.34570, 0.35850), {41.52787529, 51.19354174, 19.91843098}},
        {{0.20654008, 0.12197225, 0.05136952}, white_of(0.44757, 0.40745), {41.52787529, 38.48089305, -5.73295122}},
    };
    for (const auto& each : cases) {
        const Lab found = lab_from_xyz(each.colour, each.white);
        EXPECT_NEAR(found.lightness, each.lab.lightness, 1e-7);
        EXPECT_NEAR(found.a, each.lab.a, 1e-7);
        EXPECT_NEAR(found.b, each.lab.b, 1e-7);
    }
}

// Computed from the definition in double precision, five decimals.
TEST(lab, greys_on_both_sides_of_the_straight_part) {
    const struct {
        double y;
        double lightness;
    } greys[] = {{0.18418652, 50}, {0.18, 49.49611}, {0.5, 76.06926}, {0.01, 8.99144}, {0.001, 0.90330}};
    for (const auto& grey : greys) {
        const Lab found = lab_from_xyz({d50.x * grey.y, grey.y, d50.z * grey.y});
        EXPECT_NEAR(found.lightness, grey.lightness, 1e-5);
        EXPECT_NEAR(found.a, 0, 1e-9);
        EXPECT_NEAR(found.b, 0, 1e-9);
    }
    EXPECT_NEAR(luminance_of(5), 0.005535, 1e-6);
    EXPECT_NEAR(luminance_of(80), 0.566813, 1e-6);
    EXPECT_NEAR(luminance_of(95), 0.876183, 1e-6);
}

TEST(lab, and_back_to_xyz) {
    for (double lightness = 0; lightness <= 100; lightness += 4) {
        for (double a = -120; a <= 120; a += 24) {
            const Lab colour{lightness, a, 30 - a / 2};
            const Lab again = lab_from_xyz(xyz_from_lab(colour));
            EXPECT_NEAR(delta_e_76(colour, again), 0, 1e-9);
        }
    }
}

// Computed from the primaries in double precision. 0.1 is allowed for: a profile holds its matrix rounded to
// 1/65536 and its white as 0.9642, 1, 0.8249.
TEST(lab_reader, primaries_and_mixtures_of_srgb_and_adobe_rgb) {
    const struct {
        std::array<float, 3> rgb;
        Lab srgb;
        Lab adobe_rgb;
    } colours[] = {
        {{255, 0, 0}, {54.2896, 80.8144, 69.8897}, {62.6014, 90.3707, 78.1543}},
        {{0, 255, 0}, {87.8194, -79.2749, 80.9927}, {83.2143, -129.0927, 87.1696}},
        {{0, 0, 255}, {29.5659, 68.2862, -112.0329}, {30.2089, 69.2497, -113.6137}},
        {{128, 128, 128}, {53.5850, 0, 0}, {53.9886, 0, 0}},
        {{64, 128, 192}, {51.6225, -5.2447, -40.2712}, {50.2359, -14.1139, -44.6374}},
        {{200, 150, 100}, {66.1264, 14.9992, 33.9499}, {68.4010, 21.2357, 38.7836}},
    };
    const LabReader srgb(Profile::srgb());
    const LabReader adobe_rgb(Profile::adobe_rgb());
    for (const auto& each : colours) {
        const std::array rgb{each.rgb[0] / 255, each.rgb[1] / 255, each.rgb[2] / 255};
        EXPECT_NEAR(delta_e_76(srgb.lab(rgb), each.srgb), 0, 0.1);
        EXPECT_NEAR(delta_e_76(adobe_rgb.lab(rgb), each.adobe_rgb), 0, 0.1);
    }
}

}  // namespace
}  // namespace hangtrue::colour

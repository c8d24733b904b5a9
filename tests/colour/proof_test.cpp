// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/proof.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>

#include "engine/base/error.h"
#include "engine/colour/cgats.h"
#include "engine/colour/print_gamut.h"
#include "tests/colour/made_profiles.h"
#include "tests/support/sanitized.h"

namespace hangtrue::colour {
namespace {

std::vector<float> proofed(const Proof& proof, const std::vector<float>& colours) {
    OwnPlanes planes(colours);
    proof.apply({planes.red, planes.green, planes.blue});
    return planes.interleaved();
}

struct Off {
    double mean = 0;
    double largest = 0;
};

Off difference(const std::vector<float>& first, const std::vector<float>& second, const Profile& screen) {
    const LabReader reader(screen);
    Off off;
    const std::size_t count = first.size() / 3;
    for (std::size_t i = 0; i < count; ++i) {
        const auto lab = [&](const std::vector<float>& from) {
            return reader.lab({from[3 * i], from[3 * i + 1], from[3 * i + 2]});
        };
        const double step = delta_e_2000(lab(first), lab(second));
        off.mean += step / static_cast<double>(count);
        off.largest = std::max(off.largest, step);
    }
    return off;
}

/// Little CMS's own proofing transform, by its exact path.
std::vector<float> little_cms(const Profile& file, const Profile& print, const Profile& screen, int intent,
                              bool black_point, int proof_intent, const std::vector<float>& colours) {
    const auto open = [](const Profile& profile) {
        return cmsOpenProfileFromMem(profile.bytes().data(), static_cast<cmsUInt32Number>(profile.bytes().size()));
    };
    const cmsHPROFILE in = open(file);
    const cmsHPROFILE out = open(screen);
    const cmsHPROFILE proof = open(print);
    const cmsUInt32Number flags =
        cmsFLAGS_SOFTPROOFING | cmsFLAGS_NOOPTIMIZE | (black_point ? cmsFLAGS_BLACKPOINTCOMPENSATION : 0);
    const cmsHTRANSFORM transform =
        cmsCreateProofingTransform(in, TYPE_RGB_FLT, out, TYPE_RGB_FLT, proof, static_cast<cmsUInt32Number>(intent),
                                   static_cast<cmsUInt32Number>(proof_intent), flags);
    std::vector<float> result(colours.size());
    cmsDoTransform(transform, colours.data(), result.data(), static_cast<cmsUInt32Number>(colours.size() / 3));
    for (float& value : result) value = std::clamp(value, 0.0F, 1.0F);
    cmsDeleteTransform(transform);
    for (const cmsHPROFILE profile : {in, out, proof}) cmsCloseProfile(profile);
    return result;
}

void expect_like_little_cms(const Profile& file, const Profile& print, const Profile& screen) {
    struct Way {
        Intent intent;
        int theirs;
    };
    const std::vector<float> colours = cube_of(11);
    for (const Way way : {Way{Intent::relative_colorimetric, INTENT_RELATIVE_COLORIMETRIC},
                          {Intent::perceptual, INTENT_PERCEPTUAL},
                          {Intent::absolute_colorimetric, INTENT_ABSOLUTE_COLORIMETRIC}}) {
        for (const bool black_point : {true, false}) {
            for (const bool paper_white : {true, false}) {
                const ProofSettings settings{
                    .paper_white = paper_white, .paper_black = true, .printing = {way.intent, black_point}};
                const Proof proof(file, print, screen, settings);
                const Off off = difference(
                    proofed(proof, colours),
                    little_cms(file, print, screen, way.theirs, black_point,
                               paper_white ? INTENT_ABSOLUTE_COLORIMETRIC : INTENT_RELATIVE_COLORIMETRIC, colours),
                    screen);
                EXPECT_LE(off.largest, 0.5)
                    << way.theirs << ' ' << black_point << ' ' << paper_white << ", mean " << off.mean;
            }
        }
    }
}

TEST(proof, of_an_rgb_print_profile_is_little_cms_proofing_transform) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    expect_like_little_cms(Profile::srgb(), made_print_condition(), Profile::srgb());
    expect_like_little_cms(Profile::adobe_rgb(), made_print_condition(), colord("sRGB"));
}

// A real press's profile, version 2, CMYK with look-up tables; of Debian's libgs-common.
TEST(proof, of_a_cmyk_print_profile_is_little_cms_proofing_transform) {
    if (support::is_sanitized) GTEST_SKIP() << support::leaves_figures_to_others;
    const std::filesystem::path file = "/usr/share/color/icc/ghostscript/default_cmyk.icc";
    if (!std::filesystem::exists(file)) GTEST_SKIP() << file << " is not installed";
    expect_like_little_cms(Profile::srgb(), Profile::from_bytes(bytes_of_file(file), file), Profile::srgb());
}

/// The published table of a print condition, its full grid of C, M and Y without K.
struct PublishedGrid {
    std::vector<double> steps;
    std::map<std::array<double, 3>, Xyz> values;  ///< Y = 1 for the perfect diffuser.
    Xyz paper() const { return values.at({0, 0, 0}); }
};

PublishedGrid published_grid(const std::string& name) {
    const CgatsTable table = read_cgats("/usr/share/color/icc/" + name + ".ti3");
    const auto c = table.numbers("CMYK_C");
    const auto m = table.numbers("CMYK_M");
    const auto y = table.numbers("CMYK_Y");
    const auto k = table.numbers("CMYK_K");
    const auto lab = table.lab_values();
    PublishedGrid grid;
    std::map<double, int> cyans;
    for (std::size_t i = 0; i < lab.size(); ++i) {
        if (k[i] != 0) continue;
        grid.values[{c[i], m[i], y[i]}] = xyz_from_lab(lab[i]);
        ++cyans[c[i]];
    }
    const auto is_whole = [&](double step) {
        for (const auto& [other, count] : cyans) {
            if (count >= 9 * 9 &&
                (!grid.values.contains({step, other, 0}) || !grid.values.contains({0, step, other}))) {
                return false;
            }
        }
        return cyans[step] >= 36;
    };
    for (const auto& [step, count] : cyans) {
        if (count >= 36 && is_whole(step)) grid.steps.push_back(step);
    }
    return grid;
}

/// An RGB profile of that condition, RGB being 100 % less C, M and Y: each of the grid's patches is a node.
Profile profile_of(const PublishedGrid& grid) {
    const cmsHPROFILE profile = cmsCreateProfilePlaceholder(nullptr);
    cmsSetProfileVersion(profile, 2.1);
    cmsSetDeviceClass(profile, cmsSigOutputClass);
    cmsSetColorSpace(profile, cmsSigRgbData);
    cmsSetPCS(profile, cmsSigLabData);
    cmsMLU* text = cmsMLUalloc(nullptr, 1);
    cmsMLUsetASCII(text, "en", "US", "Published print condition");
    cmsWriteTag(profile, cmsSigProfileDescriptionTag, text);
    cmsMLUfree(text);
    const Xyz paper = grid.paper();
    const cmsCIEXYZ white{paper.x, paper.y, paper.z};
    cmsWriteTag(profile, cmsSigMediaWhitePointTag, &white);
    // RGB to the place between the grid's uneven steps, then the grid.
    const std::size_t count = grid.steps.size();
    constexpr std::size_t curve_size = 4096;
    std::vector<cmsUInt16Number> place(curve_size);
    for (std::size_t i = 0; i < curve_size; ++i) {
        const double dots = 100 - 100.0 * static_cast<double>(i) / (curve_size - 1);
        std::size_t left = 0;
        while (left + 2 < count && dots > grid.steps[left + 1]) ++left;
        const double share = (dots - grid.steps[left]) / (grid.steps[left + 1] - grid.steps[left]);
        place[i] = static_cast<cmsUInt16Number>(
            std::lround(65535 * (static_cast<double>(left) + share) / static_cast<double>(count - 1)));
    }
    cmsToneCurve* curve = cmsBuildTabulatedToneCurve16(nullptr, curve_size, place.data());
    cmsToneCurve* curves[] = {curve, curve, curve};
    cmsPipeline* pipeline = cmsPipelineAlloc(nullptr, 3, 3);
    cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(nullptr, 3, curves));
    std::vector<cmsUInt16Number> nodes;
    for (const double c : grid.steps) {
        for (const double m : grid.steps) {
            for (const double y : grid.steps) {
                const Xyz xyz = grid.values.at({c, m, y});
                const Lab lab =
                    lab_from_xyz({xyz.x * d50.x / paper.x, xyz.y * d50.y / paper.y, xyz.z * d50.z / paper.z});
                const cmsCIELab theirs{lab.lightness, lab.a, lab.b};
                cmsUInt16Number encoded[3];
                cmsFloat2LabEncodedV2(encoded, &theirs);
                nodes.insert(nodes.end(), encoded, encoded + 3);
            }
        }
    }
    cmsPipelineInsertStage(pipeline, cmsAT_END,
                           cmsStageAllocCLut16bit(nullptr, static_cast<cmsUInt32Number>(count), 3, 3, nodes.data()));
    cmsWriteTag(profile, cmsSigAToB0Tag, pipeline);
    cmsLinkTag(profile, cmsSigAToB1Tag, cmsSigAToB0Tag);
    cmsPipelineFree(pipeline);
    cmsFreeToneCurve(curve);
    cmsUInt32Number size = 0;
    cmsSaveProfileToMem(profile, nullptr, &size);
    std::vector<std::byte> bytes(size);
    cmsSaveProfileToMem(profile, bytes.data(), &size);
    cmsCloseProfile(profile);
    return Profile::from_bytes(bytes, "the published print condition");
}

// Solids and overprints of ISO 12647-2:2004/Amd 1, coated paper, as the characterisation data FOGRA39L has them (D50, 2
// degrees, white backing).
TEST(proof, shows_paper_and_primaries_of_fogra39_as_published) {
    const Profile print = profile_of(published_grid("FOGRA39L"));
    const Profile screen = Profile::romm_form();  // A screen that holds them all.
    const Proof proof(print, print, screen);
    const LabReader reader(screen);
    struct Solid {
        std::array<float, 3> rgb;
        Lab published;
    };
    for (const Solid& solid : {
             Solid{{1, 1, 1}, {95, 0, -2}},
             Solid{{0, 1, 1}, {55, -37, -50}},
             Solid{{1, 0, 1}, {48, 74, -3}},
             Solid{{1, 1, 0}, {89, -5, 93}},
             Solid{{1, 0, 0}, {47, 68, 48}},
             Solid{{0, 1, 0}, {50, -65, 27}},
             Solid{{0, 0, 1}, {24, 22, -46}},
         }) {
        EXPECT_LE(delta_e_2000(proof.printed(solid.rgb), solid.published), 0.5);
        const std::vector<float> shown = proofed(proof, {solid.rgb.begin(), solid.rgb.end()});
        const Lab seen = reader.lab({shown[0], shown[1], shown[2]});
        EXPECT_LE(delta_e_2000(seen, solid.published), 0.5)
            << seen.lightness << ' ' << seen.a << ' ' << seen.b << " for " << solid.published.lightness;
    }
    EXPECT_LE(delta_e_2000(proof.paper(), {95, 0, -2}), 0.05);
}

TEST(proof, without_paper_white_and_black_ends_in_the_screens_own) {
    const Profile print = made_print_condition();
    const Proof proof(Profile::srgb(), print, Profile::srgb(), {.paper_white = false, .paper_black = false});
    const std::vector<float> ends = proofed(proof, {1, 1, 1, 0, 0, 0});
    for (std::size_t i = 0; i < 3; ++i) {
        EXPECT_EQ(ends[i], 1);
        EXPECT_NEAR(ends[3 + i], 0, 0.004);  // The printer's table is as good at black.
    }
    const Proof with_both(Profile::srgb(), print, Profile::srgb());
    const Lab paper = with_both.printed({1, 1, 1});
    // The profile's table from Lab has no node at white itself: 0.3 under it.
    EXPECT_NEAR(paper.lightness, lab_from_xyz({0.82, 0.86, 0.72}).lightness, 0.4);
    // Its darkest has 0.0127 of the paper's light, which is 0.86 of the diffuser's; Little CMS fits a black point of
    // its own to the profile, which lies a little higher.
    EXPECT_NEAR(with_both.printed({0, 0, 0}).lightness, lab_from_xyz({0, 0.0127 * 0.86, 0}).lightness, 0.8);
}

TEST(proof, of_a_measured_print_shows_the_corrected_file_as_the_picture_on_its_paper) {
    const MeasuredPrint print{{94, 0.5, -3}, {9, 0, 0}, correction_of({6, -3, 2, 0.08})};
    const Profile screen = Profile::romm_form();
    const Proof proof(Profile::srgb(), print, screen);
    EXPECT_FALSE(proof.knows_gamut());
    const Conversion correcting(WorkingForm(Profile::srgb(), SourceModel::rgb, "dawn.tif"), Profile::srgb(), {},
                                {.correction = &print.correction});
    const LabReader picture_reader(Profile::srgb());
    const LabReader screen_reader(screen);
    const Xyz paper = xyz_from_lab(print.paper);
    const double black = xyz_from_lab(print.black).y;
    for (const std::array<float, 3> colour :
         {std::array<float, 3>{0.5F, 0.5F, 0.5F}, {0.2F, 0.25F, 0.3F}, {0.7F, 0.55F, 0.5F}, {1, 1, 1}}) {
        OwnPlanes planes({colour[0], colour[1], colour[2]});
        correcting.apply({planes.red, planes.green, planes.blue});
        proof.apply({planes.red, planes.green, planes.blue});
        const Lab seen = screen_reader.lab({planes.red[0], planes.green[0], planes.blue[0]});
        // The picture's own colour, its black as light as the print's, on that paper: by hand.
        const Xyz picture = xyz_from_lab(picture_reader.lab(colour));
        const auto on = [black](double value, double white, double paper_light) {
            return (black + (1 - black) * value / white) * paper_light;
        };
        const Lab expected =
            lab_from_xyz({on(picture.x, d50.x, paper.x), on(picture.y, d50.y, paper.y), on(picture.z, d50.z, paper.z)});
        EXPECT_LE(delta_e_2000(seen, expected), 0.5) << colour[0];
    }
}

TEST(proof, finds_what_the_print_cannot_hold_and_nothing_else) {
    const Proof proof(Profile::adobe_rgb(), made_print_condition(), Profile::srgb());
    ASSERT_TRUE(proof.knows_gamut());
    std::vector<float> red{0.5F, 0.0F, 0.1F, 1.0F, 0.55F};
    std::vector<float> green{0.5F, 1.0F, 0.1F, 1.0F, 0.5F};
    std::vector<float> blue{0.5F, 0.0F, 0.1F, 1.0F, 0.45F};
    std::vector<float> off(red.size());
    proof.outside({red, green, blue}, off);
    EXPECT_LT(off[0], 1);            // Grey.
    EXPECT_GT(off[1], gamut_limit);  // The greenest that the file can hold.
    EXPECT_LT(off[2], gamut_limit);  // Dark: its black is taken for black.
    EXPECT_LT(off[3], 1);
    EXPECT_LT(off[4], 1);
    EXPECT_EQ(green[1], 1);  // What was asked of is left alone.
}

TEST(proof, of_a_profile_that_is_no_prints_is_refused_in_words) {
    EXPECT_THROW(Proof(Profile::srgb(), Profile::lab(), Profile::srgb()), base::UnreadableInput);
}

}  // namespace
}  // namespace hangtrue::colour

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Profiles for tests: those of Debian's packages by name, and a print condition with tables, made in code.

#include <gtest/gtest.h>
#include <lcms2.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "engine/base/output_file.h"
#include "engine/colour/profile.h"

namespace hangtrue::colour {

inline std::vector<std::byte> bytes_of_file(const std::filesystem::path& file) {
    const std::string text = base::read_whole_file(file, 10'000'000);
    const auto bytes = std::as_bytes(std::span(text));
    return {bytes.begin(), bytes.end()};
}

/// From colord-data; a test fails where that is not installed.
inline Profile colord(const std::string& name) {
    const std::filesystem::path file = "/usr/share/color/icc/colord/" + name + ".icc";
    return Profile::from_bytes(bytes_of_file(file), file);
}

/// From icc-profiles-free; a test fails where that is not installed.
inline Profile icc_profiles_free(const std::string& name) {
    const std::filesystem::path file = "/usr/share/color/icc/" + name + ".icc";
    return Profile::from_bytes(bytes_of_file(file), file);
}

/// Little CMS's exact path, set up apart from the engine: floats in, floats out, no optimisation.
class Reference {
  public:
    Reference(const Profile& from, const Profile& to, int intent = INTENT_RELATIVE_COLORIMETRIC,
              cmsUInt32Number flags = cmsFLAGS_BLACKPOINTCOMPENSATION) {
        const cmsHPROFILE source = open(from);
        const cmsHPROFILE destination = open(to);
        m_transform = cmsCreateTransform(source, TYPE_RGB_FLT, destination, TYPE_RGB_FLT,
                                         static_cast<cmsUInt32Number>(intent), flags | cmsFLAGS_NOOPTIMIZE);
        cmsCloseProfile(source);
        cmsCloseProfile(destination);
    }
    ~Reference() { cmsDeleteTransform(m_transform); }
    Reference(const Reference&) = delete;
    Reference& operator=(const Reference&) = delete;

    std::vector<float> operator()(const std::vector<float>& interleaved) const {
        std::vector<float> out(interleaved.size());
        cmsDoTransform(m_transform, interleaved.data(), out.data(),
                       static_cast<cmsUInt32Number>(interleaved.size() / 3));
        for (float& value : out) {
            value = std::clamp(value, 0.0F, 1.0F);
        }
        return out;
    }

  private:
    static cmsHPROFILE open(const Profile& profile) {
        return cmsOpenProfileFromMem(profile.bytes().data(), static_cast<cmsUInt32Number>(profile.bytes().size()));
    }
    cmsHTRANSFORM m_transform;
};

/// A smooth printer: three inks that mix like weak lights, a black of L* 11, some ink that leaks into the
/// other channels. Media relative, so its white is 100, 0, 0.
struct PrinterModel {
    static constexpr double black = 0.0127;
    static constexpr double gamma = 1.9;
    static constexpr std::array<std::array<double, 3>, 3> matrix{
        {{0.4400, 0.3400, 0.1842}, {0.2600, 0.6400, 0.1000}, {0.0300, 0.1200, 0.6749}}};

    static cmsCIELab lab(const std::array<double, 3>& rgb) {
        std::array<double, 3> xyz{};
        constexpr std::array white{0.9642, 1.0, 0.8249};
        for (std::size_t row = 0; row < 3; ++row) {
            for (std::size_t c = 0; c < 3; ++c) {
                xyz[row] += matrix[row][c] * std::pow(rgb[c], gamma);
            }
            xyz[row] = black * white[row] + (1 - black) * xyz[row];
        }
        const cmsCIEXYZ in{xyz[0], xyz[1], xyz[2]};
        cmsCIELab out;
        cmsXYZ2Lab(nullptr, &out, &in);
        return out;
    }

    static std::array<double, 3> rgb(const cmsCIELab& colour) {
        cmsCIEXYZ xyz;
        cmsLab2XYZ(nullptr, &xyz, &colour);
        const std::array in{(xyz.X - black * 0.9642) / (1 - black), (xyz.Y - black) / (1 - black),
                            (xyz.Z - black * 0.8249) / (1 - black)};
        // Cramer's rule, the slow and plain way.
        const auto determinant = [](const std::array<std::array<double, 3>, 3>& m) {
            return m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) -
                   m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0]) +
                   m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
        };
        std::array<double, 3> out{};
        for (std::size_t c = 0; c < 3; ++c) {
            auto replaced = matrix;
            for (std::size_t row = 0; row < 3; ++row) {
                replaced[row][c] = in[row];
            }
            const double linear = determinant(replaced) / determinant(matrix);
            out[c] = std::pow(std::clamp(linear, 0.0, 1.0), 1 / gamma);
        }
        return out;
    }
};

inline cmsInt32Number sample_to_lab(const cmsUInt16Number in[], cmsUInt16Number out[], void* /*cargo*/) {
    const cmsCIELab lab = PrinterModel::lab({in[0] / 65535.0, in[1] / 65535.0, in[2] / 65535.0});
    cmsFloat2LabEncodedV2(out, &lab);
    return TRUE;
}

inline cmsInt32Number sample_to_rgb(const cmsUInt16Number in[], cmsUInt16Number out[], void* /*cargo*/) {
    cmsCIELab lab;
    cmsLabEncoded2FloatV2(&lab, in);
    const std::array<double, 3> rgb = PrinterModel::rgb(lab);
    for (std::size_t c = 0; c < 3; ++c) {
        out[c] = static_cast<cmsUInt16Number>(std::lround(65535 * rgb[c]));
    }
    return TRUE;
}

/// An RGB printer profile, version 2, with 33^3 look-up tables both ways.
inline Profile made_print_condition() {
    const cmsHPROFILE profile = cmsCreateProfilePlaceholder(nullptr);
    cmsSetProfileVersion(profile, 2.1);
    cmsSetDeviceClass(profile, cmsSigOutputClass);
    cmsSetColorSpace(profile, cmsSigRgbData);
    cmsSetPCS(profile, cmsSigLabData);
    cmsMLU* text = cmsMLUalloc(nullptr, 1);
    cmsMLUsetASCII(text, "en", "US", "Made print condition");
    cmsWriteTag(profile, cmsSigProfileDescriptionTag, text);
    cmsMLUfree(text);
    const cmsCIEXYZ paper{0.82, 0.86, 0.72};
    cmsWriteTag(profile, cmsSigMediaWhitePointTag, &paper);
    const auto write = [profile](cmsSAMPLER16 sampler, cmsTagSignature first, cmsTagSignature second) {
        cmsPipeline* pipeline = cmsPipelineAlloc(nullptr, 3, 3);
        cmsStage* table = cmsStageAllocCLut16bit(nullptr, 33, 3, 3, nullptr);
        cmsStageSampleCLut16bit(table, sampler, nullptr, 0);
        cmsPipelineInsertStage(pipeline, cmsAT_BEGIN, table);
        cmsWriteTag(profile, first, pipeline);
        cmsLinkTag(profile, second, first);
        cmsPipelineFree(pipeline);
    };
    write(sample_to_lab, cmsSigAToB0Tag, cmsSigAToB1Tag);
    write(sample_to_rgb, cmsSigBToA0Tag, cmsSigBToA1Tag);
    cmsUInt32Number size = 0;
    cmsSaveProfileToMem(profile, nullptr, &size);
    std::vector<std::byte> bytes(size);
    cmsSaveProfileToMem(profile, bytes.data(), &size);
    cmsCloseProfile(profile);
    return Profile::from_bytes(bytes, "the made print condition");
}

/// Planes of floats that own their values.
struct OwnPlanes {
    std::vector<float> red;
    std::vector<float> green;
    std::vector<float> blue;

    explicit OwnPlanes(std::size_t count) : red(count), green(count), blue(count) {}
    explicit OwnPlanes(const std::vector<float>& interleaved) : OwnPlanes(interleaved.size() / 3) {
        for (std::size_t i = 0; i < red.size(); ++i) {
            red[i] = interleaved[3 * i];
            green[i] = interleaved[3 * i + 1];
            blue[i] = interleaved[3 * i + 2];
        }
    }
    std::vector<float> interleaved() const {
        std::vector<float> out;
        for (std::size_t i = 0; i < red.size(); ++i) {
            out.insert(out.end(), {red[i], green[i], blue[i]});
        }
        return out;
    }
};

/// All mixtures of `steps` levels a channel, interleaved.
inline std::vector<float> cube_of(int steps) {
    std::vector<float> colours;
    for (int red = 0; red < steps; ++red) {
        for (int green = 0; green < steps; ++green) {
            for (int blue = 0; blue < steps; ++blue) {
                for (const int step : {red, green, blue}) {
                    colours.push_back(static_cast<float>(step) / static_cast<float>(steps - 1));
                }
            }
        }
    }
    return colours;
}

}  // namespace hangtrue::colour

// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "engine/colour/icc_bytes.h"
#include "engine/colour/matrix_model.h"
#include "engine/colour/profile.h"

namespace hangtrue::colour {

namespace {

constexpr std::array red_green_blue_curves{signature("rTRC"), signature("gTRC"), signature("bTRC")};
constexpr std::array pcs_white{0.9642, 1.0, 0.8249};

void add_texts(IccWriter& writer, const std::string& description) {
    writer.add_text_description(signature("desc"), description);
    writer.add_text(signature("cprt"), "No copyright, use freely.");
}

// The columns are the colorants, against D50; the third of each row is what is missing to the PCS white, so
// that white is white to the last bit of the file's fixed point.
void add_colorants(IccWriter& writer, const Matrix3& to_xyz) {
    constexpr std::array names{signature("rXYZ"), signature("gXYZ"), signature("bXYZ")};
    std::array<std::array<double, 3>, 3> columns{};
    for (std::size_t row = 0; row < 3; ++row) {
        double missing = std::round(pcs_white[row] * 65536) / 65536;
        for (std::size_t channel = 0; channel < 2; ++channel) {
            columns[channel][row] = std::round(to_xyz[row][channel] * 65536) / 65536;
            missing -= columns[channel][row];
        }
        columns[2][row] = missing;
    }
    for (std::size_t channel = 0; channel < 3; ++channel) {
        writer.add_xyz(names[channel], columns[channel]);
    }
}

// 1024 steps are what version 2 profiles of sRGB customarily hold.
std::vector<std::uint16_t> srgb_table() {
    std::vector<std::uint16_t> table(1024);
    const ToneCurve curve = ToneCurve::srgb();
    for (std::size_t i = 0; i < table.size(); ++i) {
        const double encoded = static_cast<double>(i) / static_cast<double>(table.size() - 1);
        table[i] = static_cast<std::uint16_t>(std::lround(65535 * curve.to_linear(encoded)));
    }
    return table;
}

// IEC 61966-2-1 primaries and D65, adapted to the PCS white by linearised Bradford (ICC.1:2010, annex E).
constexpr Matrix3 srgb_to_xyz{
    {{0.4360413, 0.3851129, 0.1430458}, {0.2224845, 0.7169051, 0.0606104}, {0.0139202, 0.0970672, 0.7139126}}};
// Adobe RGB (1998), 4.3.1, adapted likewise.
constexpr Matrix3 adobe_rgb_to_xyz{
    {{0.6097408, 0.2052726, 0.1491867}, {0.3111125, 0.6256751, 0.0632123}, {0.0194654, 0.0608745, 0.7445601}}};
// ISO 22028-2, white D50 by definition.
constexpr Matrix3 romm_to_xyz{{{0.7977, 0.1352, 0.0313}, {0.2880, 0.7119, 0.0001}, {0, 0, 0.8249}}};

constexpr std::array d65{0.95047, 1.0, 1.08883};

Profile built(const IccWriter& writer, std::uint32_t profile_class, std::uint32_t colour_space,
              std::uint32_t connection_space = signature("XYZ ")) {
    return Profile::from_bytes(writer.finish(profile_class, colour_space, connection_space), "the program");
}

Profile make_srgb() {
    IccWriter writer;
    add_texts(writer, "sRGB IEC61966-2.1");
    writer.add_xyz(signature("wtpt"), d65);
    add_colorants(writer, srgb_to_xyz);
    writer.add_table(red_green_blue_curves, srgb_table());
    return built(writer, signature("mntr"), signature("RGB "));
}

Profile make_adobe_rgb() {
    IccWriter writer;
    add_texts(writer, "Adobe RGB (1998) compatible");
    writer.add_xyz(signature("wtpt"), d65);
    add_colorants(writer, adobe_rgb_to_xyz);
    writer.add_gamma(red_green_blue_curves, 563.0 / 256);
    return built(writer, signature("mntr"), signature("RGB "));
}

Profile make_srgb_grey() {
    IccWriter writer;
    add_texts(writer, "Grey with the sRGB curve");
    writer.add_xyz(signature("wtpt"), pcs_white);
    writer.add_table(std::array{signature("kTRC")}, srgb_table());
    return built(writer, signature("mntr"), signature("GRAY"));
}

Profile make_romm_form() {
    IccWriter writer;
    add_texts(writer, "ROMM primaries with the sRGB curve");
    writer.add_xyz(signature("wtpt"), pcs_white);
    add_colorants(writer, romm_to_xyz);
    writer.add_table(red_green_blue_curves, srgb_table());
    return built(writer, signature("mntr"), signature("RGB "));
}

Profile make_lab() {
    IccWriter writer;
    add_texts(writer, "CIELAB D50");
    writer.add_xyz(signature("wtpt"), pcs_white);
    writer.add_identity_lut(std::array{signature("A2B0"), signature("B2A0")});
    return built(writer, signature("spac"), signature("Lab "), signature("Lab "));
}

}  // namespace

Profile Profile::srgb() {
    static const Profile profile = make_srgb();
    return profile;
}

Profile Profile::adobe_rgb() {
    static const Profile profile = make_adobe_rgb();
    return profile;
}

Profile Profile::srgb_grey() {
    static const Profile profile = make_srgb_grey();
    return profile;
}

Profile Profile::romm_form() {
    static const Profile profile = make_romm_form();
    return profile;
}

Profile Profile::lab() {
    static const Profile profile = make_lab();
    return profile;
}

}  // namespace hangtrue::colour

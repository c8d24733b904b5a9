// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/colour/print_gamut.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {
namespace {

constexpr double much_not_held = 0.01;
/// A share of samples that chance and noise do not bring about.
constexpr double much_imaginary = 0.001;
/// Darker colours have no chromaticity to speak of.
constexpr double least_luminance = 0.01;

struct Chromaticity {
    double x, y;
};
/// The spectral locus of the CIE 1931 observer (CIE 15), 380 to 700 nm; closed by the line of purples.
constexpr std::array<Chromaticity, 24> spectral_locus{
    {{0.1741, 0.0050}, {0.1714, 0.0051}, {0.1644, 0.0109}, {0.1566, 0.0177}, {0.1440, 0.0297}, {0.1241, 0.0578},
     {0.0913, 0.1327}, {0.0687, 0.2007}, {0.0454, 0.2950}, {0.0235, 0.4127}, {0.0082, 0.5384}, {0.0139, 0.7502},
     {0.0743, 0.8338}, {0.1547, 0.8059}, {0.2296, 0.7543}, {0.3016, 0.6923}, {0.3731, 0.6245}, {0.4441, 0.5547},
     {0.5125, 0.4866}, {0.5752, 0.4242}, {0.6270, 0.3725}, {0.6658, 0.3340}, {0.7079, 0.2920}, {0.7347, 0.2653}}};
/// Outside by more than this: what lies between the table's points does not count.
constexpr double locus_margin = 0.01;

/// How far outside the locus, which is convex: the largest distance beyond one of its sides.
double beyond_locus(Chromaticity colour) {
    double outermost = -1;
    for (std::size_t i = 0; i < spectral_locus.size(); ++i) {
        const Chromaticity& a = spectral_locus[i];
        const Chromaticity& b = spectral_locus[(i + 1) % spectral_locus.size()];
        const double length = std::hypot(b.x - a.x, b.y - a.y);
        // The points run clockwise: outside is to the left.
        const double beyond = ((b.x - a.x) * (colour.y - a.y) - (b.y - a.y) * (colour.x - a.x)) / length;
        outermost = std::max(outermost, beyond);
    }
    return outermost;
}

bool is_imaginary(colour::Lab lab) {
    const colour::Xyz xyz = colour::xyz_from_lab(lab);
    const double sum = xyz.x + xyz.y + xyz.z;
    return xyz.y > least_luminance && sum > 0 && beyond_locus({xyz.x / sum, xyz.y / sum}) > locus_margin;
}

/// Of differences (dE00), those beyond the limit: their share, the one that 95 % of them do not pass, and where.
struct NotHeld {
    double share = 0;
    double far = 0;
    Mask where;
};
template <typename Difference>
NotHeld not_held_in(const Samples& samples, std::size_t count, Difference&& difference) {
    NotHeld result{0, 0, Mask(samples.size)};
    std::vector<double> beyond;
    for (std::size_t i = 0; i < count; ++i) {
        const double value = difference(i);
        if (value <= colour::gamut_limit) continue;
        beyond.push_back(value);
        result.where.marked[i] = 1;
    }
    if (beyond.empty()) return result;
    result.share = static_cast<double>(beyond.size()) / static_cast<double>(count);
    const auto at = beyond.begin() + static_cast<std::ptrdiff_t>((beyond.size() - 1) * 95 / 100);
    std::nth_element(beyond.begin(), at, beyond.end());
    result.far = *at;
    return result;
}

std::string far_words(const NotHeld& held) {
    return "by up to " + base::number_text(held.far, 0) + " (1 is just visible side by side)";
}

void check_print_gamut(const Looked& looked, std::vector<Finding>& findings) {
    const Samples& samples = looked.samples;
    const NotHeld held = not_held_in(samples, samples.beyond_print.size(),
                                     [&](std::size_t i) { return static_cast<double>(samples.beyond_print[i]); });
    if (held.share <= much_not_held) return;
    findings.push_back(
        found("beyond-print-gamut",
              percent_text(held.share) + " of the print has colours that " + looked.medium.name +
                  " cannot show: they will come out duller or darker, " + far_words(held) + ".",
              {held.share * 100, much_not_held * 100, "%"},
              "Calm those colours in your editor, looking at a soft proof; or take a medium that holds more.", {},
              places_on_picture(held.where, samples)));
}

void check_file_gamut(const Looked& looked, std::vector<Finding>& findings) {
    const Samples& samples = looked.samples;
    const plan::Plan& plan = looked.panels.front();
    // What a correction or the light on the wall moves is not the picture's colour, and meant; what a correction brings
    // out of the space is a finding of its own (correction-clips).
    if (plan.correction.id != 0 || plan.light.lux > 0 || samples.in_print_space) return;
    const NotHeld held = not_held_in(samples, samples.picture.size(), [&](std::size_t i) {
        return colour::delta_e_2000(samples.picture[i], samples.print[i]);
    });
    if (held.share <= much_not_held) return;
    findings.push_back(with_command(
        found("beyond-file-space",
              percent_text(held.share) + " of the picture has colours that a file in " + plan.file_space_name +
                  " cannot hold: they lose strength there, " + far_words(held) + ".",
              {held.share * 100, much_not_held * 100, "%"},
              "Look at them, and calm them in your editor where drawing is lost; ask the shop whether it takes a "
              "larger space.",
              {}, places_on_picture(held.where, samples)),
        "hangtrue view"));
}

void check_profile(const Looked& looked, std::vector<Finding>& findings) {
    const Samples& samples = looked.samples;
    if (samples.from_device_profile) {
        findings.push_back(
            found("profile-does-not-fit",
                  "The picture's profile, " + plan::in_quotes(samples.profile_name) +
                      ", is that of a printer or a scanner, not of a picture.",
                  {}, "Convert the picture to Adobe RGB (1998) or sRGB in your editor, and export it again."));
        return;
    }
    Mask imaginary(samples.size);
    for (std::size_t i = 0; i < samples.picture.size(); ++i) {
        imaginary.marked[i] = is_imaginary(samples.picture[i]) ? 1 : 0;
    }
    const double share = static_cast<double>(imaginary.count()) / static_cast<double>(samples.size.count());
    if (share <= much_imaginary) return;
    findings.push_back(
        found("profile-does-not-fit",
              "By its profile, " + plan::in_quotes(samples.profile_name) + ", " + percent_text(share) +
                  " of the picture has colours that no eye can see: the profile is likely not the one that "
                  "it was edited in.",
              {share * 100, much_imaginary * 100, "%"},
              "Look at it in your editor with sRGB assigned: if that looks right, export it so.", {},
              places_on_picture(imaginary, samples)));
}

}  // namespace

void check_colours(const Looked& looked, std::vector<Finding>& findings) {
    check_print_gamut(looked, findings);
    check_file_gamut(looked, findings);
    check_profile(looked, findings);
}

}  // namespace hangtrue::checks

// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/scan.h"

#include <array>
#include <cmath>
#include <vector>

#include "engine/base/error.h"
#include "engine/trial/bare_paper.h"
#include "engine/trial/edge_blur.h"
#include "engine/trial/encoding.h"
#include "engine/trial/find_marks.h"
#include "engine/trial/median.h"
#include "engine/trial/own_blur.h"
#include "engine/trial/scan_refusals.h"
#include "engine/trial/scan_samples.h"

namespace hangtrue::trial {

namespace {

// What the curve of a camera that is taken for sRGB's may add to a grey, dE76: an estimate, not measured.
constexpr double camera_curve_sd = 1.0;
// Where a relative picture's paper is put, so that nothing near it is cut off.
constexpr double relative_paper = 0.8;
// More than this share of a patch's pixels with a channel at its end: the colour is not known.
constexpr double most_cut_off = 0.01;

// From light, as a share of the paper's, to Lab relative to the paper.
class PaperLab {
  public:
    PaperLab(const std::optional<colour::Profile>& profile, const Encoding& encoding, const Rgb& paper)
        : m_reader(profile ? *profile : colour::Profile::srgb()), m_encoding(encoding), m_paper(paper) {
        m_paper_lab = m_reader.lab(encoded({1, 1, 1}));
        m_paper_xyz = colour::xyz_from_lab(m_paper_lab);
    }

    colour::Lab paper() const { return m_paper_lab; }

    // Media-relative as ICC.1 has it: each of X, Y, Z scaled so that the paper's becomes D50's.
    colour::Lab lab(const Rgb& share) const {
        const colour::Xyz xyz = colour::xyz_from_lab(m_reader.lab(encoded(share)));
        return colour::lab_from_xyz({xyz.x / m_paper_xyz.x * colour::d50.x, xyz.y / m_paper_xyz.y * colour::d50.y,
                                     xyz.z / m_paper_xyz.z * colour::d50.z});
    }

    // What each channel's own `sd`, and a `common` one of all as a share of the light, make of the colour.
    double sd(const Rgb& share, const Rgb& sd, double common) const {
        const colour::Lab here = lab(share);
        double sum = 0;
        for (std::size_t channel = 0; channel < 3; ++channel) {
            Rgb other = share;
            other[channel] += sd[channel];
            sum += std::pow(colour::delta_e_76(here, lab(other)), 2);
        }
        const Rgb darker{share[0] * (1 - common), share[1] * (1 - common), share[2] * (1 - common)};
        return std::sqrt(sum + std::pow(colour::delta_e_76(here, lab(darker)), 2));
    }

  private:
    std::array<float, 3> encoded(const Rgb& share) const {
        std::array<float, 3> result{};
        for (std::size_t channel = 0; channel < 3; ++channel) {
            result[channel] = static_cast<float>(m_encoding.encoded(share[channel] * m_paper[channel]));
        }
        return result;
    }

    colour::LabReader m_reader;
    const Encoding& m_encoding;
    Rgb m_paper;
    colour::Lab m_paper_lab;
    colour::Xyz m_paper_xyz;
};

struct SeenPaper {
    std::vector<Point> spots;  // Those that lie in the picture.
    std::vector<PixelMean> means;
    Rgb level{};  // The median.
};

SeenPaper seen_paper(std::span<const Point> spots, std::span<const PixelMean> means) {
    SeenPaper seen;
    std::array<std::vector<double>, 3> values;
    for (std::size_t i = 0; i < spots.size(); ++i) {
        if (means[i].count == 0) continue;
        seen.spots.push_back(spots[i]);
        seen.means.push_back(means[i]);
        for (std::size_t channel = 0; channel < 3; ++channel) values[channel].push_back(means[i].mean()[channel]);
    }
    for (std::size_t channel = 0; channel < 3; ++channel) seen.level[channel] = median(std::move(values[channel]));
    return seen;
}

Light light_in(const Sheet& sheet, const SeenPaper& paper, std::size_t channel) {
    std::vector<double> values;
    for (const PixelMean& mean : paper.means) values.push_back(mean.mean()[channel]);
    return {sheet, paper.spots, values};
}

Point middle_of(const Sheet& sheet, base::PixelRect rect) {
    const base::RealRect mm = in_mm(sheet, rect);
    return {mm.x + mm.width / 2, mm.y + mm.height / 2};
}

}  // namespace

std::optional<std::int64_t> sheet_number_in(raster::RowReader& picture, base::Progress& progress) {
    const auto found = marks_in(picture, progress);
    if (found.size() != 4) return std::nullopt;
    std::array<int, 4> codes{};
    for (std::size_t corner = 0; corner < 4; ++corner) {
        if (corner_of(found[corner].code) != static_cast<int>(corner)) return std::nullopt;  // They come by code.
        codes[corner] = found[corner].code;
    }
    return number_of(codes);
}

Measured read_scan(const Sheet& sheet, raster::RowReader& picture, const std::optional<colour::Profile>& profile,
                   Trust trust, const std::string& name, base::Progress& progress) {
    require_colours(picture.info(), name);
    if (profile && profile->device_space() != colour::DeviceSpace::rgb) {
        throw base::UnreadableInput("The profile in " + name + " is not for RGB, as its colours are. Save it again " +
                                    "with its own profile, or with none.");
    }
    const auto marks = marks_of(sheet, marks_in(picture, progress), name);
    const Homography to_picture = geometry_of(sheet, marks, name);
    require_pixels(sheet, to_picture, name);

    const Encoding encoding(profile, picture.info().bits);
    const auto spots = paper_spots(sheet);
    const ScanSamples samples = samples_of(sheet, spots, to_picture, encoding, picture, progress);

    std::vector<EdgeBlur> edges;
    for (std::size_t i = 0; i < sheet.edges.size(); ++i) {
        progress.check();
        if (const auto blur = blur_of(sheet, sheet.edges[i], to_picture, samples.edges[i])) edges.push_back(*blur);
    }
    require_sharp_and_flat(sheet, edges, name);

    const SeenPaper paper = seen_paper(spots, samples.paper);
    const std::array<Light, 3> light{light_in(sheet, paper, 0), light_in(sheet, paper, 1), light_in(sheet, paper, 2)};
    require_no_glare(sheet, paper.spots, paper.means, light, name);
    require_no_clipping(sheet, samples, name);

    std::vector<PatchLight> patches;
    for (std::size_t i = 0; i < sheet.patches.size(); ++i) {
        const Point middle = middle_of(sheet, sheet.patches[i].rect);
        patches.push_back(
            light_of(samples.patches[i], {light[0].at(middle), light[1].at(middle), light[2].at(middle)}));
    }
    require_even_patches(sheet, patches, name);

    Measured measured;
    measured.is_absolute = trust == Trust::colours && profile.has_value();
    const Rgb level = measured.is_absolute ? paper.level : Rgb{relative_paper, relative_paper, relative_paper};
    // The curve is the profile's either way; a camera's primaries say as little as sRGB's.
    const PaperLab lab(profile, encoding, level);
    if (measured.is_absolute) measured.paper = lab.paper();
    const double common = (light[0].scatter() + light[1].scatter() + light[2].scatter()) / 3;
    for (std::size_t i = 0; i < sheet.patches.size(); ++i) {
        const Patch& patch = sheet.patches[i];
        if (!measured.is_absolute && patch.kind == Patch::Kind::colour) continue;
        const EndCount& ends = samples.patch_ends[i];
        if (ends.white_share() > most_cut_off || ends.black_share() > most_cut_off) continue;
        const double curve = measured.is_absolute ? 0 : camera_curve_sd;
        measured.patches.push_back(
            {patch.name, lab.lab(patches[i].mean), std::hypot(lab.sd(patches[i].mean, patches[i].sd, common), curve)});
    }
    measured.f50_cycles_per_mm = medium_f50(edges, own_blur(sheet, to_picture, samples.sides));
    return measured;
}

}  // namespace hangtrue::trial

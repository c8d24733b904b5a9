// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/print_samples.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <vector>

#include "engine/colour/print_gamut.h"
#include "engine/jobs/print_file.h"
#include "engine/picture/plateaus.h"
#include "engine/render/render.h"

namespace hangtrue::jobs {
namespace {

/// A chunk between two looks at whether the user has stopped.
constexpr std::size_t chunk = 16384;

/// What of the picture all panels show together.
base::RealRect part_of(std::span<const plan::Plan> panels) {
    const base::RealRect& first = panels.front().geometry.crop;
    const base::RealRect& last = panels.back().geometry.crop;
    return {first.x, first.y, last.x + last.width - first.x, first.height};
}

/// The plan's colours on few pixels: neither enlarged by a network nor sharpened, without edges.
plan::Plan small_print(const plan::Plan& print, base::RealRect part, base::PixelSize size) {
    plan::Plan small = print;
    small.geometry = {};
    small.geometry.file = size;
    small.geometry.image = {0, 0, size.width, size.height};
    small.geometry.crop = part;
    small.enlarging = size.width / part.width;
    small.resampling = small.enlarging < 1 ? plan::Resampling::reduce_linear : plan::Resampling::enlarge_encoded;
    small.network = {};
    small.sharpening = {};
    small.file.bits = 16;
    small.versions.dither = 0;
    return small;
}

std::vector<float> as_shares(const std::vector<std::byte>& samples) {
    std::vector<float> shares(samples.size() / 2);
    for (std::size_t i = 0; i < shares.size(); ++i) {
        std::uint16_t value = 0;
        std::memcpy(&value, samples.data() + 2 * i, sizeof value);
        shares[i] = static_cast<float>(value) / 65535.0F;
    }
    return shares;
}

std::vector<colour::Lab> colours_of(std::span<const float> rgb, const colour::Profile& profile,
                                    const base::Progress& progress) {
    const colour::LabReader reader(profile);
    std::vector<colour::Lab> colours(rgb.size() / 3);
    for (std::size_t start = 0; start < colours.size(); start += chunk) {
        progress.check();
        const std::size_t count = std::min(chunk, colours.size() - start);
        reader.lab(rgb.subspan(3 * start, 3 * count), std::span(colours).subspan(start, count));
    }
    return colours;
}

/// Judged as a shop prints, whatever intent made the file.
std::vector<float> beyond(std::span<const colour::Lab> colours, const colour::Profile& print_profile,
                          const base::Progress& progress) {
    const colour::PrintGamut gamut(print_profile,
                                   {colour::Intent::relative_colorimetric, /*black_point_compensation=*/true});
    std::vector<float> differences(colours.size());
    std::vector<colour::Lab> held(std::min(chunk, colours.size()));
    for (std::size_t start = 0; start < colours.size(); start += chunk) {
        progress.check();
        const auto part = colours.subspan(start, std::min(chunk, colours.size() - start));
        gamut.held(part, std::span(held).first(part.size()));
        for (std::size_t i = 0; i < part.size(); ++i) {
            differences[start + i] = static_cast<float>(colour::delta_e_2000(part[i], held[i]));
        }
    }
    return differences;
}

/// Each grey code of 8 bits through the whole way of colour.
std::array<double, 256> tone_of(const PreparedStages& prepared, raster::SampleModel model,
                                const colour::Profile& file_profile) {
    constexpr std::uint8_t no_colour = 128;  // Of a* and b*.
    std::vector<std::uint8_t> samples;
    for (int code = 0; code < 256; ++code) {
        const auto value = static_cast<std::uint8_t>(code);
        samples.push_back(value);
        if (model == raster::SampleModel::grey) continue;
        const bool is_lab = model == raster::SampleModel::lab;
        samples.insert(samples.end(), 2, is_lab ? no_colour : value);
    }
    std::array<std::array<float, 256>, 3> planes{};
    const colour::Planes ramp{planes[0], planes[1], planes[2]};
    prepared.stages().working.from_samples(samples, ramp);
    prepared.conversion().apply(ramp);
    const colour::LabReader reader(file_profile);
    std::array<double, 256> tone{};
    for (std::size_t i = 0; i < tone.size(); ++i) {
        tone.at(i) = reader.lab({planes[0].at(i), planes[1].at(i), planes[2].at(i)}).lightness;
    }
    return tone;
}

/// The class that an ICC profile's header gives (ICC.1, 7.2.5): bytes 12 to 15.
bool is_of_a_device(const colour::Profile& profile) {
    constexpr std::size_t class_at = 12;
    const auto bytes = profile.bytes();
    if (bytes.size() < class_at + 4) return false;
    const std::string_view name(reinterpret_cast<const char*>(bytes.data()) + class_at, 4);
    return name == "prtr" || name == "scnr";
}

}  // namespace

checks::Samples print_samples(std::span<const plan::Plan> panels, OpenedPicture& picture,
                              const colour::Profile& file_profile, const std::optional<colour::Profile>& print_profile,
                              Context& context) {
    checks::Samples result;
    result.part = part_of(panels);
    const double scale = std::min(1.0, looked_at_px / std::max(result.part.width, result.part.height));
    const auto side = [scale](double length) { return std::max(1, static_cast<int>(std::lround(length * scale))); };
    result.size = {side(result.part.width), side(result.part.height)};
    const plan::Plan small = small_print(panels.front(), result.part, result.size);
    const PreparedStages prepared(small, picture.facts.info.model, picture.profile, file_profile);
    const colour::Profile wide = colour::Profile::romm_form();
    const colour::Conversion uncorrected(prepared.stages().working, wide,
                                         {colour::Intent::relative_colorimetric, /*black_point_compensation=*/false});
    picture::WatchedRows rows(*picture.reader);
    const std::array<const colour::Conversion*, 2> conversions{&prepared.conversion(), &uncorrected};
    const auto variants =
        render::rendered_variants(prepared.stages(), conversions, rows, small.geometry.image, context.progress);
    context.progress.report("looking", 0.5);

    const std::vector<float> file = as_shares(variants[0]);
    result.file.resize(file.size() / 3);
    std::memcpy(result.file.data(), file.data(), file.size() * sizeof(float));
    result.print = colours_of(file, file_profile, context.progress);
    result.picture = colours_of(as_shares(variants[1]), wide, context.progress);
    if (print_profile) {
        // Where the file is in the print's own space, its colours are within: the picture's are asked for.
        result.in_print_space = print_profile->hash() == file_profile.hash();
        result.beyond_print =
            beyond(result.in_print_space ? result.picture : result.print, *print_profile, context.progress);
    }
    result.tone = tone_of(prepared, picture.facts.info.model, file_profile);
    result.plateaus = rows.plateaus();
    result.from_device_profile = is_of_a_device(picture.profile);
    result.profile_name = picture.profile.description();
    context.progress.report("looking", 1);
    return result;
}

}  // namespace hangtrue::jobs

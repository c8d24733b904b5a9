// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/find_marks.h"

#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <memory>
#include <set>
#include <tuple>

#include "engine/colour/tone_curve.h"
#include "engine/trial/sheet.h"

namespace hangtrue::trial {

namespace {

// A code differs from all others in 11 of its 36 bits. One wrong bit is a speck; with more, leaves and fabrics begin to
// look like marks.
constexpr int most_wrong_bits = 1;

struct GreyCopy {
    int width = 0;
    int height = 0;
    int stride = 0;
    int factor = 1;  // Picture pixels a side of one of these.
    std::vector<std::uint8_t> samples;
};

// Light, by sRGB's curve: blur moves the middle between black and white codes into the black.
std::array<std::uint32_t, 256> light_of_codes() {
    const colour::ToneCurve curve = colour::ToneCurve::srgb();
    std::array<std::uint32_t, 256> light{};
    for (std::size_t code = 0; code < light.size(); ++code) {
        light[code] = static_cast<std::uint32_t>(std::lround(255 * curve.to_linear(static_cast<double>(code) / 255)));
    }
    return light;
}

GreyCopy grey_copy_of(raster::RowReader& picture, base::Progress& progress) {
    const raster::PictureInfo& info = picture.info();
    GreyCopy copy;
    copy.factor = (std::max(info.size.width, info.size.height) + longest_grey_side - 1) / longest_grey_side;
    copy.width = info.size.width / copy.factor;
    copy.height = info.size.height / copy.factor;
    copy.stride = (copy.width + 95) / 96 * 96;
    copy.samples.resize(static_cast<std::size_t>(copy.stride) * static_cast<std::size_t>(copy.height));

    const auto light = light_of_codes();
    const auto channels = static_cast<std::size_t>(info.channels());
    const std::size_t green = info.model == raster::SampleModel::rgb ? 1 : 0;
    const auto factor = static_cast<std::size_t>(copy.factor);
    std::vector<std::byte> rows(factor * info.bytes_per_row());
    std::vector<std::uint32_t> sums(static_cast<std::size_t>(copy.width));
    for (int y = 0; y < copy.height; ++y) {
        if (y % 16 == 0) progress.report("looking for marks", 0.5 * y / copy.height);
        picture.read_rows(y * copy.factor, copy.factor, rows, progress);
        std::ranges::fill(sums, 0);
        for (std::size_t j = 0; j < factor; ++j) {
            const std::byte* const row = rows.data() + j * info.bytes_per_row();
            for (std::size_t x = 0; x < sums.size(); ++x) {
                for (std::size_t i = 0; i < factor; ++i) {
                    const std::size_t sample = (x * factor + i) * channels + green;
                    if (info.bits == 8) {
                        sums[x] += light[static_cast<std::size_t>(row[sample])];
                    } else {
                        std::uint16_t value = 0;
                        std::memcpy(&value, row + 2 * sample, 2);
                        sums[x] += light[value / 257U];
                    }
                }
            }
        }
        std::uint8_t* const out =
            copy.samples.data() + static_cast<std::size_t>(y) * static_cast<std::size_t>(copy.stride);
        for (std::size_t x = 0; x < sums.size(); ++x) {
            out[x] = static_cast<std::uint8_t>(sums[x] / static_cast<std::uint32_t>(factor * factor));
        }
    }
    return copy;
}

// The library keeps tables in family and detector, so that neither may be shared between threads.
std::vector<FoundMark> detected(GreyCopy& copy, float made_smaller_by) {
    const std::unique_ptr<apriltag_family_t, void (*)(apriltag_family_t*)> family(tag36h11_create(), tag36h11_destroy);
    const std::unique_ptr<apriltag_detector_t, void (*)(apriltag_detector_t*)> detector(apriltag_detector_create(),
                                                                                        apriltag_detector_destroy);
    apriltag_detector_add_family_bits(detector.get(), family.get(), most_wrong_bits);
    detector->quad_decimate = made_smaller_by;
    detector->nthreads = 1;
    detector->refine_edges = true;
    image_u8_t image{copy.width, copy.height, copy.stride, copy.samples.data()};
    const std::unique_ptr<zarray_t, void (*)(zarray_t*)> found(apriltag_detector_detect(detector.get(), &image),
                                                               apriltag_detections_destroy);
    std::vector<FoundMark> marks;
    for (int i = 0; i < zarray_size(found.get()); ++i) {
        apriltag_detection_t* one = nullptr;
        zarray_get(found.get(), i, &one);
        if (corner_of(one->id) > 3) continue;  // The family has three codes more than the corners.
        FoundMark mark{one->id, {}};
        // The library goes round from the lower left.
        for (std::size_t corner = 0; corner < 4; ++corner) {
            const auto& place = one->p[3 - corner];
            mark.corners[corner] = {place[0] * copy.factor, place[1] * copy.factor};
        }
        marks.push_back(mark);
    }
    std::ranges::sort(
        marks, {}, [](const FoundMark& mark) { return std::tuple(mark.code, mark.corners[0].y, mark.corners[0].x); });
    return marks;
}

bool has_every_corner(const std::vector<FoundMark>& marks) {
    std::set<int> corners;
    for (const FoundMark& mark : marks) corners.insert(corner_of(mark.code));
    return corners.size() == 4;
}

}  // namespace

std::vector<FoundMark> marks_in(raster::RowReader& picture, base::Progress& progress) {
    GreyCopy copy = grey_copy_of(picture, progress);
    if (copy.width < 2 * 10 || copy.height < 2 * 10) return {};
    // Half the size is four times as fast; small marks need the whole.
    const bool is_large = std::max(copy.width, copy.height) > 2000;
    std::vector<FoundMark> marks = detected(copy, is_large ? 2 : 1);
    progress.report("looking for marks", 0.75);
    if (is_large && !has_every_corner(marks)) marks = detected(copy, 1);
    progress.report("looking for marks", 1);
    return marks;
}

}  // namespace hangtrue::trial

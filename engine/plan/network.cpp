// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/network.h"

namespace hangtrue::plan {

PlannedNetwork planned_network(const NetworkFacts& network, const picture::Measured& measured,
                               const raster::PictureInfo& picture, double enlarging, enlarge::Grain grain) {
    if (enlarging <= 1) return {};
    const bool is_jpeg = picture.format == raster::FileFormat::jpeg;
    const enlarge::Measures measures{.noise_sd = measured.noise.sd_8bit / 255,
                                     .blur_px = measured.blur.sigma_px,
                                     .coding = is_jpeg ? picture.jpeg_coding : measured.jpeg_coding,
                                     .undone_blur_px = network.undone_blur_px};
    PlannedNetwork planned;
    planned.name = network.name;
    planned.weights = network.weights;
    planned.doublings = enlarging <= 4 ? 1 : 2;
    planned.measures = measures;
    planned.grain = grain;
    return planned;
}

}  // namespace hangtrue::plan

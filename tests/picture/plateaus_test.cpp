// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/plateaus.h"

#include <gtest/gtest.h>

#include "tests/picture/pictures.h"

namespace hangtrue::picture {
namespace {

/// Terraces of three codes every 16 pixels in one channel, the others flat.
Plateaus terraces_in(int channel, raster::SampleModel model) {
    raster::PictureInfo info;
    info.size = {64, 32};
    info.model = model;
    info.bits = 8;
    std::vector<std::byte> samples;
    for (int y = 0; y < info.size.height; ++y) {
        for (int x = 0; x < info.size.width; ++x) {
            for (int c = 0; c < info.channels(); ++c) {
                samples.push_back(static_cast<std::byte>(c == channel ? 100 + 3 * (x / 16) : 128));
            }
        }
    }
    const base::PixelSize size = info.size;
    std::vector<std::byte> row(info.bytes_per_row());
    test::MemoryReader reader{std::move(info), std::move(samples)};
    WatchedRows rows(reader);
    base::Progress progress;
    for (int y = 0; y < size.height; ++y) rows.read_rows(y, 1, row, progress);
    return rows.plateaus();
}

TEST(plateaus, are_looked_for_in_green_and_in_lightness) {
    EXPECT_NEAR(terraces_in(1, raster::SampleModel::rgb).tiles.at(0).step, 3, 1e-6);
    EXPECT_NEAR(terraces_in(0, raster::SampleModel::lab).tiles.at(0).step, 3, 1e-6);
    EXPECT_NEAR(terraces_in(0, raster::SampleModel::grey).tiles.at(0).step, 3, 1e-6);
    // Steps of a* alone are no steps of brightness.
    EXPECT_EQ(terraces_in(1, raster::SampleModel::lab).tiles.at(0).step, 0);
}

}  // namespace
}  // namespace hangtrue::picture

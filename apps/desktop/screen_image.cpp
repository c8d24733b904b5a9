// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/screen_image.h"

#include <cstdint>
#include <cstring>

namespace hangtrue::desktop {

QImage image_of(const jobs::ScreenPixels& pixels) {
    QImage image(pixels.size.width, pixels.size.height, QImage::Format_RGB888);
    const auto row = static_cast<std::size_t>(pixels.size.width) * 3;
    for (int y = 0; y < pixels.size.height; ++y) {
        uchar* out = image.scanLine(y);
        const std::size_t at = row * static_cast<std::size_t>(y);
        if (pixels.bits == 8) {
            std::memcpy(out, pixels.samples.data() + at, row);
            continue;
        }
        for (std::size_t i = 0; i < row; ++i) {
            std::uint16_t sample = 0;
            std::memcpy(&sample, pixels.samples.data() + 2 * (at + i), 2);
            out[i] = static_cast<uchar>((sample + 128) / 257);
        }
    }
    return image;
}

}  // namespace hangtrue::desktop

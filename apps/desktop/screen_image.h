// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From the engine's pixels to what the screen is given. The one place where the screen's profile comes in.

#include <QImage>

#include "engine/jobs/screen.h"

namespace hangtrue::desktop {

/// 8 bits a channel, one image pixel a pixel. 16-bit samples are rounded.
QImage image_of(const jobs::ScreenPixels& pixels);

}  // namespace hangtrue::desktop

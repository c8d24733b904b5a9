// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Tickets for the tests of report.

#include <cmath>
#include <string>

#include "engine/report/ticket.h"

namespace hangtrue::report {

/// Hills under a sky, far enough from grey and flat that a crop can be seen on it.
inline SmallPicture hills(int width, int height) {
    SmallPicture picture{{width, height}, {}};
    picture.rgb.reserve(static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * 3);
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            const double u = x / static_cast<double>(width), v = y / static_cast<double>(height);
            const double far_ridge = 0.52 + 0.06 * std::sin(9 * u) + 0.02 * std::sin(31 * u);
            const double near_ridge = 0.70 + 0.08 * std::sin(5 * u + 2) + 0.012 * std::sin(47 * u);
            double red = 0.93 - 0.35 * (1 - v), green = 0.74 - 0.12 * (1 - v), blue = 0.60 + 0.25 * (1 - v);
            if (v > far_ridge) red = 0.36 + 0.2 * (v - far_ridge), green = 0.40, blue = 0.50;
            if (v > near_ridge) red = 0.13, green = 0.18 - 0.2 * (v - near_ridge), blue = 0.17;
            for (const double value : {red, green, blue}) {
                picture.rgb.push_back(static_cast<std::uint8_t>(std::lround(255 * value)));
            }
        }
    }
    return picture;
}

inline Ticket ordinary_ticket() {
    Ticket ticket;
    ticket.picture_name = "Ridge at dawn";
    ticket.picture = hills(900, 600);
    ticket.crop = {0.0, 0.06, 1.0, 0.88};
    ticket.shop_name = "Quillfen Prints";
    ticket.medium_name = "Brushed metal";
    ticket.size_name = "36x24in";
    ticket.process = "dye sublimation";
    ticket.finished_size = "36 x 24 in (91.4 x 61 cm)";
    ticket.file_size = "36.25 x 24.25 in (92.1 x 61.6 cm)";
    ticket.pixels = {7250, 4850};
    ticket.ppi = 200;
    ticket.file_name = "ridge-at-dawn_brushed-metal_36x24in.tif";
    ticket.bytes = 105'487'912;
    ticket.sha256 = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08";
    ticket.format = "TIFF, 8 bit, uncompressed";
    ticket.colour_space = "sRGB, embedded";
    ticket.edges = "Bleed of 0.125 in on each side, outside the finished size.";
    ticket.sharpening =
        "Sharpened for this metal, seen from 1.1 m: it gives back 71 % of the fine contrast that "
        "enlarging and the surface take, and nothing beyond what the eye can see.";
    ticket.quantity = 2;
    ticket.order_choices = {"Metal prints > HD brushed", "Size: 36 x 24 inch", "Finish: satin, rounded corners: no",
                            "Mounting: float frame, black", "Image enhancement: OFF"};
    ticket.author = "A. Fairweather";
    ticket.copyright = "\u00a9 2026 A. Fairweather. All rights reserved.";
    ticket.made_on = "2026-03-14T09:26:53Z";
    ticket.ledger_id = 42;
    return ticket;
}

}  // namespace hangtrue::report

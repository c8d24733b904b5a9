// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A shop, a medium and a picture to settle wishes with; tests change what they are about.

#include <string>
#include <vector>

#include "engine/plan/settle.h"

namespace hangtrue::plan::example {

inline shops::Size size(double width_in, double height_in) {
    shops::Size size;
    size.name =
        std::to_string(static_cast<int>(width_in)) + " x " + std::to_string(static_cast<int>(height_in)) + " in";
    size.finished = {base::inches(width_in), base::inches(height_in)};
    return size;
}

/// 150 ppi (100 to 300), 3:2 and square sizes, TIFF of 8 and 16 bits and JPEG, no bleed, no wrap.
inline shops::Medium metal() {
    shops::Medium medium;
    medium.id = "brushed-metal";
    medium.name = "Brushed metal";
    medium.ppi = {base::PixelsPerInch{100}, base::PixelsPerInch{150}, base::PixelsPerInch{300}};
    medium.file_space = shops::FileSpace::srgb;
    medium.rules.formats = {"tiff", "jpeg"};
    medium.rules.tiff_bits = {8, 16};
    medium.rules.tiff_compressions = {"none", "lzw"};
    for (const double width : {12, 24, 36, 60}) medium.sizes.push_back(size(width, width * 2 / 3));
    medium.sizes.push_back(size(20, 20));
    medium.blur = shops::BlurClass::metal;
    medium.improvement_off = "";
    return medium;
}

/// The same on bars of 38 mm with 20 mm behind them, at 100 ppi.
inline shops::Medium canvas() {
    shops::Medium medium = metal();
    medium.id = "canvas-38";
    medium.name = "Canvas, 38 mm bars";
    medium.ppi = {base::PixelsPerInch{60}, base::PixelsPerInch{100}, base::PixelsPerInch{200}};
    medium.blur = shops::BlurClass::canvas;
    medium.wrap = shops::Wrap{.maker = shops::WrapMaker::photographer,
                              .bar_depth = {38},
                              .back_fold = {20},
                              .made_from = {"round", "mirror", "colour"},
                              .corner_squares = std::nullopt};
    return medium;
}

inline shops::Shop shop() {
    shops::Shop shop;
    shop.id = "quillfen";
    shop.name = "Quillfen Prints";
    shop.currency = "EUR";
    return shop;
}

inline PictureFacts picture(int width = 6000, int height = 4000) {
    PictureFacts facts;
    facts.file_name = "Ridge at dawn.tif";
    facts.content.bytes.fill(7);
    facts.info.size = {width, height};
    facts.info.copyright = "A. Photographer";
    facts.measured.noise.sd_8bit = 0.8;
    facts.measured.blur.sigma_px = 0.6;
    return facts;
}

inline FileSpaceFacts srgb() {
    FileSpaceFacts facts;
    facts.name = "sRGB";
    facts.profile_bytes = 588;
    return facts;
}

inline Wish wish(double width_in, double height_in) {
    Wish wish;
    wish.size = {base::inches(width_in), base::inches(height_in)};
    return wish;
}

inline std::vector<Plan> plans(const Wish& wish, const shops::Medium& medium, const PictureFacts& facts = picture()) {
    return settled(wish, shop(), medium, facts, srgb());
}

inline Plan plan(const Wish& wish, const shops::Medium& medium, const PictureFacts& facts = picture()) {
    return plans(wish, medium, facts).front();
}

}  // namespace hangtrue::plan::example

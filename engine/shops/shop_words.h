// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The words of shop files for what a medium can be: one table for reading and for showing. Pure.

#include <string_view>

#include "engine/shops/medium.h"
#include "engine/text/document.h"

namespace hangtrue::shops {

inline constexpr text::Word<FileSpace> file_space_words[] = {
    {"srgb", FileSpace::srgb}, {"adobe-rgb", FileSpace::adobe_rgb}, {"print_profile", FileSpace::print_profile}};

inline constexpr text::Word<BleedPlace> bleed_words[] = {
    {"none", BleedPlace::none}, {"outside", BleedPlace::outside}, {"inside", BleedPlace::inside}};

inline constexpr text::Word<WrapMaker> wrap_maker_words[] = {{"shop", WrapMaker::shop},
                                                             {"photographer", WrapMaker::photographer}};

inline constexpr text::Word<PixelRule> pixel_rule_words[] = {{"exact", PixelRule::exact}, {"shape", PixelRule::shape}};

inline constexpr text::Word<Base> base_words[] = {
    {"white", Base::white}, {"bare-metal", Base::bare_metal}, {"clear", Base::clear}};

inline constexpr text::Word<BlurClass> blur_words[] = {{"silver-halide", BlurClass::silver_halide},
                                                       {"inkjet-gloss", BlurClass::inkjet_gloss},
                                                       {"inkjet-matte", BlurClass::inkjet_matte},
                                                       {"inkjet-rag", BlurClass::inkjet_rag},
                                                       {"canvas", BlurClass::canvas},
                                                       {"latex-poster", BlurClass::latex_poster},
                                                       {"metal", BlurClass::metal},
                                                       {"acrylic-mount", BlurClass::acrylic_mount},
                                                       {"press-book", BlurClass::press_book}};

/// The word that stands for `value`.
template <typename Value, std::size_t N>
std::string_view word_for(const text::Word<Value> (&words)[N], Value value) {
    for (const auto& word : words) {
        if (word.value == value) return word.word;
    }
    return "";
}

}  // namespace hangtrue::shops

// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/words.h"

#include "engine/base/units_text.h"

namespace hangtrue::plan {

std::string in_quotes(std::string_view name) { return "\"" + std::string(name) + "\""; }

std::string listed(const std::vector<std::string>& words) {
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) text += i + 1 == words.size() ? " or " : ", ";
        text += words[i];
    }
    return text;
}

std::string in_both_units(base::Millimetres length) {
    return base::length_text(length, base::ShownUnits::inches) + " (" +
           base::length_text(length, base::ShownUnits::centimetres) + ")";
}

std::string in_both_units(base::SizeMm size) {
    return base::size_text(size, base::ShownUnits::inches) + " (" +
           base::size_text(size, base::ShownUnits::centimetres) + ")";
}

std::string hex(FlatColour colour) {
    constexpr std::string_view digits = "0123456789ABCDEF";
    std::string text = "#";
    for (const auto value : colour.srgb) {
        text += digits[value >> 4U];
        text += digits[value & 15U];
    }
    return text;
}

std::string ppi_text(base::PixelsPerInch ppi) { return base::number_text(ppi.value, 1); }

std::string px_text(base::PixelSize size) {
    return std::to_string(size.width) + " x " + std::to_string(size.height) + " px";
}

}  // namespace hangtrue::plan

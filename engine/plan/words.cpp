// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/words.h"

namespace hangtrue::plan {
namespace {

base::ShownUnits other(base::ShownUnits units) {
    return units == base::ShownUnits::inches ? base::ShownUnits::centimetres : base::ShownUnits::inches;
}

}  // namespace

std::string in_quotes(std::string_view name) { return "\"" + std::string(name) + "\""; }

std::string listed(const std::vector<std::string>& words) {
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) text += i + 1 == words.size() ? " or " : ", ";
        text += words[i];
    }
    return text;
}

std::string in_both_units(base::Millimetres length, base::ShownUnits units) {
    return base::length_text(length, units) + " (" + base::length_text(length, other(units)) + ")";
}

std::string in_both_units(base::SizeMm size, base::ShownUnits units) {
    return base::size_text(size, units) + " (" + base::size_text(size, other(units)) + ")";
}

std::string edge_in_both_units(base::Millimetres width, base::ShownUnits units) {
    const std::string inches = base::number_text(base::in_inches(width), 3) + " in";
    const std::string mm = base::number_text(width.value, 1) + " mm";
    return units == base::ShownUnits::inches ? inches + " (" + mm + ")" : mm + " (" + inches + ")";
}

std::string distance_in_both_units(base::Millimetres distance, base::ShownUnits units) {
    return base::distance_text(distance, units) + " (" + base::distance_text(distance, other(units)) + ")";
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

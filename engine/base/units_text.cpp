// SPDX-License-Identifier: Apache-2.0
#include "engine/base/units_text.h"

#include <array>
#include <charconv>
#include <cmath>

namespace hangtrue::base {
namespace {

std::string_view trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(" \t");
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

std::optional<LengthUnit> unit_named(std::string_view name) {
    if (name == "mm") return LengthUnit::millimetre;
    if (name == "cm") return LengthUnit::centimetre;
    if (name == "m") return LengthUnit::metre;
    if (name == "in" || name == "\"" || name == "inch" || name == "inches") return LengthUnit::inch;
    if (name == "ft") return LengthUnit::foot;
    return std::nullopt;
}

double millimetres_in(LengthUnit unit) {
    switch (unit) {
        case LengthUnit::millimetre: return 1;
        case LengthUnit::centimetre: return 10;
        case LengthUnit::metre: return 1000;
        case LengthUnit::inch: return millimetres_per_inch;
        case LengthUnit::foot: return 12 * millimetres_per_inch;
    }
    return 1;
}

/// A number of zero or more and the unit after it, if one is written.
struct Written {
    double value;
    std::optional<LengthUnit> unit;
};

std::optional<Written> written_length(std::string_view text) {
    text = trimmed(text);
    Written result{};
    const auto [end, status] =
        std::from_chars(text.data(), text.data() + text.size(), result.value, std::chars_format::fixed);
    if (status != std::errc{} || !std::isfinite(result.value) || std::signbit(result.value)) {
        return std::nullopt;
    }
    const std::string_view rest = trimmed(text.substr(static_cast<std::size_t>(end - text.data())));
    if (rest.empty()) return result;
    result.unit = unit_named(rest);
    if (!result.unit) return std::nullopt;
    return result;
}

std::optional<Millimetres> in_millimetres(const Written& length, std::optional<LengthUnit> fallback) {
    const auto unit = length.unit ? length.unit : fallback;
    if (!unit) return std::nullopt;
    return Millimetres{length.value * millimetres_in(*unit)};
}

std::string shown(double value) { return number_text(value, value < 10 ? 2 : 1); }

}  // namespace

std::optional<Millimetres> parse_length(std::string_view text, std::optional<LengthUnit> fallback) {
    const auto length = written_length(text);
    return length ? in_millimetres(*length, fallback) : std::nullopt;
}

std::optional<SizeMm> parse_size(std::string_view text, std::optional<LengthUnit> fallback) {
    auto cross = text.find_first_of("xX");
    std::size_t cross_length = 1;
    if (cross == std::string_view::npos) {
        constexpr std::string_view multiplication_sign = "\u00d7";
        cross = text.find(multiplication_sign);
        cross_length = multiplication_sign.size();
    }
    if (cross == std::string_view::npos) return std::nullopt;
    const auto width = written_length(text.substr(0, cross));
    const auto height = written_length(text.substr(cross + cross_length));
    if (!width || !height) return std::nullopt;
    // "36x24in": the unit behind the second side serves both.
    const auto height_mm = in_millimetres(*height, fallback);
    const auto width_mm = in_millimetres(*width, height->unit ? height->unit : fallback);
    if (!width_mm || !height_mm || width_mm->value <= 0 || height_mm->value <= 0) return std::nullopt;
    return SizeMm{*width_mm, *height_mm};
}

std::string number_text(double value, int decimals) {
    std::array<char, 64> buffer{};
    const auto [end, status] =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, decimals);
    if (status != std::errc{}) return "?";
    std::string text(buffer.data(), end);
    if (text.find('.') != std::string::npos) {
        text.erase(text.find_last_not_of('0') + 1);
        if (text.back() == '.') text.pop_back();
    }
    return text == "-0" ? "0" : text;
}

std::string count_text(long long value) {
    std::string text = std::to_string(value);
    const std::size_t first_digit = value < 0 ? 1 : 0;
    for (auto at = static_cast<std::ptrdiff_t>(text.size()) - 3; at > static_cast<std::ptrdiff_t>(first_digit);
         at -= 3) {
        text.insert(static_cast<std::size_t>(at), ",");
    }
    return text;
}

std::string bytes_text(long long bytes) {
    const auto value = static_cast<double>(bytes);
    if (bytes < 1000) return std::to_string(bytes) + " bytes";
    if (bytes < 1000 * 1000) return number_text(value / 1e3, 1) + " kB";
    if (bytes < 1000LL * 1000 * 1000) return number_text(value / 1e6, 1) + " MB";
    return number_text(value / 1e9, 2) + " GB";
}

std::string length_text(Millimetres length, ShownUnits units) {
    return units == ShownUnits::inches ? shown(in_inches(length)) + " in" : shown(length.value / 10) + " cm";
}

std::string size_text(SizeMm size, ShownUnits units) {
    return units == ShownUnits::inches ? shown(in_inches(size.width)) + " x " + shown(in_inches(size.height)) + " in"
                                       : shown(size.width.value / 10) + " x " + shown(size.height.value / 10) + " cm";
}

std::string distance_text(Millimetres distance, ShownUnits units) {
    return units == ShownUnits::inches ? number_text(in_inches(distance) / 12, 1) + " ft"
                                       : number_text(distance.value / 1000, distance.value < 1000 ? 2 : 1) + " m";
}

std::string distance_text(Millimetres distance) {
    return distance_text(distance, ShownUnits::centimetres) + " (" + distance_text(distance, ShownUnits::inches) + ")";
}

}  // namespace hangtrue::base

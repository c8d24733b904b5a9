// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/money.h"

#include <algorithm>

namespace hangtrue::shops {
namespace {

bool are_digits(std::string_view text) {
    return std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

}  // namespace

std::optional<Price> parse_price(std::string_view text) {
    constexpr std::size_t most_digits = 12;  // A thousand milliards: still far from the end of 64 bits.
    const std::size_t point = text.find('.');
    const std::string_view whole = text.substr(0, point);
    std::string decimals(point == std::string_view::npos ? std::string_view() : text.substr(point + 1));
    if (whole.empty() || whole.size() > most_digits || !are_digits(whole) || !are_digits(decimals)) return std::nullopt;
    if ((point != std::string_view::npos && decimals.empty()) || decimals.size() > 2) return std::nullopt;
    decimals.resize(2, '0');
    return Price{std::stoll(std::string(whole) + decimals)};
}

std::string price_text(Price price) {
    std::string text = std::to_string(price.cents / 100);
    text += price.cents % 100 < 10 ? ".0" : ".";
    text += std::to_string(price.cents % 100);
    return text;
}

}  // namespace hangtrue::shops

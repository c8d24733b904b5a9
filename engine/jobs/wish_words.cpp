// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <charconv>
#include <cmath>
#include <functional>
#include <map>
#include <optional>
#include <string_view>
#include <vector>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/jobs/make.h"
#include "engine/optics/light.h"
#include "engine/plan/limits.h"
#include "engine/plan/paper_size.h"

namespace hangtrue::jobs {
namespace {

[[noreturn]] void refuse(const std::string& key, const std::string& value, const std::string& possible) {
    throw base::InvalidWish("--" + key + " \"" + value + "\" is not understood: it takes " + possible + ".");
}

std::optional<double> number(std::string_view text) {
    double value = 0;
    const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
    if (status != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
    return value;
}

std::optional<int> whole_number(std::string_view text) {
    int value = 0;
    const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (status != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return value;
}

std::vector<std::string_view> parts_of(std::string_view text, char separator) {
    std::vector<std::string_view> parts;
    for (;;) {
        const auto at = text.find(separator);
        parts.push_back(text.substr(0, at));
        if (at == std::string_view::npos) return parts;
        text.remove_prefix(at + 1);
    }
}

std::optional<plan::FlatColour> colour(std::string_view text) {
    if (text.size() != 7 || text.front() != '#') return std::nullopt;
    plan::FlatColour result;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const char* first = text.data() + 1 + 2 * channel;
        const auto [end, status] = std::from_chars(first, first + 2, result.srgb[channel], 16);
        if (status != std::errc{} || end != first + 2) return std::nullopt;
    }
    return result;
}

/// How far one can step back there: common practice, no source.
base::Millimetres room(const std::string& key, const std::string& value) {
    static const std::map<std::string, double, std::less<>> metres{
        {"hallway", 1.2}, {"study", 2}, {"living-room", 3.5}, {"gallery", 8}};
    if (const auto named = metres.find(value); named != metres.end()) return {1000 * named->second};
    const auto depth = base::parse_length(value);
    if (!depth || depth->value < 300)
        refuse(key, value, "hallway, study, living-room, gallery or a depth of at least 30cm");
    return *depth;
}

int number_between(const std::string& key, const std::string& value, int least, int most) {
    const auto found = whole_number(value);
    if (!found || *found < least || *found > most) {
        refuse(key, value, "a whole number from " + std::to_string(least) + " to " + std::to_string(most));
    }
    return *found;
}

base::Millimetres length(const std::string& key, const std::string& value, const std::string& example) {
    const auto found = base::parse_length(value);
    if (!found) refuse(key, value, "a length with its unit (mm, cm, m, in, ft), as in " + example);
    return *found;
}

plan::Crop crop(const std::string& value) {
    const std::string possible =
        "auto, auto@X,Y (a point from 0,0 to 1,1 to stay near) or X,Y,W,H in pixels of the upright picture";
    if (value == "auto") return plan::CropAround{};
    constexpr std::string_view around = "auto@";
    const bool is_point = value.starts_with(around);
    const auto parts =
        parts_of(is_point ? std::string_view(value).substr(around.size()) : std::string_view(value), ',');
    std::vector<double> numbers;
    for (const std::string_view part : parts) {
        const auto found = number(part);
        if (!found) refuse("crop", value, possible);
        numbers.push_back(*found);
    }
    if (is_point) {
        if (numbers.size() != 2 ||
            std::any_of(numbers.begin(), numbers.end(), [](double n) { return n < 0 || n > 1; })) {
            refuse("crop", value, possible);
        }
        return plan::CropAround{numbers[0], numbers[1]};
    }
    if (numbers.size() != 4) refuse("crop", value, possible);
    return base::RealRect{numbers[0], numbers[1], numbers[2], numbers[3]};
}

plan::WrapWish wrap(const std::string& value) {
    if (value == "round") return {plan::WrapFill::round, {}};
    if (value == "mirror") return {plan::WrapFill::mirror, {}};
    if (const auto flat = colour(value)) return {plan::WrapFill::colour, *flat};
    refuse("wrap", value, "round (the picture runs round the bars), mirror or a colour as #RRGGBB");
}

plan::BorderWish border(const std::string& value) {
    const std::string possible =
        "one length or four (top,right,bottom,left), with units, and perhaps a colour: 20mm,20mm,60mm,20mm:#FFFFFF";
    plan::BorderWish wish;
    std::string_view lengths = value;
    if (const auto at = value.find(':'); at != std::string::npos) {
        const auto flat = colour(std::string_view(value).substr(at + 1));
        if (!flat) refuse("border", value, possible);
        wish.colour = *flat;
        lengths = lengths.substr(0, at);
    }
    std::vector<base::Millimetres> sides;
    for (const std::string_view part : parts_of(lengths, ',')) {
        const auto side = base::parse_length(part);
        if (!side) refuse("border", value, possible);
        sides.push_back(*side);
    }
    if (sides.size() == 1) {
        wish.widths = base::Edges<base::Millimetres>::all(sides[0]);
    } else if (sides.size() == 4) {
        wish.widths = {sides[0], sides[1], sides[2], sides[3]};
    } else {
        refuse("border", value, possible);
    }
    return wish;
}

std::optional<double> sharpening(const std::string& value) {
    if (value == "auto") return std::nullopt;
    if (value == "off") return 0.0;
    const auto percent =
        value.ends_with('%') ? number(std::string_view(value).substr(0, value.size() - 1)) : std::nullopt;
    if (!percent || *percent < 0 || *percent > 200)
        refuse("sharpen", value, "auto, off, or a share of what was computed from 0% to 200%");
    return *percent / 100;
}

std::optional<plan::LightWish> light(const std::string& value) {
    if (value == "off") return std::nullopt;
    if (const optics::Room* room = optics::find_room(value)) return plan::LightWish{room->lux, std::string(room->name)};
    if (const auto lux = number(value); lux && *lux >= plan::least_lux && *lux <= plan::most_lux) {
        return plan::LightWish{*lux, {}};
    }
    std::string known;
    for (const optics::Room& room : optics::rooms()) known += std::string(room.id) + ", ";
    refuse("light", value, "off, lux from 1 to 100000, or a room: " + known.substr(0, known.size() - 2));
}

plan::CorrectionWish correction(const std::string& value) {
    using Which = plan::CorrectionWish::Which;
    if (value == "latest") return {};
    if (value == "none") return {Which::none, 0, {}};
    const auto id = whole_number(value);
    if (!id || *id < 1) refuse("correction", value, "latest, none, or a correction's number");
    return {Which::numbered, *id, {}};
}

std::string day(const std::string& key, const std::string& value) {
    const auto is_digit = [&](std::size_t i) { return value[i] >= '0' && value[i] <= '9'; };
    bool is_day = value.size() == 10 && value[4] == '-' && value[7] == '-';
    for (const std::size_t i : {0, 1, 2, 3, 5, 6, 8, 9}) is_day = is_day && is_digit(i);
    if (!is_day) refuse(key, value, "a day as 2026-03-31");
    return value;
}

template <typename Value>
Value one_of(const std::string& key, const std::string& value,
             const std::vector<std::pair<std::string, Value>>& known) {
    std::string possible;
    for (std::size_t i = 0; i < known.size(); ++i) {
        if (known[i].first == value) return known[i].second;
        possible += (i == 0 ? "" : i + 1 == known.size() ? " or " : ", ") + known[i].first;
    }
    refuse(key, value, possible);
}

using Setter = std::function<void(plan::Wish&, const std::string& key, const std::string& value)>;

const std::map<std::string, Setter>& setters() {
    static const std::map<std::string, Setter> table{
        {"shop", [](plan::Wish& wish, const auto&, const auto& value) { wish.shop = value; }},
        {"medium", [](plan::Wish& wish, const auto&, const auto& value) { wish.medium = value; }},
        {"size",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             const auto paper = plan::paper_size(value);
             const auto size = paper ? paper : base::parse_size(value);
             if (!size) refuse(key, value, "two lengths with a unit, as in 36x24in or 90x60cm, or A0 to A6");
             wish.size = *size;
         }},
        {"quantity", [](plan::Wish& wish, const auto& key,
                        const auto& value) { wish.quantity = number_between(key, value, 1, 9999); }},
        {"crop", [](plan::Wish& wish, const auto&, const auto& value) { wish.crop = crop(value); }},
        {"bleed",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             wish.bleed = one_of<bool>(key, value, {{"auto", true}, {"off", false}});
         }},
        {"wrap", [](plan::Wish& wish, const auto&, const auto& value) { wish.wrap = wrap(value); }},
        {"border", [](plan::Wish& wish, const auto&, const auto& value) { wish.border = border(value); }},
        {"panels",
         [](plan::Wish& wish, const auto& key, const auto& value) { wish.panels = number_between(key, value, 1, 5); }},
        {"gap", [](plan::Wish& wish, const auto& key, const auto& value) { wish.gap = length(key, value, "20mm"); }},
        {"enlarge",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             wish.enlarging = one_of<plan::Enlarging>(key, value,
                                                      {{"auto", plan::Enlarging::automatic},
                                                       {"fine", plan::Enlarging::fine},
                                                       {"quick", plan::Enlarging::quick},
                                                       {"filter", plan::Enlarging::filter}});
         }},
        {"grain",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             wish.grain =
                 one_of<enlarge::Grain>(key, value, {{"keep", enlarge::Grain::keep}, {"calm", enlarge::Grain::calm}});
         }},
        {"sharpen", [](plan::Wish& wish, const auto&, const auto& value) { wish.sharpen = sharpening(value); }},
        {"distance",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             const auto distance = length(key, value, "2m");
             if (distance.value < 100) refuse(key, value, "at least 10cm");
             wish.distance = distance;
         }},
        {"light", [](plan::Wish& wish, const auto&, const auto& value) { wish.light = light(value); }},
        {"screen-brightness",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             const auto candelas = number(value);
             if (!candelas || *candelas < plan::least_candelas || *candelas > plan::most_candelas) {
                 refuse(key, value, "the screen's white in cd/m2, from 10 to 2000");
             }
             wish.screen_candelas = *candelas;
         }},
        {"room", [](plan::Wish& wish, const auto& key, const auto& value) { wish.room_depth = room(key, value); }},
        {"correction",
         [](plan::Wish& wish, const auto&, const auto& value) {
             const std::string since = std::move(wish.correction.since);
             wish.correction = correction(value);
             wish.correction.since = since;
         }},
        {"correction-since",
         [](plan::Wish& wish, const auto& key, const auto& value) { wish.correction.since = day(key, value); }},
        {"intent",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             wish.intent = one_of<plan::Intent>(key, value,
                                                {{"perceptual", plan::Intent::perceptual},
                                                 {"relative", plan::Intent::relative},
                                                 {"saturation", plan::Intent::saturation},
                                                 {"absolute", plan::Intent::absolute}});
         }},
        {"black-point",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             wish.black_point_compensation = one_of<bool>(key, value, {{"keep", true}, {"off", false}});
         }},
        {"format",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             wish.format = one_of<plan::FormatWish>(key, value,
                                                    {{"auto", plan::FormatWish::automatic},
                                                     {"tiff", plan::FormatWish::tiff},
                                                     {"jpeg", plan::FormatWish::jpeg}});
         }},
        {"bits",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             wish.bits = one_of<int>(key, value, {{"8", 8}, {"16", 16}});
         }},
        {"compression",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             wish.compression =
                 one_of<std::string>(key, value, {{"none", "none"}, {"lzw", "lzw"}, {"deflate", "deflate"}});
         }},
        {"ppi",
         [](plan::Wish& wish, const auto& key, const auto& value) {
             const auto ppi = number(value);
             if (!ppi || *ppi < 10 || *ppi > 2400) refuse(key, value, "pixels per inch, from 10 to 2400");
             wish.ppi = base::PixelsPerInch{*ppi};
         }},
    };
    return table;
}

}  // namespace

void set_wish_word(plan::Wish& wish, const std::string& key, const std::string& value) {
    const auto setter = setters().find(key);
    if (setter == setters().end()) throw base::InvalidWish("A wish has no word \"" + key + "\".");
    setter->second(wish, key, value);
}

std::vector<std::string> wish_words() {
    std::vector<std::string> words;
    for (const auto& [word, setter] : setters()) words.push_back(word);
    return words;
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/room_light.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "engine/base/units_text.h"
#include "engine/colour/appearance.h"
#include "engine/colour/tone_curve.h"
#include "engine/jobs/light.h"
#include "engine/jobs/make.h"
#include "engine/optics/light.h"
#include "engine/plan/light.h"
#include "engine/shops/shop_folder.h"

namespace hangtrue::jobs {
namespace {

std::uint8_t code_of(const colour::ToneCurve& curve, double light) {
    return static_cast<std::uint8_t>(std::lround(255 * curve.to_encoded(std::clamp(light, 0.0, 1.0))));
}

/// The share of the screen's white, as light, that looks as bright beside it as `brightness` of it (CAM16's Q, to an
/// eye that is used to the screen). Q rises with light.
double share_as_bright_as(double brightness, double screen_candelas) {
    const colour::ViewingConditions conditions{.adapting_candelas = screen_candelas / 5};
    const colour::AppearanceUnder seeing(colour::AppearanceModel::cam16, conditions);
    const auto grey = [&](double share) {
        const colour::Xyz& white = conditions.white;
        return seeing.appearance({white.x * share, white.y * share, white.z * share}).brightness;
    };
    const double wanted = brightness * grey(1);
    double low = 0, high = 1;
    for (int i = 0; i < 40; ++i) (grey((low + high) / 2) < wanted ? low : high) = (low + high) / 2;
    return high;
}

shops::Medium medium_of(const plan::Wish& wish, const Context& context) {
    const shops::ShopFolder folder = known_shops(context);
    const shops::Shop* shop = shops::find_shop(folder, wish.shop);
    if (shop == nullptr) return {};
    for (const shops::Medium& medium : shop->media) {
        if (medium.id == wish.medium) return medium;
    }
    return {};
}

}  // namespace

RoomLight room_light(const std::string& light, const WishWords& words, const Context& context) {
    const plan::Wish order = wish_of(words);
    plan::Wish looked = order;
    set_wish_word(looked, "light", light);
    RoomLight shown;
    if (!looked.light) return shown;
    const shops::Medium medium = medium_of(order, context);
    const bool is_known = !medium.id.empty();
    const LightReport report = light_report({.light = *looked.light,
                                             .screen_candelas = order.screen_candelas,
                                             .shop = is_known ? order.shop : std::string(),
                                             .medium = is_known ? order.medium : std::string()},
                                            context);
    const double white = share_as_bright_as(std::min(1.0, report.brightness), order.screen_candelas);
    const optics::Seen there = optics::print_seen(looked.light->lux, plan::surface_of(medium));
    const plan::PlannedLight in_file = plan::planned_light(order, medium);
    const colour::ToneCurve curve = colour::ToneCurve::srgb();
    for (std::size_t code = 0; code < shown.wall.size(); ++code) {
        const double tone = curve.to_linear(static_cast<double>(code) / 255);
        const double printed = in_file.is_asked() ? optics::changed_tone(in_file.tones.lightness, tone) : tone;
        shown.wall[code] = code_of(curve, white * tone);
        shown.print[code] = code_of(curve, white * there.at(printed) / there.white);
    }
    shown.lux = looked.light->lux;
    shown.room = looked.light->room;
    shown.sentence = "Drawn as it looks at " + base::number_text(shown.lux, 0) + " lux" +
                     (shown.room.empty() ? "" : " (" + shown.room + ")") + ": ";
    if (report.brightness > 1.02) {
        shown.sentence += "brighter than this screen can show beside its own white, so as bright as that.";
    } else {
        shown.sentence +=
            "white " + base::number_text(100 * std::min(1.0, report.brightness), 0) + " % as bright as this screen's.";
    }
    if (in_file.changes())
        shown.sentence += " The file's tones are changed for " +
                          (in_file.room.empty() ? base::number_text(in_file.lux, 0) + " lux" : in_file.room) + ".";
    return shown;
}

}  // namespace hangtrue::jobs

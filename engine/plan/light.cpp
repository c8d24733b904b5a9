// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/light.h"

#include <tuple>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/plan/limits.h"

namespace hangtrue::plan {

static_assert(std::tuple_size_v<optics::ToneKnots> == colour::Correction::knots);

optics::Surface surface_of(const shops::Medium& medium) {
    // The metal itself is the white, and throws most of its light elsewhere than at the eye.
    if (medium.base == shops::Base::bare_metal) return {.reflectance = 0.6, .density = 2.0, .stray = 0.01};
    switch (medium.blur) {
        case shops::BlurClass::silver_halide: return {.reflectance = 0.88, .density = 2.2, .stray = 0.005};
        case shops::BlurClass::inkjet_gloss: return {.reflectance = 0.88, .density = 2.3, .stray = 0.005};
        case shops::BlurClass::inkjet_matte: return {.reflectance = 0.90, .density = 1.7, .stray = 0.01};
        case shops::BlurClass::inkjet_rag: return {.reflectance = 0.90, .density = 1.6, .stray = 0.01};
        case shops::BlurClass::canvas: return {.reflectance = 0.88, .density = 1.7, .stray = 0.01};
        case shops::BlurClass::latex_poster: return {.reflectance = 0.88, .density = 1.8, .stray = 0.008};
        case shops::BlurClass::metal: return {.reflectance = 0.85, .density = 2.2, .stray = 0.008};
        case shops::BlurClass::acrylic_mount: return {.reflectance = 0.82, .density = 2.2, .stray = 0.01};
        case shops::BlurClass::press_book: return {.reflectance = 0.82, .density = 1.7, .stray = 0.008};
    }
    return {};
}

colour::Correction as_correction(const optics::ToneKnots& knots) {
    colour::Correction change = colour::no_correction();
    change.lightness = knots;
    return change;
}

PlannedLight planned_light(const Wish& wish, const shops::Medium& medium) {
    if (!wish.light) return {};
    if (!(wish.light->lux >= least_lux && wish.light->lux <= most_lux)) {
        throw base::InvalidWish("Light on a print is " + base::number_text(least_lux, 0) + " to " +
                                base::number_text(most_lux, 0) + " lux, not " +
                                base::number_text(wish.light->lux, 2) + ".");
    }
    if (!(wish.screen_candelas >= least_candelas && wish.screen_candelas <= most_candelas)) {
        throw base::InvalidWish("A screen's white is " + base::number_text(least_candelas, 0) + " to " +
                                base::number_text(most_candelas, 0) + " cd/m2 bright, not " +
                                base::number_text(wish.screen_candelas, 2) + ".");
    }
    const optics::Surface surface = surface_of(medium);
    const optics::Seen matched =
        optics::print_seen(optics::lux_for(wish.screen_candelas, surface.reflectance), surface);
    PlannedLight light;
    light.lux = wish.light->lux;
    light.room = wish.light->room;
    light.screen_candelas = wish.screen_candelas;
    light.paper_reflectance = surface.reflectance;
    light.tones = as_correction(optics::tone_change(matched, optics::print_seen(light.lux, surface)));
    return light;
}

}  // namespace hangtrue::plan

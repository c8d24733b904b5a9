// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/light.h"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/colour/appearance.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/tickets.h"
#include "engine/optics/light.h"
#include "engine/picture/screen_and_paper.h"
#include "engine/plan/light.h"
#include "engine/shops/shop_folder.h"

namespace hangtrue::jobs {
namespace {

using base::number_text;

/// CAM16's brightness of a white of that luminance, to an eye that is used to it, in an average surround.
double brightness_of_white(double candelas) {
    const colour::ViewingConditions conditions{.adapting_candelas = candelas / 5};
    const colour::AppearanceUnder seeing(colour::AppearanceModel::cam16, conditions);
    return seeing.appearance(conditions.white).brightness;
}

std::string per_cent(double share) { return number_text(100 * share, 0) + " %"; }

std::string stops_text(double stops) {
    const std::string shown = number_text(std::abs(stops), 1);
    return shown + (shown == "1" ? " stop" : " stops");
}

std::string brightness_sentence(const LightReport& report) {
    const std::string where =
        number_text(report.light.lux, 0) + " lux" + (report.light.room.empty() ? "" : " (" + report.light.room + ")");
    const std::string screen = number_text(report.light.screen_candelas, 0) + " cd/m2";
    if (std::abs(report.stops) < picture::equal_stops) {
        return "Under " + where + " the print's white is as bright as the screen's (" + screen + ").";
    }
    return "Under " + where + " the print's white is " + stops_text(report.stops) +
           (report.stops > 0 ? " darker" : " brighter") + " than the screen's (" +
           number_text(report.paper_candelas, report.paper_candelas < 10 ? 1 : 0) + " against " + screen +
           "), and to an eye that is used to each it looks " + per_cent(report.brightness) + " as bright.";
}

std::vector<std::string> sentences_of(const LightReport& report) {
    std::vector<std::string> sentences{brightness_sentence(report)};
    const ToneRange& shadows = report.ranges.front();
    if (report.light.lux < report.matching_lux) {
        sentences.push_back(
            "Of the steps that the eye tells apart in its deep shadows where print and screen are equally bright, " +
            per_cent(shadows.there / shadows.matched) + " are left there.");
    }
    constexpr int told_from = 2;  // Fewer levels nobody misses.
    if (report.last_merged_code >= told_from) {
        sentences.push_back("The darkest greys, up to level " + std::to_string(report.last_merged_code + 1) +
                            " of 255, run together into one black.");
    }
    if (report.light.changes()) {
        sentences.push_back("The change that --light makes: middle grey " + number_text(report.middle_stops, 2) +
                            " stop lighter, white and black where they are; " +
                            per_cent(shadows.changed / shadows.matched) + " of the deep shadows' steps are then left.");
    } else {
        sentences.emplace_back("That is light enough: --light would change nothing.");
    }
    if (report.stops > 0.5) {
        sentences.push_back(
            "A picture judged on a screen that bright will look dark in that room whatever the file "
            "says. Turn the screen down until its white is as bright as paper beside it (`hangtrue "
            "light --photograph` compares them), and judge pictures so; " +
            number_text(report.matching_lux, 0) + " lux on the print would match this screen.");
    }
    return sentences;
}

std::string guess_text(double guess, double least, double most) {
    return "about " + stops_text(guess) + " (between " + number_text(std::abs(least), 1) + " and " +
           number_text(std::abs(most), 1) + ": a camera's tone curve is not known)";
}

std::vector<std::string> sentences_of(const PhotographReport& report) {
    std::vector<std::string> sentences;
    if (report.are_equal) {
        sentences.emplace_back(
            "Screen and paper are equally bright, within a sixth of a stop: prints judged in this "
            "light will look as bright as on this screen. Leave both as they are.");
    } else if (report.stops > 0) {
        sentences.push_back("The screen is brighter than the paper, by " +
                            guess_text(report.stops, report.least, report.most) +
                            ". This is the usual reason for prints that look too dark.");
        sentences.push_back("Turn the screen's own brightness down, to about " + per_cent(std::exp2(-report.stops)) +
                            " of its light, or judge prints in more light. Then take another photograph and compare "
                            "again.");
    } else {
        sentences.push_back("The paper is brighter than the screen, by " +
                            guess_text(report.stops, report.least, report.most) +
                            ": prints will look lighter than the screen shows them.");
        sentences.push_back("Turn the screen's own brightness up, to about " +
                            number_text(std::exp2(-report.stops), 1) +
                            " times its light, or judge prints in less light. Then take another photograph and compare "
                            "again.");
    }
    if (report.lux) {
        sentences.push_back("With the screen's brightness as you gave it, the light on the paper is about " +
                            number_text(*report.lux, 0) + " lux (between " + number_text(report.least_lux, 0) +
                            " and " + number_text(report.most_lux, 0) + ").");
    }
    return sentences;
}

constexpr int photograph_px = 1000;  // More shows nothing more of flat areas.

base::PixelRect scaled(base::PixelRect rect, double scale) {
    const auto whole = [scale](int value) { return static_cast<int>(std::lround(value * scale)); };
    return {whole(rect.x), whole(rect.y), whole(rect.width), whole(rect.height)};
}

}  // namespace

std::vector<KnownRoom> known_rooms() {
    std::vector<KnownRoom> rooms;
    for (const optics::Room& room : optics::rooms()) {
        rooms.push_back({std::string(room.id), std::string(room.name), room.lux, std::string(room.source)});
    }
    return rooms;
}

LightReport light_report(const LightRequest& request, const Context& context) {
    shops::Medium medium;
    LightReport report;
    if (!request.shop.empty()) {
        const shops::ShopFolder shops = known_shops(context);
        medium = shops::medium_named(shops::shop_named(shops, request.shop), request.medium);
        report.medium_name = medium.name;
    }
    plan::Wish wish;
    wish.light = request.light;
    wish.screen_candelas = request.screen_candelas;
    report.light = plan::planned_light(wish, medium);

    const optics::Surface surface = plan::surface_of(medium);
    const optics::Seen screen = optics::screen_seen(request.screen_candelas);
    report.matching_lux = optics::lux_for(request.screen_candelas, surface.reflectance);
    const optics::Seen matched = optics::print_seen(report.matching_lux, surface);
    const optics::Seen there = optics::print_seen(request.light.lux, surface);
    report.paper_candelas = optics::paper_luminance(request.light.lux, surface.reflectance);
    report.stops = std::log2(request.screen_candelas / report.paper_candelas);
    report.brightness = brightness_of_white(report.paper_candelas) / brightness_of_white(request.screen_candelas);
    report.density = optics::effective_density(surface.density, surface.stray);
    report.last_merged_code = optics::last_merged_code(there, optics::unchanged_tones());
    const optics::ToneKnots& knots = report.light.tones.lightness;
    report.merged_after = optics::last_merged_code(there, knots);
    constexpr std::size_t middle = colour::Correction::knots / 2;
    report.middle_stops = std::log2(colour::luminance_of(knots[middle]) / colour::luminance_of(50));
    struct Named {
        const char* name;
        double from, to;
    };
    for (const Named& range :
         {Named{"deep shadows", 0, 0.05}, {"shadows", 0.05, 0.18}, {"mid tones and lights", 0.18, 1}}) {
        const double from = optics::changed_tone(knots, range.from);
        const double to = optics::changed_tone(knots, range.to);
        report.ranges.push_back({range.name, range.from, range.to, optics::visible_steps(screen, range.from, range.to),
                                 optics::visible_steps(matched, range.from, range.to),
                                 optics::visible_steps(there, range.from, range.to),
                                 optics::visible_steps(there, from, to)});
    }
    report.sentences = sentences_of(report);
    return report;
}

PhotographReport photograph_report(const PhotographRequest& request, Context& context) {
    if (request.screen.has_value() != request.paper.has_value()) {
        throw base::InvalidWish("Give both areas, --screen-at and --paper-at, or neither.");
    }
    StageSeconds seconds;
    OpenedPicture opened = unmeasured_picture(request.photograph, scratch_folder(), context, seconds);
    const base::PixelSize size = opened.facts.info.size;
    const report::SmallPicture small = small_picture(
        opened, {0, 0, static_cast<double>(size.width), static_cast<double>(size.height)}, photograph_px, context);
    const double scale = static_cast<double>(small.size.width) / size.width;
    const picture::SmallPhotograph photograph{small.size, small.rgb};
    const auto areas = request.screen
                           ? picture::TwoAreas{picture::flat_area(photograph, scaled(*request.screen, scale)),
                                               picture::flat_area(photograph, scaled(*request.paper, scale))}
                           : picture::found_areas(photograph);
    const picture::ScreenAndPaper compared = picture::compared(areas.left, areas.right);
    PhotographReport report;
    report.were_found = !request.screen;
    report.screen = request.screen.value_or(scaled(compared.screen.rect, 1 / scale));
    report.paper = request.paper.value_or(scaled(compared.paper.rect, 1 / scale));
    report.stops = compared.stops;
    report.least = compared.least;
    report.most = compared.most;
    report.are_equal = compared.are_equal;
    if (request.screen_candelas) {
        const double reflectance = optics::Surface{}.reflectance;
        const auto lux = [&](double stops) {
            return optics::lux_for(*request.screen_candelas * std::exp2(-stops), reflectance);
        };
        report.lux = lux(report.stops);
        std::tie(report.least_lux, report.most_lux) = std::minmax({lux(report.least), lux(report.most)});
    }
    report.sentences = sentences_of(report);
    return report;
}

}  // namespace hangtrue::jobs

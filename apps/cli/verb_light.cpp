// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <string>
#include <vector>

#include "apps/cli/json_values.h"
#include "apps/cli/rectangles.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/jobs/light.h"
#include "engine/jobs/make.h"

namespace hangtrue::cli {

namespace {

using base::number_text;

jobs::LightRequest request_of(const Arguments& arguments) {
    jobs::LightRequest request;
    plan::Wish words;
    for (const char* name : {"light", "screen-brightness"}) {
        if (const auto value = arguments.text(name)) jobs::set_wish_word(words, name, *value);
    }
    if (words.light) request.light = *words.light;
    request.screen_candelas = words.screen_candelas;
    request.shop = arguments.text("shop").value_or("");
    request.medium = arguments.text("medium").value_or("");
    if (request.shop.empty() != request.medium.empty()) {
        throw base::InvalidWish("Whose paper it is takes both --shop and --medium.");
    }
    return request;
}

Json json_of(const jobs::LightReport& report) {
    Json json;
    json["lux"] = report.light.lux;
    json["room"] = report.light.room.empty() ? Json(nullptr) : Json(report.light.room);
    json["medium_name"] = report.medium_name.empty() ? Json(nullptr) : Json(report.medium_name);
    json["screen_cd_m2"] = report.light.screen_candelas;
    json["paper_cd_m2"] = report.paper_candelas;
    json["paper_reflectance"] = report.light.paper_reflectance;
    json["darker_stops"] = report.stops;
    json["looks_as_bright"] = report.brightness;
    json["matching_lux"] = report.matching_lux;
    json["density_of_black"] = report.density;
    json["merged_up_to_code"] = report.last_merged_code >= 0 ? Json(report.last_merged_code + 1) : Json(nullptr);
    json["merged_up_to_code_changed"] = report.merged_after >= 0 ? Json(report.merged_after + 1) : Json(nullptr);
    json["visible_steps"] = Json::array();
    for (const jobs::ToneRange& range : report.ranges) {
        json["visible_steps"].push_back({{"range", range.name},
                                         {"from_light", range.from},
                                         {"to_light", range.to},
                                         {"on_screen", range.on_screen},
                                         {"matched", range.matched},
                                         {"there", range.there},
                                         {"changed", range.changed}});
    }
    json["changes"] = report.light.changes();
    json["middle_stops"] = report.middle_stops;
    json["tones"] = Json::array();
    for (std::size_t i = 0; i < report.light.tones.lightness.size(); ++i) {
        json["tones"].push_back({{"lightness", colour::Correction::knot_step * static_cast<double>(i)},
                                 {"becomes", report.light.tones.lightness[i]}});
    }
    json["sentences"] = report.sentences;
    return json;
}

std::string ranges_text(const jobs::LightReport& report) {
    std::vector<std::vector<std::string>> rows{
        {"steps that the eye tells apart", "on the screen", "print as bright", "in the room", "tones changed"}};
    for (const jobs::ToneRange& range : report.ranges) {
        rows.push_back({range.name, number_text(range.on_screen, 0), number_text(range.matched, 0),
                        number_text(range.there, 0), number_text(range.changed, 0)});
    }
    return table_text(rows, 2);
}

std::string tones_text(const jobs::LightReport& report) {
    if (!report.light.changes()) return {};
    std::vector<std::vector<std::string>> rows{{"lightness in the picture", "in the file"}};
    for (std::size_t i = 0; i < report.light.tones.lightness.size(); i += 2) {
        rows.push_back({number_text(colour::Correction::knot_step * static_cast<double>(i), 0),
                        number_text(report.light.tones.lightness[i], 1)});
    }
    return "\n" + table_text(rows, 2);
}

Reply of_room(const Arguments& arguments, const jobs::Context& context) {
    const jobs::LightReport report = jobs::light_report(request_of(arguments), context);
    Reply reply;
    reply.json = json_of(report);
    for (const std::string& sentence : report.sentences) reply.text += sentence + "\n";
    reply.text += "\n" + ranges_text(report) + tones_text(report);
    return reply;
}

Reply of_all_rooms(const Arguments& arguments, const jobs::Context& context) {
    jobs::LightRequest request = request_of(arguments);
    Reply reply;
    reply.json["rooms"] = Json::array();
    std::vector<std::vector<std::string>> rows{
        {"--light", "lux", "white against the screen's", "deep shadows' steps left", "middle grey"}};
    std::string sources;
    for (const jobs::KnownRoom& room : jobs::known_rooms()) {
        request.light = {room.lux, room.name};
        const jobs::LightReport report = jobs::light_report(request, context);
        Json json = json_of(report);
        json["id"] = room.id;
        json["source"] = room.source;
        reply.json["rooms"].push_back(json);
        const jobs::ToneRange& shadows = report.ranges.front();
        const std::string stops = number_text(report.stops > 0 ? report.stops : -report.stops, 1);
        rows.push_back({room.id, number_text(room.lux, 0),
                        stops + (report.stops > 0 ? " stops darker" : " stops brighter"),
                        number_text(100 * std::min(1.0, shadows.there / shadows.matched), 0) + " %",
                        report.light.changes() ? "+" + number_text(report.middle_stops, 2) + " stop" : "stays"});
        sources += "  " + room.id + ", " + room.name + ": " + number_text(room.lux, 0) + " lux. " + room.source + "\n";
    }
    reply.text = "What rooms do to a print that was judged on a screen of " + number_text(request.screen_candelas, 0) +
                 " cd/m2 (--screen-brightness). Measured lux are better than a room's name.\n\n" + table_text(rows, 2) +
                 "\nWhere the lux come from:\n" + sources +
                 "\n`hangtrue light --light ROOM` says more of one of them; `make --light ROOM` changes the file.\n";
    return reply;
}

Reply of_photograph(const Arguments& arguments, const std::string& file, jobs::Context& context) {
    jobs::PhotographRequest request;
    request.photograph = file;
    if (const auto area = arguments.text("screen-at"))
        request.screen = rectangle_of("screen-at", *area, "the photograph");
    if (const auto area = arguments.text("paper-at")) request.paper = rectangle_of("paper-at", *area, "the photograph");
    if (arguments.has("screen-brightness")) request.screen_candelas = request_of(arguments).screen_candelas;
    const jobs::PhotographReport report = jobs::photograph_report(request, context);
    Reply reply;
    reply.json["photograph"] = file;
    reply.json["screen_at"] = cli::json_of(report.screen);
    reply.json["paper_at"] = cli::json_of(report.paper);
    reply.json["areas_found"] = report.were_found;
    reply.json["brighter"] = report.are_equal ? "neither" : report.stops > 0 ? "screen" : "paper";
    reply.json["screen_brighter_stops"] = report.stops;
    reply.json["screen_brighter_stops_least"] = report.least;
    reply.json["screen_brighter_stops_most"] = report.most;
    reply.json["lux"] = or_null(report.lux);
    reply.json["lux_least"] = report.lux ? Json(report.least_lux) : Json(nullptr);
    reply.json["lux_most"] = report.lux ? Json(report.most_lux) : Json(nullptr);
    reply.json["sentences"] = report.sentences;
    for (const std::string& sentence : report.sentences) reply.text += sentence + "\n";
    if (report.were_found) {
        reply.text += "The screen was taken to be the left of the two bright areas, at " +
                      std::to_string(report.screen.x) + "," + std::to_string(report.screen.y) + "," +
                      std::to_string(report.screen.width) + "," + std::to_string(report.screen.height) +
                      ", the paper the right one, at " + std::to_string(report.paper.x) + "," +
                      std::to_string(report.paper.y) + "," + std::to_string(report.paper.width) + "," +
                      std::to_string(report.paper.height) + "; were they otherwise, give --screen-at and --paper-at.\n";
    }
    return reply;
}

}  // namespace

Reply light(const Arguments& arguments, jobs::Context& context) {
    if (const auto file = arguments.text("photograph")) {
        if (arguments.has("light")) {
            throw base::InvalidWish(
                "--photograph compares what stands there, and --light reckons with a room: give one of them.");
        }
        for (const char* name : {"shop", "medium"}) {
            if (arguments.has(name)) {
                throw base::InvalidWish("--photograph looks at a sheet of plain paper, so --" + std::string(name) +
                                        " says nothing there: leave it out.");
            }
        }
        return of_photograph(arguments, *file, context);
    }
    for (const char* name : {"screen-at", "paper-at"}) {
        if (arguments.has(name)) {
            throw base::InvalidWish("--" + std::string(name) +
                                    " says where something stands in a photograph: --photograph is missing.");
        }
    }
    return arguments.text("light").value_or("off") == "off" ? of_all_rooms(arguments, context)
                                                            : of_room(arguments, context);
}

}  // namespace hangtrue::cli

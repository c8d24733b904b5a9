// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/broken_shops.h"
#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/jobs/look.h"
#include "engine/jobs/make.h"
#include "engine/jobs/shop_files.h"

namespace hangtrue::cli {

namespace {

using base::number_text;

Json known(const plan::SizeRow& row, double value) {
    return row.sharpness == plan::Sharpness::unknown ? Json(nullptr) : Json(value);
}

Json json_of(const plan::SizeRow& row) {
    Json json;
    json["name"] = row.name;
    json["width_mm"] = row.size.width.value;
    json["height_mm"] = row.size.height.value;
    json["picture_ppi"] = row.picture_ppi.value;
    json["enlarging"] = row.enlarging;
    json["sharp_from_m"] = row.sharp_from.value / 1000;
    json["crop_loss"] = row.crop_loss;
    json["below_least_ppi"] = row.below_least_ppi;
    json["price_cents"] = or_null(row.price_cents);
    json["sharpness"] = plan::sharpness_word(row.sharpness);
    json["detail_ppi"] = known(row, row.detail_ppi.value);
    json["detail_sharp_from_m"] = known(row, row.detail_sharp_from.value / 1000);
    json["wall_distance_m"] = row.wall_distance.value / 1000;
    return json;
}

Json json_of(const plan::MediumSizes& medium) {
    Json json;
    json["shop"] = medium.shop;
    json["shop_name"] = medium.shop_name;
    json["medium"] = medium.medium;
    json["medium_name"] = medium.medium_name;
    json["currency"] = medium.currency;
    json["ppi"] = medium.ppi.value;
    json["native_width_mm"] = medium.native.width.value;
    json["native_height_mm"] = medium.native.height.value;
    json["largest_without_enlarging"] = nullptr;
    if (medium.largest_without_enlarging) {
        json["largest_without_enlarging"] = medium.rows.at(*medium.largest_without_enlarging).name;
    }
    json["sizes"] = Json::array();
    for (const plan::SizeRow& row : medium.rows) json["sizes"].push_back(json_of(row));
    return json;
}

std::string enlarging_text(double factor) {
    const std::string shown = number_text(factor, 2);
    if (factor <= 1) return "none";
    return shown == "1" ? "hardly any" : shown + " times";
}

/// "sharp on the wall from 4.6 ft"; by the pixels alone where nothing is known of the detail.
std::string sharpness_text(const plan::SizeRow& row, base::ShownUnits units) {
    switch (row.sharpness) {
        case plan::Sharpness::unknown: break;
        case plan::Sharpness::in_the_hand: return "sharp in the hand";
        case plan::Sharpness::on_the_wall:
            return "sharp on the wall from " + base::distance_text(row.detail_sharp_from, units);
        case plan::Sharpness::soft:
            return "soft even from " + base::distance_text(row.wall_distance, units) + ", sharp from " +
                   base::distance_text(row.detail_sharp_from, units);
    }
    return "pixels vanish from " + base::distance_text(row.sharp_from, units);
}

std::string text_of(const plan::MediumSizes& medium, base::ShownUnits units) {
    std::string text = medium.medium_name + " from " + medium.shop_name + " (--shop " + medium.shop + " --medium " +
                       medium.medium + "), " + number_text(medium.ppi.value, 1) +
                       " ppi: the picture's own pixels give " + base::size_text(medium.native, units) + ". ";
    text += medium.largest_without_enlarging
                ? "The largest size without enlarging is " + medium.rows.at(*medium.largest_without_enlarging).name +
                      " (marked *).\n"
                : "Every size needs enlarging.\n";
    std::vector<std::vector<std::string>> rows{
        {"", "size", "hangs", "picture brings", "enlarging", "to the eye", "crop takes", "price"}};
    for (std::size_t i = 0; i < medium.rows.size(); ++i) {
        const plan::SizeRow& row = medium.rows[i];
        rows.push_back({
            medium.largest_without_enlarging == i ? "*" : "",
            row.name,
            base::size_text(row.size, units),
            number_text(row.picture_ppi.value, 0) + " ppi" + (row.below_least_ppi ? ", too little" : ""),
            enlarging_text(row.enlarging),
            sharpness_text(row, units),
            number_text(100 * row.crop_loss, 1) + " %",
            row.price_cents ? price_text(*row.price_cents, medium.currency) : "not told",
        });
    }
    return text + table_text(rows, 2);
}

/// ", detail of 9.2 megapixels (0.31 cycles a pixel), measured in 0.8 s"
std::string detail_text(const jobs::PictureSizes& picture) {
    if (!picture.detail_sentence.empty()) return "\n" + picture.detail_sentence;
    if (picture.detail_cycles_per_px == 0) return "";
    return ", detail of " + number_text(picture.true_megapixels, 1) + " megapixels (" +
           number_text(picture.detail_cycles_per_px, 2) + " cycles a pixel), measured in " +
           number_text(picture.seconds.measure, 1) + " s";
}

}  // namespace

Reply sizes(const Arguments& arguments, jobs::Context& context) {
    const std::vector<std::filesystem::path> pictures(arguments.positionals().begin(), arguments.positionals().end());
    if (arguments.has("medium") && !arguments.has("shop")) {
        throw base::InvalidWish("Say which shop's medium it is: --shop is missing.");
    }
    jobs::SizesQuestion question;
    question.shop = arguments.text("shop").value_or("");
    question.medium = arguments.text("medium").value_or("");
    question.headers_only = arguments.has("headers");
    plan::Wish wish;
    for (const char* key : {"distance", "room"}) {
        if (const auto word = arguments.text(key)) jobs::set_wish_word(wish, key, *word);
    }
    question.hanging = {wish.distance, wish.room_depth};
    const auto found = jobs::sizes(pictures, question, context);
    Reply reply;
    std::vector<ExitStatus> statuses;
    reply.json["pictures"] = Json::array();
    for (const jobs::PictureSizes& picture : found) {
        const ExitStatus status = status_of(picture.ending);
        statuses.push_back(status);
        Json json;
        json["picture"] = picture.picture.string();
        set_ending(json, status, picture.sentence);
        json["width_px"] = picture.pixels.width;
        json["height_px"] = picture.pixels.height;
        const bool is_known = picture.detail_cycles_per_px > 0;
        json["detail_cycles_per_pixel"] = is_known ? Json(picture.detail_cycles_per_px) : Json(nullptr);
        json["true_megapixels"] = is_known ? Json(picture.true_megapixels) : Json(nullptr);
        json["detail_sentence"] = picture.detail_sentence;
        json["measuring_s"] = picture.seconds.measure > 0 ? Json(picture.seconds.measure) : Json(nullptr);
        json["media"] = Json::array();
        for (const plan::MediumSizes& medium : picture.media) json["media"].push_back(json_of(medium));
        reply.json["pictures"].push_back(json);
        if (status != ExitStatus::done) {
            reply.errors.push_back(picture.sentence);
            continue;
        }
        reply.text +=
            picture.picture.filename().string() + ", " + pixels_text(picture.pixels) + detail_text(picture) + "\n";
        for (const plan::MediumSizes& medium : picture.media) reply.text += "\n" + text_of(medium, context.units);
        if (picture.media.empty()) {
            reply.text += "No shop with a medium is known yet in " + jobs::shops_folder(context).string() +
                          ". `hangtrue shop new NAME` begins one.\n";
        }
        reply.text += "\n";
    }
    reply.status = combined(statuses);
    add_broken_shops(reply, context);
    return reply;
}

}  // namespace hangtrue::cli

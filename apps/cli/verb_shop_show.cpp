// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "engine/base/units_text.h"
#include "engine/shops/listing.h"
#include "engine/shops/questions.h"
#include "engine/shops/shop_folder.h"
#include "engine/shops/shop_words.h"

namespace hangtrue::cli {

namespace {

using shops::word_for;

constexpr std::string_view not_told = "not told";

Json cents_of(const std::optional<shops::Price>& price) { return price ? Json(price->cents) : Json(nullptr); }

Json ppi_of(const std::optional<base::PixelsPerInch>& ppi) { return ppi ? Json(ppi->value) : Json(nullptr); }

Json edges_mm(const base::Edges<base::Millimetres>& edges) {
    return {{"top", edges.top.value},
            {"right", edges.right.value},
            {"bottom", edges.bottom.value},
            {"left", edges.left.value}};
}

Json json_of(const shops::Size& size) {
    Json json;
    json["name"] = size.name;
    json["width_mm"] = size.finished.width.value;
    json["height_mm"] = size.finished.height.value;
    json["file_width_mm"] = size.file ? Json(size.file->width.value) : Json(nullptr);
    json["file_height_mm"] = size.file ? Json(size.file->height.value) : Json(nullptr);
    json["process"] = size.process.empty() ? Json(nullptr) : Json(size.process);
    json["price_cents"] = cents_of(size.price);
    return json;
}

Json json_of(const shops::FileRules& rules) {
    Json json;
    json["formats"] = rules.formats;
    json["tiff_bits"] = or_null(rules.tiff_bits);
    json["tiff_compressions"] = or_null(rules.tiff_compressions);
    json["big_tiff"] = or_null(rules.big_tiff);
    json["most_bytes"] = or_null(rules.most_bytes);
    json["most_px"] = or_null(rules.most_pixels);
    json["most_side_px"] = or_null(rules.most_side_px);
    json["embed_profile"] = or_null(rules.embed_profile);
    json["name_rule"] = rules.name_rule;
    json["most_name_length"] = or_null(rules.most_name_length);
    json["ascii_names"] = or_null(rules.ascii_names);
    return json;
}

Json json_of(const shops::Medium& medium) {
    Json json;
    json["id"] = medium.id;
    json["name"] = medium.name;
    json["least_ppi"] = ppi_of(medium.ppi.least);
    json["wanted_ppi"] = medium.ppi.wanted.value;
    json["most_ppi"] = ppi_of(medium.ppi.most);
    json["pixels"] = word_for(shops::pixel_rule_words, medium.pixel_rule);
    json["shape_tolerance"] = medium.shape_tolerance;
    json["file_space"] = nullptr;
    if (medium.file_space) json["file_space"] = word_for(shops::file_space_words, *medium.file_space);
    json["print_profile"] = medium.print_profile.empty() ? Json(nullptr) : Json(medium.print_profile);
    json["file"] = json_of(medium.rules);
    json["sizes"] = Json::array();
    for (const shops::Size& size : medium.sizes) json["sizes"].push_back(json_of(size));
    json["free_sizes"] = nullptr;
    if (medium.free_sizes) {
        json["free_sizes"] = {{"least_side_mm", medium.free_sizes->least_side.value},
                              {"most_short_side_mm", medium.free_sizes->most_short_side.value},
                              {"most_long_side_mm", medium.free_sizes->most_long_side.value},
                              {"cents_per_square_metre", cents_of(medium.free_sizes->price_per_square_metre)}};
    }
    json["bleed"] = nullptr;
    if (medium.bleed) {
        json["bleed"] = {{"place", word_for(shops::bleed_words, medium.bleed->place)},
                         {"widths_mm", edges_mm(medium.bleed->widths)}};
    }
    json["wrap"] = nullptr;
    if (medium.wrap) {
        json["wrap"] = {{"maker", word_for(shops::wrap_maker_words, medium.wrap->maker)},
                        {"bar_depth_mm", medium.wrap->bar_depth.value},
                        {"back_fold_mm", medium.wrap->back_fold.value},
                        {"made_from", medium.wrap->made_from},
                        {"corner_squares", or_null(medium.wrap->corner_squares)}};
    }
    json["safe_area_mm"] = medium.safe_area ? Json(medium.safe_area->value) : Json(nullptr);
    json["base"] = word_for(shops::base_words, medium.base);
    json["finish"] = or_null(medium.finish);
    json["mount"] = or_null(medium.mount);
    json["mirrored"] = or_null(medium.mirrored);
    json["blur"] = word_for(shops::blur_words, medium.blur);
    json["f50_cycles_per_mm"] = medium.f50_cycles_per_mm();
    json["improvement_off"] = or_null(medium.improvement_off);
    json["same_process_for_all_sizes"] = or_null(medium.same_process_for_all_sizes);
    json["order_choices"] = medium.order_choices;
    json["open_questions"] = shops::open_questions(medium).size();
    return json;
}

std::string text_of(const shops::Medium& medium, const std::string& currency, base::ShownUnits units) {
    std::vector<std::vector<std::string>> facts;
    for (const shops::Fact& fact : shops::facts(medium, units)) facts.push_back({fact.label, fact.value});
    std::vector<std::vector<std::string>> sizes{{"size", "hangs", "file", "printed by", "price, " + currency}};
    for (const shops::PriceLine& line : shops::price_list(medium, units)) {
        const bool is_free = medium.free_sizes && sizes.size() > medium.sizes.size();
        const std::string price = line.price.empty() ? std::string(not_told) : line.price;
        sizes.push_back({is_free ? "cut to order" : line.name, line.finished, line.file, line.process,
                         is_free && !line.price.empty() ? price + " a square metre" : price});
    }
    return medium.id + ": " + medium.name + "\n" + table_text(facts, 2) + "\n" + table_text(sizes, 2);
}

}  // namespace

Reply shop_show(const Arguments& arguments, jobs::Context& context) {
    const auto all = jobs::known_shops(context);
    const std::vector<std::string>& names = arguments.positionals();
    shops::Shop shop = shops::shop_named(all, names[0]);
    if (names.size() > 1) shop.media = {shops::medium_named(shop, names[1])};

    Reply reply;
    Json json;
    json["id"] = shop.id;
    json["name"] = shop.name;
    json["currency"] = shop.currency;
    json["smallest_order_cents"] = cents_of(shop.smallest_order);
    json["postage_cents"] = cents_of(shop.postage);
    json["days"] = or_null(shop.days);
    json["contact"] = shop.contact;
    json["order_page"] = shop.order_page;
    json["media"] = Json::array();
    reply.text =
        shop.name + "\n" +
        table_text({{"orders", shop.order_page.empty() ? std::string(not_told) : shop.order_page},
                    {"contact", shop.contact.empty() ? std::string(not_told) : shop.contact},
                    {"postage", shop.postage ? price_text(shop.postage->cents, shop.currency) : std::string(not_told)},
                    {"days", shop.days ? std::to_string(*shop.days) : std::string(not_told)}},
                   2);
    for (const shops::Medium& medium : shop.media) {
        json["media"].push_back(json_of(medium));
        reply.text += "\n" + text_of(medium, shop.currency, context.units);
    }
    reply.json["shop"] = json;
    const std::size_t questions = shops::open_questions(shop).size();
    if (questions > 0) {
        reply.text += "\n" + std::to_string(questions) + (questions == 1 ? " question is" : " questions are") +
                      " still open: `hangtrue shop questions " + shop.id + "` writes the letter that asks.\n";
    }
    return reply;
}

}  // namespace hangtrue::cli

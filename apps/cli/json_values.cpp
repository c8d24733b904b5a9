// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/json_values.h"

#include <array>
#include <cstdio>

namespace hangtrue::cli {

namespace {

std::string name_of_severity(checks::Severity severity) {
    switch (severity) {
        case checks::Severity::stop: return "stop";
        case checks::Severity::look: return "look";
        case checks::Severity::note: return "note";
    }
    return "note";
}

std::string name_of(raster::FileFormat format) {
    switch (format) {
        case raster::FileFormat::tiff: return "tiff";
        case raster::FileFormat::jpeg: return "jpeg";
        case raster::FileFormat::png: return "png";
    }
    return "tiff";
}

std::string name_of(raster::TiffCompression compression) {
    switch (compression) {
        case raster::TiffCompression::none: return "none";
        case raster::TiffCompression::lzw: return "lzw";
        case raster::TiffCompression::deflate: return "deflate";
    }
    return "none";
}

std::string name_of(plan::Resampling resampling) {
    switch (resampling) {
        case plan::Resampling::none: return "none";
        case plan::Resampling::enlarge_encoded: return "enlarge";
        case plan::Resampling::reduce_linear: return "reduce";
    }
    return "none";
}

std::string name_of(colour::Intent intent) {
    switch (intent) {
        case colour::Intent::perceptual: return "perceptual";
        case colour::Intent::relative_colorimetric: return "relative";
        case colour::Intent::saturation: return "saturation";
        case colour::Intent::absolute_colorimetric: return "absolute";
    }
    return "relative";
}

std::string hex_colour(const plan::FlatColour& colour) {
    std::array<char, 8> text{};
    std::snprintf(text.data(), text.size(), "#%02x%02x%02x", colour.srgb[0], colour.srgb[1], colour.srgb[2]);
    return text.data();
}

Json edges_mm(const base::Edges<base::Millimetres>& edges) {
    return {{"top", edges.top.value},
            {"right", edges.right.value},
            {"bottom", edges.bottom.value},
            {"left", edges.left.value}};
}

Json json_of(const plan::PlannedSharpening& sharpening) {
    Json terms = Json::array();
    for (const sharpen::Term& term : sharpening.filter.terms) {
        terms.push_back({{"sigma_px", term.sigma_px}, {"gain", term.gain}});
    }
    Json json;
    json["on"] = !sharpening.filter.is_off();
    json["reason"] = sharpening.reason;
    json["terms"] = terms;
    json["threshold"] = sharpening.filter.threshold;
    json["overshoot_limit"] = sharpening.filter.overshoot_limit;
    json["highlight_fade"] = sharpening.filter.highlight_fade;
    json["shadow_fade"] = sharpening.filter.shadow_fade;
    json["acutance_before"] = sharpening.acutance_before;
    json["acutance_after"] = sharpening.acutance_after;
    json["largest_gain"] = sharpening.largest_gain;
    json["design_distance_m"] = sharpening.design_distance.value / 1000;
    json["closest_look_m"] = sharpening.closest_look.value / 1000;
    return json;
}

Json json_of(const plan::PlannedPicture& picture) {
    Json json;
    json["name"] = picture.name;
    json["sha256"] = picture.content.hex();
    json["width_px"] = picture.size.width;
    json["height_px"] = picture.size.height;
    json["profile_assumed"] = picture.profile_assumed;
    json["neutral"] = picture.is_neutral;
    json["noise_sd_of_255"] = picture.noise.sd_8bit;
    json["noise_coarse_share"] = picture.noise.coarse_share;
    json["blur_sigma_px"] = picture.blur.sigma_px;
    return json;
}

}  // namespace

Json json_of(const jobs::StageSeconds& seconds) {
    return {{"open", seconds.open},   {"measure", seconds.measure}, {"compute", seconds.compute},
            {"write", seconds.write}, {"sync", seconds.sync},       {"read_back", seconds.read_back},
            {"whole", seconds.whole}};
}

Json json_of(const std::vector<checks::Finding>& findings) {
    Json list = Json::array();
    for (const checks::Finding& finding : findings) {
        Json where = Json::array();
        for (const base::PixelRect& place : finding.where) where.push_back(json_of(place));
        list.push_back({{"name", finding.name},
                        {"severity", name_of_severity(finding.severity)},
                        {"sentence", finding.sentence},
                        {"way_out", finding.way_out},
                        {"option", finding.option.empty() ? Json(nullptr) : Json(finding.option)},
                        {"command", finding.command.empty() ? Json(nullptr) : Json(finding.command)},
                        {"figure", finding.figure},
                        {"limit", finding.limit},
                        {"unit", finding.unit},
                        {"where", where},
                        {"passable", finding.passable}});
    }
    return list;
}

Json json_of(base::PixelRect rect) {
    return {{"x_px", rect.x}, {"y_px", rect.y}, {"width_px", rect.width}, {"height_px", rect.height}};
}

Json json_of(const plan::PlannedNetwork& network) {
    if (network.doublings == 0) return nullptr;
    return {{"name", network.name},
            {"weights_sha256", network.weights.hex()},
            {"doublings", network.doublings},
            {"told_noise_sd_of_255", 255 * network.measures.noise_sd},
            {"told_blur_sigma_px", network.measures.blur_px},
            {"told_jpeg_table_factor", network.measures.coding},
            {"undone_blur_sigma_px", network.measures.undone_blur_px},
            {"grain", network.grain == enlarge::Grain::calm ? "calm" : "keep"}};
}

Json json_of(const plan::PlannedLight& light) {
    if (!light.is_asked()) return nullptr;
    return {{"lux", light.lux},
            {"room", light.room.empty() ? Json(nullptr) : Json(light.room)},
            {"screen_cd_m2", light.screen_candelas},
            {"paper_reflectance", light.paper_reflectance},
            {"changes", light.changes()},
            {"lightness_of_0_5_to_100", light.tones.lightness}};
}

Json json_of(const std::optional<render::Likeness>& likeness) {
    if (!likeness) return nullptr;
    return {{"mean_difference_of_255", likeness->mean},
            {"largest_block_difference_of_255", likeness->largest_block},
            {"block_side_px", render::Likeness::block_px},
            {"decibels", likeness->decibels()},
            {"compared_px", likeness->pixels}};
}

Json json_of(const plan::Plan& plan) {
    const plan::Geometry& geometry = plan.geometry;
    Json json;
    json["shop"] = plan.shop;
    json["shop_name"] = plan.shop_name;
    json["medium"] = plan.medium;
    json["medium_name"] = plan.medium_name;
    json["size_name"] = plan.size_name;
    json["process"] = plan.process;
    json["price_cents"] = or_null(plan.price_cents);
    json["currency"] = plan.currency;
    json["quantity"] = plan.quantity;
    json["panel"] = plan.panel;
    json["panels"] = plan.panels;
    json["gap_mm"] = plan.gap.value;
    json["ppi"] = plan.ppi.value;
    json["picture_ppi"] = plan.picture_ppi.value;
    json["enlarging"] = plan.enlarging;
    json["resampling"] = name_of(plan.resampling);
    json["network"] = json_of(plan.network);
    json["width_px"] = geometry.file.width;
    json["height_px"] = geometry.file.height;
    json["crop"] = {{"x_px", geometry.crop.x},
                    {"y_px", geometry.crop.y},
                    {"width_px", geometry.crop.width},
                    {"height_px", geometry.crop.height}};
    json["image"] = cli::json_of(geometry.image);
    json["fill"] = geometry.fill == plan::Fill::mirror ? "mirror" : "colour";
    json["fill_colour"] = hex_colour(geometry.fill_colour);
    json["mirrored"] = geometry.mirrored;
    json["finished_width_mm"] = geometry.finished.width.value;
    json["finished_height_mm"] = geometry.finished.height.value;
    json["finished"] = cli::json_of(geometry.finished_px);
    json["bleed_mm"] = edges_mm(geometry.bleed);
    json["wrap_mm"] = edges_mm(geometry.wrap);
    json["border_mm"] = edges_mm(geometry.border);
    json["safe_area_mm"] = geometry.safe_area.value;
    json["sharpening"] = json_of(plan.sharpening);
    json["light"] = json_of(plan.light);
    json["correction"] = plan.correction.id > 0 ? Json(plan.correction.id) : Json(nullptr);
    json["file_space"] = plan.file_space_name;
    json["intent"] = name_of(plan.conversion.intent);
    json["black_point_compensation"] = plan.conversion.black_point_compensation;
    json["format"] = name_of(plan.file.format);
    json["format_reason"] = plan.file.format_reason;
    json["bits"] = plan.file.bits;
    json["compression"] = name_of(plan.file.compression);
    json["big_tiff"] = plan.file.big_tiff;
    json["most_bytes"] = or_null(plan.file.most_bytes);
    json["name"] = plan.file.name;
    json["embed_profile"] = plan.file.embed_profile;
    json["order_choices"] = plan.order_choices;
    json["picture"] = json_of(plan.picture);
    json["versions"] = {{"resample", plan.versions.resample},
                        {"sharpen", plan.versions.sharpen},
                        {"colour", plan.versions.colour},
                        {"edges", plan.versions.edges},
                        {"dither", plan.versions.dither}};
    return json;
}

void set_ending(Json& job, ExitStatus status, const std::string& sentence) {
    job["status"] = static_cast<int>(status);
    job["ending"] = name_of(status);
    job["sentence"] = sentence;
}

}  // namespace hangtrue::cli

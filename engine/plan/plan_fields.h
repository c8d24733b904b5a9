// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The one list of a plan's fields, in the order of its text: what writes a plan and what reads it
/// walk the same list, so that they cannot part. Internal to plan_file.cpp.

#include <cstdint>
#include <vector>

#include "engine/plan/limits.h"
#include "engine/plan/plan.h"
#include "engine/text/document.h"

namespace hangtrue::plan {

inline constexpr text::Word<Fill> fill_words[] = {{"colour", Fill::colour}, {"mirror", Fill::mirror}};
inline constexpr text::Word<Resampling> resampling_words[] = {{"none", Resampling::none},
                                                              {"enlarge_encoded", Resampling::enlarge_encoded},
                                                              {"reduce_linear", Resampling::reduce_linear}};
inline constexpr text::Word<enlarge::Grain> grain_words[] = {{"keep", enlarge::Grain::keep},
                                                             {"calm", enlarge::Grain::calm}};
inline constexpr text::Word<colour::Intent> intent_words[] = {
    {"perceptual", colour::Intent::perceptual},
    {"relative_colorimetric", colour::Intent::relative_colorimetric},
    {"saturation", colour::Intent::saturation},
    {"absolute_colorimetric", colour::Intent::absolute_colorimetric}};
inline constexpr text::Word<raster::FileFormat> format_words[] = {{"tiff", raster::FileFormat::tiff},
                                                                  {"jpeg", raster::FileFormat::jpeg}};
inline constexpr text::Word<raster::TiffCompression> compression_words[] = {
    {"none", raster::TiffCompression::none},
    {"lzw", raster::TiffCompression::lzw},
    {"deflate", raster::TiffCompression::deflate}};

inline constexpr double most_moved = 100;  // Whether the curves make a correction is seen when all are read.
inline constexpr double longest_mm = 1e6;
inline constexpr int most_picture_side_px = 1'000'000;
/// A Gaussian wider than this is no output sharpening, and its kernel no small one.
inline constexpr double widest_sharpening_px = 64;
inline constexpr double largest_term_gain = 100;

template <typename Fields>
void lengths(Fields& fields, const char* key, base::Edges<base::Millimetres>& edges) {
    fields.reals(key, {&edges.top.value, &edges.right.value, &edges.bottom.value, &edges.left.value}, 0, longest_mm);
}

template <typename Fields>
void rectangle(Fields& fields, const char* key, base::PixelRect& rect) {
    fields.integers(key, {&rect.x, &rect.y, &rect.width, &rect.height}, 0, most_file_side_px);
}

template <typename Fields>
void visit_picture(Fields& fields, PlannedPicture& picture) {
    fields.table({"picture"});
    fields.string("name", picture.name);
    fields.hash("content", picture.content);
    fields.integers("size", {&picture.size.width, &picture.size.height}, 1, most_picture_side_px);
    fields.hash("profile", picture.profile);
    fields.boolean("profile_assumed", picture.profile_assumed);
    fields.boolean("neutral", picture.is_neutral);
    fields.real("noise_sd_8bit", picture.noise.sd_8bit, 0, 255);
    fields.later_real("noise_coarse_share", picture.noise.coarse_share, 0, 1);
    fields.real("blur_sigma_px", picture.blur.sigma_px, 0, 1000);
    fields.string("copyright", picture.copyright);
    fields.string("author", picture.author);
}

template <typename Fields>
void visit_order(Fields& fields, Plan& plan) {
    fields.table({"order"});
    fields.string("shop", plan.shop);
    fields.string("shop_name", plan.shop_name);
    fields.string("medium", plan.medium);
    fields.string("medium_name", plan.medium_name);
    fields.string("size", plan.size_name);
    fields.string("process", plan.process);
    fields.optional_integer("price_cents", plan.price_cents, 0, INT64_MAX);
    fields.string("currency", plan.currency);
    fields.integer("quantity", plan.quantity, 1, most_quantity);
    fields.integer("panel", plan.panel, 1, most_panels);
    fields.integer("panels", plan.panels, 1, most_panels);
    fields.real("gap_mm", plan.gap.value, 0, most_gap.value);
    fields.strings("choices", plan.order_choices);
}

template <typename Fields>
void visit_geometry(Fields& fields, Geometry& geometry) {
    fields.table({"geometry"});
    fields.integers("file_px", {&geometry.file.width, &geometry.file.height}, 1, most_file_side_px);
    rectangle(fields, "image_px", geometry.image);
    fields.reals("crop", {&geometry.crop.x, &geometry.crop.y, &geometry.crop.width, &geometry.crop.height}, 0,
                 most_picture_side_px);
    fields.word("fill", geometry.fill, fill_words);
    fields.bytes("fill_colour", geometry.fill_colour.srgb);
    fields.boolean("mirrored", geometry.mirrored);
    fields.reals("finished_mm", {&geometry.finished.width.value, &geometry.finished.height.value}, 0, longest_mm);
    rectangle(fields, "finished_px", geometry.finished_px);
    lengths(fields, "bleed_mm", geometry.bleed);
    lengths(fields, "wrap_mm", geometry.wrap);
    lengths(fields, "border_mm", geometry.border);
    fields.real("safe_area_mm", geometry.safe_area.value, 0, longest_mm);
}

template <typename Fields>
void visit_scale(Fields& fields, Plan& plan) {
    fields.table({"scale"});
    fields.real("ppi", plan.ppi.value, 1, 10'000);
    fields.real("picture_ppi", plan.picture_ppi.value, 0, 1e7);
    fields.real("enlarging", plan.enlarging, least_enlarging / 2, most_enlarging * 2);
    fields.word("resampling", plan.resampling, resampling_words);
}

/// Earlier plans have none, and neither have those that the filter alone enlarges.
template <typename Fields>
void visit_network(Fields& fields, PlannedNetwork& network) {
    if (!fields.later_table("network", network.doublings > 0)) return;
    fields.later_version("version", network.version, PlannedNetwork::newest_version);
    fields.string("name", network.name);
    fields.hash("weights", network.weights);
    fields.integer("doublings", network.doublings, 1, 2);
    fields.real("noise_sd", network.measures.noise_sd, 0, 1);
    fields.real("blur_px", network.measures.blur_px, 0, 1000);
    fields.real("coding", network.measures.coding, 0, 100);
    fields.later_real("undone_blur_px", network.measures.undone_blur_px, 0, 1000);
    fields.word("grain", network.grain, grain_words);
}

template <typename Fields>
void visit_sharpening(Fields& fields, PlannedSharpening& sharpening) {
    auto& filter = sharpening.filter;
    fields.table({"sharpening"});
    fields.each("sigmas_px", filter.terms, &sharpen::Term::sigma_px, 0, widest_sharpening_px);
    fields.each("gains", filter.terms, &sharpen::Term::gain, -largest_term_gain, largest_term_gain);
    fields.real("threshold", filter.threshold, 0, 1000);
    fields.real("overshoot_limit", filter.overshoot_limit, 0, 1);
    fields.real("highlight_fade", filter.highlight_fade, 0, 1);
    fields.real("shadow_fade", filter.shadow_fade, 0, 1);
    fields.real("acutance_before", sharpening.acutance_before, 0, 100);
    fields.real("acutance_after", sharpening.acutance_after, 0, 100);
    fields.real("largest_gain", sharpening.largest_gain, 0, 1000);
    fields.real("design_distance_mm", sharpening.design_distance.value, 0, longest_mm);
    fields.real("closest_look_mm", sharpening.closest_look.value, 0, longest_mm);
    fields.string("reason", sharpening.reason);
}

template <typename Fields>
void visit_colour(Fields& fields, Plan& plan) {
    fields.table({"colour"});
    fields.hash("file_profile", plan.file_profile);
    fields.long_integer("file_profile_bytes", plan.file_profile_bytes, 0, INT32_MAX);
    fields.string("file_space", plan.file_space_name);
    fields.word("intent", plan.conversion.intent, intent_words);
    fields.boolean("black_point_compensation", plan.conversion.black_point_compensation);
}

/// Earlier plans have none, and neither have those that no light was told for.
template <typename Fields>
void visit_light(Fields& fields, PlannedLight& light) {
    if (!fields.later_table("light", light.is_asked())) return;
    fields.real("lux", light.lux, least_lux, most_lux);
    fields.string("room", light.room);
    fields.real("screen_candelas", light.screen_candelas, least_candelas, most_candelas);
    fields.real("paper_reflectance", light.paper_reflectance, 0.01, 1);
    fields.curve("lightness", light.tones.lightness, 0, 100);
}

/// Earlier plans have none.
template <typename Fields>
void visit_correction(Fields& fields, PlannedCorrection& correction) {
    if (!fields.later_table("correction", correction.id > 0)) return;
    fields.long_integer("id", correction.id, 1, INT64_MAX);
    fields.curve("lightness", correction.curves.lightness, 0, 100);
    fields.curve("a", correction.curves.a, -most_moved, most_moved);
    fields.curve("b", correction.curves.b, -most_moved, most_moved);
}

/// Prints have none.
template <typename Fields>
void visit_test_sheet(Fields& fields, std::int64_t& number) {
    if (fields.later_table("test_sheet", number > 0)) fields.long_integer("number", number, 1, INT64_MAX);
}

template <typename Fields>
void visit_file(Fields& fields, PlannedFile& file) {
    fields.table({"file"});
    fields.string("name", file.name);
    fields.word("format", file.format, format_words);
    fields.integer("bits", file.bits, 8, 16);
    fields.word("compression", file.compression, compression_words);
    fields.boolean("big_tiff", file.big_tiff);
    fields.optional_integer("most_bytes", file.most_bytes, 0, INT64_MAX);
    fields.boolean("embed_profile", file.embed_profile);
    fields.string("why", file.format_reason);
}

template <typename Fields>
void visit_plan(Fields& fields, Plan& plan) {
    constexpr StageVersions newest;
    fields.table({"versions"});
    fields.version("resample", plan.versions.resample, newest.resample);
    fields.version("sharpen", plan.versions.sharpen, newest.sharpen);
    fields.version("colour", plan.versions.colour, newest.colour);
    fields.version("edges", plan.versions.edges, newest.edges);
    fields.version("dither", plan.versions.dither, newest.dither);
    visit_picture(fields, plan.picture);
    visit_order(fields, plan);
    visit_geometry(fields, plan.geometry);
    visit_scale(fields, plan);
    visit_network(fields, plan.network);
    visit_sharpening(fields, plan.sharpening);
    visit_colour(fields, plan);
    visit_light(fields, plan.light);
    visit_correction(fields, plan.correction);
    visit_file(fields, plan.file);
    visit_test_sheet(fields, plan.test_sheet);
}

}  // namespace hangtrue::plan

// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "engine/jobs/detail.h"

namespace hangtrue::cli {

namespace {

Json json_of(const jobs::PictureDetail& found) {
    const auto& measured = found.detail.measured;
    Json json;
    json["picture"] = found.picture.string();
    set_ending(json, status_of(found.ending), found.sentence);
    if (found.ending != jobs::Ending::done) return json;
    json["width_px"] = found.pixels.width;
    json["height_px"] = found.pixels.height;
    json["bits"] = found.bits;
    json["detail_cycles_per_pixel"] = measured.detail_cycles_per_px;
    json["true_megapixels"] = found.true_megapixels;
    json["noise_sd_8bit"] = measured.noise.sd_8bit;
    json["noise_coarse_share"] = measured.noise.coarse_share;
    json["noise_by_brightness"] = Json::array();
    for (const auto& noise : found.detail.noise_by_brightness)
        json["noise_by_brightness"].push_back({{"luminance_8bit", noise.luminance}, {"noise_sd_8bit", noise.sd_8bit}});
    json["enlarged_before"] = measured.enlarged_before;
    json["blur_sigma_px"] = measured.blur.sigma_px;
    json["halo_overshoot"] = measured.halo_overshoot;
    json["jpeg_quality"] = found.jpeg_quality > 0 ? Json(found.jpeg_quality) : Json(nullptr);
    json["jpeg_in_the_past"] = found.jpeg_in_the_past;
    json["blocking"] = measured.blocking;
    json["clipped_white"] = measured.clipped_white;
    json["clipped_black"] = measured.clipped_black;
    json["spectrum_cycles_per_pixel"] = found.detail.spectrum_cycles_per_px;
    json["spectrum"] = Json::array();
    for (const auto& point : found.detail.spectrum) {
        json["spectrum"].push_back(
            {{"cycles_per_pixel", point.cycles_per_px}, {"power_8bit", point.power}, {"noise_8bit", point.noise}});
    }
    json["sharpest_px"] = Json::array();
    for (const auto& part : found.detail.sharpest) json["sharpest_px"].push_back(cli::json_of(part));
    json["sentences"] = found.sentences;
    json["seconds"] = cli::json_of(found.seconds);
    return json;
}

}  // namespace

Reply detail(const Arguments& arguments, jobs::Context& context) {
    jobs::DetailRequest request;
    request.pictures.assign(arguments.positionals().begin(), arguments.positionals().end());
    if (const auto report = arguments.text("report")) request.report = *report;
    request.replace = arguments.has("replace");
    const jobs::DetailOutcome outcome = jobs::detail(request, context);

    Reply reply;
    std::vector<ExitStatus> statuses;
    reply.json["pictures"] = Json::array();
    for (const jobs::PictureDetail& found : outcome.pictures) {
        statuses.push_back(status_of(found.ending));
        reply.json["pictures"].push_back(json_of(found));
        if (found.ending != jobs::Ending::done) {
            reply.errors.push_back(found.sentence);
            continue;
        }
        reply.text += found.picture.filename().string() + ", " + pixels_text(found.pixels) + "\n";
        for (const std::string& sentence : found.sentences) reply.text += "  " + sentence + "\n";
        reply.text += "\n";
    }
    reply.json["report"] = nullptr;
    if (request.report) {
        statuses.push_back(status_of(outcome.report_ending));
        if (outcome.report_ending != jobs::Ending::done) {
            reply.errors.push_back(outcome.report_sentence);
        } else if (outcome.is_report_made) {
            reply.json["report"] = request.report->string();
            reply.text += request.report->string() + " is made.\n";
        }
    }
    reply.status = combined(statuses);
    return reply;
}

}  // namespace hangtrue::cli

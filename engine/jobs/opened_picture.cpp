// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/opened_picture.h"

#include "engine/base/hash.h"
#include "engine/colour/conversion.h"
#include "engine/picture/measure.h"
#include "engine/text/document.h"
#include "engine/text/writer.h"

namespace hangtrue::jobs {
namespace {

/// Raised whenever measuring would find other figures.
constexpr int measuring_version = 1;

std::string measured_text(const picture::Measured& measured) {
    text::Writer writer(1);
    writer.value("noise_sd_8bit", measured.noise.sd_8bit)
        .value("blur_sigma_px", measured.blur.sigma_px)
        .value("is_neutral", measured.is_neutral)
        .value("clipped_white", measured.clipped_white)
        .value("clipped_black", measured.clipped_black);
    return writer.text();
}

picture::Measured measured_from_text(std::string_view kept) {
    const text::Document document = text::Document::parse(kept, "the ledger's record of what was measured", 1);
    text::Table root = document.root();
    picture::Measured measured;
    measured.noise.sd_8bit = root.required("noise_sd_8bit").any_real();
    measured.blur.sigma_px = root.required("blur_sigma_px").any_real();
    measured.is_neutral = root.required("is_neutral").boolean();
    measured.clipped_white = root.required("clipped_white").any_real();
    measured.clipped_black = root.required("clipped_black").any_real();
    return measured;
}

picture::Measured measured_once(const base::Sha256& content, raster::RowReader& reader, ledger::Ledger& ledger,
                                Context& context) {
    if (const auto kept = ledger.measured(content, measuring_version)) return measured_from_text(*kept);
    const picture::Measured measured = picture::measured(reader, context.progress);
    ledger.keep_measured(content, measuring_version, measured_text(measured));
    return measured;
}

colour::Profile assumed_profile(raster::SampleModel model) {
    switch (model) {
        case raster::SampleModel::grey: return colour::Profile::srgb_grey();
        case raster::SampleModel::lab: return colour::Profile::lab();
        case raster::SampleModel::rgb: break;
    }
    return colour::Profile::srgb();
}

}  // namespace

colour::SourceModel source_model(raster::SampleModel model) {
    switch (model) {
        case raster::SampleModel::grey: return colour::SourceModel::grey;
        case raster::SampleModel::lab: return colour::SourceModel::lab;
        case raster::SampleModel::rgb: break;
    }
    return colour::SourceModel::rgb;
}

std::filesystem::path ledger_file(const Context& context) { return context.data_folder / "ledger.sqlite"; }

OpenedPicture opened_picture(const std::filesystem::path& picture, const std::filesystem::path& scratch_folder,
                             ledger::Ledger& ledger, Context& context, StageSeconds& seconds) {
    std::unique_ptr<raster::RowReader> reader;
    {
        const base::Stopwatch stopwatch(seconds.open);
        reader = raster::open_picture(picture, {scratch_folder, context.faults}, context.progress);
    }
    const raster::PictureInfo& info = reader->info();
    const bool assumed = info.icc_profile.empty();
    OpenedPicture opened{
        .path = picture,
        .reader = nullptr,
        .profile = assumed ? assumed_profile(info.model)
                           : colour::Profile::from_bytes(info.icc_profile, picture.filename().string()),
        .facts = {},
        .remarks = {},
    };
    if (!info.notes.empty()) opened.remarks.push_back(picture.filename().string() + ": " + info.notes + ".");

    const base::Stopwatch stopwatch(seconds.measure);
    opened.facts.file_name = picture.filename().string();
    opened.facts.info = info;
    opened.facts.profile = opened.profile.hash();
    opened.facts.profile_assumed = assumed;
    opened.facts.content = base::sha256_of_file(picture, context.progress);
    opened.facts.measured = measured_once(opened.facts.content, *reader, ledger, context);
    ledger.keep_picture_place(opened.facts.content, std::filesystem::absolute(picture));
    opened.reader = std::move(reader);
    return opened;
}

}  // namespace hangtrue::jobs

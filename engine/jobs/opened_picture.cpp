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
constexpr int measuring_version = 4;

std::string measured_text(const picture::Measured& measured) {
    text::Writer writer(1);
    writer.value("noise_sd_8bit", measured.noise.sd_8bit)
        .value("noise_coarse_share", measured.noise.coarse_share)
        .value("blur_sigma_px", measured.blur.sigma_px)
        .value("jpeg_coding", measured.jpeg_coding)
        .value("is_neutral", measured.is_neutral)
        .value("clipped_white", measured.clipped_white)
        .value("clipped_black", measured.clipped_black)
        .value("detail_cycles_per_px", measured.detail_cycles_per_px)
        .value("enlarged_before", measured.enlarged_before)
        .value("halo_overshoot", measured.halo_overshoot)
        .value("blocking", measured.blocking);
    return writer.text();
}

picture::Measured measured_from_text(std::string_view kept) {
    const text::Document document = text::Document::parse(kept, "the ledger's record of what was measured", 1);
    text::Table root = document.root();
    picture::Measured measured;
    measured.noise.sd_8bit = root.required("noise_sd_8bit").any_real();
    measured.noise.coarse_share = root.required("noise_coarse_share").any_real();
    measured.blur.sigma_px = root.required("blur_sigma_px").any_real();
    measured.jpeg_coding = root.required("jpeg_coding").any_real();
    measured.is_neutral = root.required("is_neutral").boolean();
    measured.clipped_white = root.required("clipped_white").any_real();
    measured.clipped_black = root.required("clipped_black").any_real();
    measured.detail_cycles_per_px = root.required("detail_cycles_per_px").any_real();
    measured.enlarged_before = root.required("enlarged_before").any_real();
    measured.halo_overshoot = root.required("halo_overshoot").any_real();
    measured.blocking = root.required("blocking").any_real();
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

OpenedPicture unmeasured_picture(const std::filesystem::path& picture, const std::filesystem::path& scratch_folder,
                                 Context& context, StageSeconds& seconds) {
    const base::Stopwatch stopwatch(seconds.open);
    std::unique_ptr<raster::RowReader> reader =
        raster::open_picture(picture, {scratch_folder, context.faults}, context.progress);
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
    opened.facts.file_name = picture.filename().string();
    opened.facts.info = info;
    opened.facts.profile = opened.profile.hash();
    opened.facts.profile_assumed = assumed;
    opened.reader = std::move(reader);
    return opened;
}

OpenedPicture opened_picture(const std::filesystem::path& picture, const std::filesystem::path& scratch_folder,
                             const ledger::Ledger& ledger, Context& context, StageSeconds& seconds) {
    OpenedPicture opened = unmeasured_picture(picture, scratch_folder, context, seconds);
    const base::Stopwatch stopwatch(seconds.measure);
    measure(opened, ledger, context);
    return opened;
}

void measure(OpenedPicture& picture, const ledger::Ledger& ledger, Context& context) {
    picture.facts.content = base::sha256_of_file(picture.path, context.progress);
    const auto kept = ledger.measured(picture.facts.content, measuring_version);
    picture.facts.measured =
        kept ? measured_from_text(*kept) : picture::measured(*picture.reader, context.progress, context.threads);
}

void remember_picture(const OpenedPicture& picture, ledger::Ledger& ledger) {
    if (!ledger.measured(picture.facts.content, measuring_version)) {
        ledger.keep_measured(picture.facts.content, measuring_version, measured_text(picture.facts.measured));
    }
    ledger.keep_picture_place(picture.facts.content, std::filesystem::absolute(picture.path));
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/detail.h"

#include <algorithm>

#include "engine/base/units_text.h"
#include "engine/jobs/detail_words.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/tickets.h"
#include "engine/report/detail_page.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

constexpr int page_picture_px = 1000;

report::DetailPage page_of(const PictureDetail& result, OpenedPicture& opened, Context& context) {
    report::DetailPage page;
    page.picture_name = result.picture.stem().string();
    page.file_name = result.picture.filename().string();
    page.made_on = base::timestamp(context.clock.now()).substr(0, 10);
    page.pixels = result.pixels;
    page.sentences = result.sentences;
    const auto width = static_cast<double>(result.pixels.width);
    const auto height = static_cast<double>(result.pixels.height);
    page.picture = small_picture(opened, {0, 0, width, height}, page_picture_px, context);
    for (const base::PixelRect& part : result.detail.sharpest)
        page.sharpest.push_back({part.x / width, part.y / height, part.width / width, part.height / height});
    for (const picture::SpectrumPoint& point : result.detail.spectrum)
        page.spectrum.push_back({point.cycles_per_px, point.power, point.noise});
    page.cycles_per_px = result.detail.measured.detail_cycles_per_px;
    for (const picture::NoiseAtBrightness& noise : result.detail.noise_by_brightness)
        page.noise.push_back({noise.luminance, noise.sd_8bit});
    return page;
}

}  // namespace

DetailOutcome detail(const DetailRequest& request, Context& context) {
    DetailOutcome outcome;
    std::vector<report::DetailPage> pages;
    if (request.report) {
        const Ended end = ended([&] {
            for (const fs::path& picture : request.pictures) {
                expect_free_name(picture, *request.report, request.replace, context);
            }
        });
        outcome.report_ending = end.ending;
        outcome.report_sentence = end.sentence;
        if (end.ending != Ending::done) return outcome;
    }
    for (const fs::path& path : request.pictures) {
        PictureDetail& result = outcome.pictures.emplace_back();
        result.picture = path;
        const Ended end = ended([&] {
            const base::Stopwatch whole(result.seconds.whole);
            context.progress.check();
            const fs::path scratch = request.report ? base::folder_of(*request.report) : scratch_folder();
            OpenedPicture opened = unmeasured_picture(path, scratch, context, result.seconds);
            const raster::PictureInfo& info = opened.facts.info;
            result.pixels = info.size;
            result.bits = info.bits;
            {
                const base::Stopwatch stopwatch(result.seconds.measure);
                result.detail = picture::detail(*opened.reader, context.progress, context.threads);
            }
            const picture::Measured& measured = result.detail.measured;
            result.true_megapixels = picture::true_pixels(info.size, measured.detail_cycles_per_px) / 1e6;
            result.jpeg_in_the_past = info.jpeg_coding <= 0 && measured.jpeg_coding > 0;
            result.jpeg_quality =
                picture::jpeg_quality(result.jpeg_in_the_past ? measured.jpeg_coding : info.jpeg_coding);
            result.sentences = detail_sentences(result, context.units);
            if (request.report) pages.push_back(page_of(result, opened, context));
        });
        result.ending = end.ending;
        result.sentence = end.sentence;
    }
    if (request.report && !pages.empty()) {
        const Ended end = ended([&] {
            context.progress.check();
            report::write_detail_pages(pages, *request.report, existing_rule(request.replace), context.faults);
            outcome.is_report_made = true;
        });
        outcome.report_ending = end.ending;
        outcome.report_sentence = end.sentence;
    }
    return outcome;
}

}  // namespace hangtrue::jobs

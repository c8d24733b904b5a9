// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/look.h"

#include <algorithm>
#include <cmath>

#include "engine/base/error.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/print_file.h"
#include "engine/jobs/settled_wish.h"
#include "engine/raster/spill.h"
#include "engine/render/render.h"
#include "engine/shops/shop_file.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

fs::path folder_of(const fs::path& file) { return file.parent_path().empty() ? fs::path(".") : file.parent_path(); }

base::OutputFile::Existing existing_rule(bool replace) {
    return replace ? base::OutputFile::Existing::replace : base::OutputFile::Existing::refuse;
}

/// A plan that lays the whole picture on `size` pixels, in its own working form and depth.
plan::Plan resampling_plan(const std::string& name, const raster::PictureInfo& picture, base::PixelSize size,
                           const colour::Profile& profile) {
    const base::PixelSize whole = picture.size;
    plan::Plan plan;
    plan.picture.name = name;
    plan.picture.size = whole;
    plan.geometry.file = size;
    plan.geometry.image = {0, 0, size.width, size.height};
    plan.geometry.crop = {0, 0, static_cast<double>(whole.width), static_cast<double>(whole.height)};
    plan.enlarging = static_cast<double>(size.width) / whole.width;
    plan.resampling = plan.enlarging < 1 ? plan::Resampling::reduce_linear : plan::Resampling::enlarge_encoded;
    plan.file_profile = profile.hash();
    plan.file.bits = picture.bits;
    plan.versions.dither = 0;  // enlarging alone rounds, so that figures measured on it are the resampler's own
    return plan;
}

/// Bands into memory-bounded rows of a TIFF.
class RowsToTiff : public render::BandSink {
  public:
    explicit RowsToTiff(raster::TiffWriter& writer) : m_writer(writer) {}
    void take(render::Band& band) override { m_writer.append_rows(band.samples); }

  private:
    raster::TiffWriter& m_writer;
};

/// The window's rows as a picture of their own, so that the engine's resampler can bring them to the screen.
class WindowRows : public raster::RowReader {
  public:
    WindowRows(base::PixelSize size, int bits, const fs::path& scratch_folder, base::Faults& faults)
        : m_rows(scratch_folder, static_cast<std::size_t>(size.width) * 3 * static_cast<std::size_t>(bits / 8), size.height,
                 "the pixels of the view", faults) {
        m_info.size = size;
        m_info.bits = bits;
    }
    void write(int first, std::span<const std::byte> rows) { m_rows.write(first, rows); }
    void read_rows(int first, int, std::span<std::byte> out, base::Progress& progress) override {
        progress.check();
        m_rows.read(first, out);
    }

  private:
    raster::SpilledRows m_rows;
};

/// Cuts the window's rows out of whole blocks.
class WindowSink : public render::BandSink {
  public:
    WindowSink(base::PixelRect window, std::size_t pixel_bytes, WindowRows& rows)
        : m_window(window), m_pixel_bytes(pixel_bytes), m_rows(rows) {}
    void take(render::Band& band) override {
        const base::PixelRect common = base::intersection(band.rect, m_window);
        for (int y = common.y; y < common.bottom(); ++y) {
            const std::size_t at = (static_cast<std::size_t>(y - band.rect.y) * static_cast<std::size_t>(band.rect.width) +
                                    static_cast<std::size_t>(common.x - band.rect.x)) * m_pixel_bytes;
            m_rows.write(y - m_window.y, std::span(band.samples).subspan(at, static_cast<std::size_t>(common.width) * m_pixel_bytes));
        }
    }

  private:
    base::PixelRect m_window;
    std::size_t m_pixel_bytes;
    WindowRows& m_rows;
};

bool is_tiff_name(const fs::path& name) {
    std::string ending = name.extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (ending == ".tif" || ending == ".tiff") return true;
    if (ending == ".png") return false;
    throw base::InvalidWish(name.string() + " should end in .png or .tif, so that it is clear what to write.");
}

}  // namespace

std::vector<PictureSizes> sizes(const std::vector<fs::path>& pictures, const std::string& shop_name,
                                const std::string& medium_name, Context& context) {
    std::vector<shops::Shop> shops = known_shops(context);
    if (!shop_name.empty()) shops = {shops::shop_named(shops, shop_name)};
    if (!medium_name.empty()) {
        for (shops::Shop& shop : shops) shop.media = {shops::medium_named(shop, medium_name)};
    }
    std::vector<PictureSizes> result;
    for (const fs::path& picture : pictures) {
        context.progress.check();
        PictureSizes& sizes = result.emplace_back();
        sizes.picture = picture;
        const Ended end = ended([&] {
            sizes.pixels = raster::picture_info(picture).size;
            for (const shops::Shop& shop : shops) {
                for (const shops::Medium& medium : shop.media) {
                    sizes.media.push_back(plan::sizes_on(shop, medium, sizes.pixels));
                }
            }
        });
        sizes.ending = end.ending;
        sizes.sentence = end.sentence;
    }
    return result;
}

Viewed view(const ViewRequest& request, Context& context) {
    StageSeconds seconds;
    ledger::Ledger ledger(ledger_file(context));
    OpenedPicture picture = opened_picture(request.picture, folder_of(request.out), ledger, context, seconds);
    const SettledWish settled = settled_wish(request.wish, request.plan, picture, ledger, context);
    if (request.panel < 1 || request.panel > static_cast<int>(settled.plans.size())) {
        throw base::InvalidWish("There is no panel " + std::to_string(request.panel) + "; this wish has " +
                                std::to_string(settled.plans.size()) + ".");
    }
    const plan::Plan& plan = settled.plans[static_cast<std::size_t>(request.panel - 1)];
    const base::PixelSize file = plan.geometry.file;
    const base::PixelRect window = base::intersection(request.window, {0, 0, file.width, file.height});
    if (window.empty()) {
        throw base::InvalidWish("The window lies outside the file, which is " + std::to_string(file.width) + " x " +
                                std::to_string(file.height) + " pixels.");
    }
    if (!(request.scale > 0) || request.scale > 1) {
        throw base::InvalidWish("A scale is more than 0 and at most 1; " + base::number_text(request.scale, 4) + " is not.");
    }
    const PreparedStages prepared(plan, picture.facts.info.model, picture.profile, settled.file_profile);
    const base::PixelSize size{std::max(1, static_cast<int>(std::lround(window.width * request.scale))),
                               std::max(1, static_cast<int>(std::lround(window.height * request.scale)))};
    std::vector<std::byte> samples;
    if (request.scale == 1) {
        samples = render::rendered_window(prepared.stages(), *picture.reader, window, context.threads, context.progress);
    } else {
        WindowRows rows({window.width, window.height}, plan.file.bits, folder_of(request.out), context.faults);
        WindowSink sink(window, static_cast<std::size_t>(3 * plan.file.bits / 8), rows);
        render::render_window(prepared.stages(), *picture.reader, window, context.threads, sink, context.progress);
        const plan::Plan reduced = resampling_plan("the view", rows.info(), size, settled.file_profile);
        const PreparedStages reducing(reduced, raster::SampleModel::rgb, settled.file_profile, settled.file_profile);
        samples = render::rendered_window(reducing.stages(), rows, {0, 0, size.width, size.height}, context.threads, context.progress);
    }
    raster::write_png(request.out, size, 3, plan.file.bits, samples, settled.file_profile.bytes(),
                      existing_rule(request.replace), context.faults);
    return {window, size, plan.file.bits, plan.file.format == raster::FileFormat::jpeg};
}

Enlarged enlarge(const EnlargeRequest& request, Context& context) {
    if (!(request.factor > 0) || request.factor > 8) {
        throw base::InvalidWish("A factor is more than 0 and at most 8; " + base::number_text(request.factor, 4) + " is not.");
    }
    const bool tiff = is_tiff_name(request.out);
    StageSeconds seconds;
    ledger::Ledger ledger(ledger_file(context));
    OpenedPicture picture = opened_picture(request.in, folder_of(request.out), ledger, context, seconds);
    const base::PixelSize whole = picture.facts.info.size;
    const base::PixelSize size{std::max(1, static_cast<int>(std::lround(whole.width * request.factor))),
                               std::max(1, static_cast<int>(std::lround(whole.height * request.factor)))};
    const colour::WorkingForm working(picture.profile, source_model(picture.facts.info.model), picture.facts.file_name);
    const colour::Profile own = working.profile();
    const plan::Plan plan = resampling_plan(picture.facts.file_name, picture.facts.info, size, own);
    const PreparedStages prepared(plan, picture.facts.info.model, picture.profile, own);
    const auto profile = picture.facts.profile_assumed && working.is_own_space() ? std::span<const std::byte>() : own.bytes();
    if (tiff) {
        base::OutputFile file(request.out, existing_rule(request.replace), context.faults);
        raster::PrintTags tags;
        tags.size = size;
        tags.bits = plan.file.bits;
        tags.ppi = {300};
        tags.icc_profile.assign(profile.begin(), profile.end());
        tags.copyright = picture.facts.info.copyright;
        tags.author = picture.facts.info.author;
        raster::TiffForm form;
        form.big = raster::tiff_bytes_at_most(tags, form) > raster::classic_tiff_limit;
        raster::TiffWriter writer(file, tags, form);
        RowsToTiff sink(writer);
        render::render_file(prepared.stages(), *picture.reader, context.threads, sink, context.progress);
        writer.finish();
        file.sync();
        file.name_it();
    } else {
        const auto samples = render::rendered_window(prepared.stages(), *picture.reader, {0, 0, size.width, size.height},
                                                     context.threads, context.progress);
        raster::write_png(request.out, size, 3, plan.file.bits, samples, profile, existing_rule(request.replace), context.faults);
    }
    return {size, plan.file.bits};
}

}  // namespace hangtrue::jobs

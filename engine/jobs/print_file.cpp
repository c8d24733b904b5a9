// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/print_file.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <span>
#include <utility>

#include "engine/base/error.h"
#include "engine/base/hash.h"
#include "engine/base/units_text.h"
#include "engine/jobs/lossy.h"
#include "engine/jobs/opened_picture.h"
#include "engine/render/grid.h"

namespace hangtrue::jobs {
namespace {

constexpr int tiff_rows_per_strip = 64;
static_assert(render::block_height % tiff_rows_per_strip == 0, "a strip lies in one band");

/// Bands into a TIFF; compressed, where that is asked for, on the workers.
class TiffSink : public render::BandSink {
  public:
    TiffSink(raster::TiffWriter& writer, bool compressed, render::SampleRecord& record, double& write_seconds)
        : m_writer(writer), m_compressed(compressed), m_record(record), m_write_seconds(write_seconds) {}

    void prepare(render::Band& band) override {
        m_record.take_band(band.number, band.samples);
        if (!m_compressed) return;
        const std::size_t strip =
            band.samples.size() / static_cast<std::size_t>(band.rect.height) * tiff_rows_per_strip;
        const std::span<const std::byte> samples(band.samples);
        for (std::size_t at = 0; at < samples.size(); at += strip) {
            band.encoded.push_back(m_writer.encoded_strip(samples.subspan(at, std::min(strip, samples.size() - at))));
        }
    }

    void take(render::Band& band) override {
        const base::Stopwatch stopwatch(m_write_seconds);
        if (m_compressed) {
            for (const auto& strip : band.encoded) m_writer.append_encoded(strip);
        } else {
            m_writer.append_rows(band.samples);
        }
    }

  private:
    raster::TiffWriter& m_writer;
    bool m_compressed;
    render::SampleRecord& m_record;
    double& m_write_seconds;
};

/// Takes each band's digest while reading back.
raster::RowSink recording_into(render::SampleRecord& record) {
    return [&record](int first, int, std::span<const std::byte> samples) {
        record.take_band(first / render::block_height, samples);
    };
}

std::string quoted(const std::string& text) { return text.empty() ? "nothing" : "\"" + text + "\""; }

[[noreturn]] void refuse_damaged(const std::filesystem::path& name, const std::string& what) {
    throw base::WriteFailed("What the disk gave back is not what was written to it (" + what + "), so " +
                            name.string() +
                            " was not kept. Check the drive, then make the print again, best to another drive.");
}

void write_tiff(const PrintInputs& inputs, base::OutputFile& file, render::SampleRecord& record,
                StageSeconds& seconds) {
    const plan::PlannedFile& form = inputs.plan.file;
    raster::TiffWriter writer(file, print_tags(inputs.plan, inputs.file_profile),
                              {form.compression, form.big_tiff, tiff_rows_per_strip});
    TiffSink sink(writer, form.compression != raster::TiffCompression::none, record, seconds.write);
    inputs.render(sink);
    const base::Stopwatch stopwatch(seconds.write);
    writer.finish();
    if (form.most_bytes && file.size() > *form.most_bytes) {
        throw base::InvalidWish(
            "The file has " + base::bytes_text(file.size()) + ", and the shop takes at most " +
            base::bytes_text(*form.most_bytes) +
            ". Nothing was kept. Choose JPEG or 8 bits where the shop takes them, a lower --ppi or a smaller size.");
    }
}

/// A flat colour as a code of the file, so that it is flat there.
std::array<float, 3> flat_code(const plan::Plan& plan, const colour::Profile& file_profile) {
    const float most = plan.file.bits == 8 ? 255.0F : 65535.0F;
    std::array<float, 3> colour = colour::flat_colour(plan.geometry.fill_colour.srgb, file_profile);
    for (float& channel : colour) channel = std::round(channel * most) / most;
    return colour;
}

}  // namespace

PreparedStages::PreparedStages(const plan::Plan& plan, raster::SampleModel model,
                               const colour::Profile& picture_profile, const colour::Profile& file_profile,
                               std::shared_ptr<const enlarge::Network> network)
    : m_working(picture_profile, source_model(model), plan.picture.name),
      m_conversion(m_working, file_profile, plan.conversion,
                   {.light = plan.light.changes() ? &plan.light.tones : nullptr,
                    .correction = plan.correction.id > 0 ? &plan.correction.curves : nullptr}),
      m_network(std::move(network)),
      m_stages{plan, m_working, &m_conversion, flat_code(plan, file_profile), m_network.get()} {}

PrintInputs print_of_picture(const plan::Plan& plan, raster::RowReader& picture, const render::Stages& stages,
                             const colour::Profile& file_profile, Context& context) {
    std::shared_ptr<render::LikenessRecord> likeness;
    if (plan.network.doublings > 0) likeness = std::make_shared<render::LikenessRecord>(plan);
    const auto render = [&picture, &context, stages, likeness](render::BandSink& sink) {
        render::Stages noting = stages;
        noting.likeness = likeness.get();
        render::render_file(noting, picture, context.threads, sink, context.progress);
    };
    return {plan, file_profile, render, likeness};
}

raster::PrintTags print_tags(const plan::Plan& plan, const colour::Profile& file_profile) {
    raster::PrintTags tags;
    tags.size = plan.geometry.file;
    tags.bits = plan.file.bits;
    tags.ppi = plan.ppi;
    if (plan.file.embed_profile) tags.icc_profile.assign(file_profile.bytes().begin(), file_profile.bytes().end());
    tags.copyright = plan.picture.copyright;
    tags.author = plan.picture.author;
    return tags;
}

std::vector<std::string> tag_differences(const raster::FoundFile& found, const plan::Plan& plan,
                                         const raster::PrintTags& wanted) {
    std::vector<std::string> differences;
    const auto hold = [&](bool same, std::string sentence) {
        if (!same) differences.push_back(std::move(sentence));
    };
    const auto pixels = [](base::PixelSize size) {
        return std::to_string(size.width) + " x " + std::to_string(size.height) + " pixels";
    };
    const bool is_tiff = plan.file.format == raster::FileFormat::tiff;
    hold(found.format == plan.file.format, std::string("It should be a ") + (is_tiff ? "TIFF." : "JPEG."));
    hold(found.tags.size == wanted.size,
         "It has " + pixels(found.tags.size) + "; it should have " + pixels(wanted.size) + ".");
    hold(found.tags.bits == wanted.bits, "It has " + std::to_string(found.tags.bits) +
                                             " bits a channel; it should have " + std::to_string(wanted.bits) + ".");
    // A JPEG's density is a whole number (JFIF 1.02).
    const double ppi = is_tiff ? wanted.ppi.value : std::round(wanted.ppi.value);
    hold(std::abs(found.tags.ppi.value - ppi) <= 1e-4 * ppi,
         "Its tag says " + base::number_text(found.tags.ppi.value, 3) + " ppi; it should say " +
             base::number_text(ppi, 3) + ".");
    hold(found.tags.icc_profile == wanted.icc_profile, "Its colour profile is not the one that was planned.");
    hold(found.tags.copyright == wanted.copyright,
         "Its copyright says " + quoted(found.tags.copyright) + "; it should say " + quoted(wanted.copyright) + ".");
    hold(found.tags.author == wanted.author,
         "Its author says " + quoted(found.tags.author) + "; it should say " + quoted(wanted.author) + ".");
    hold(found.other_tags.empty(), "It holds tags that no print file of ours has.");
    if (is_tiff) {
        hold(found.compression == plan.file.compression, "Its compression is not the one that was planned.");
        hold(found.big_tiff == plan.file.big_tiff, found.big_tiff ? "It is a BigTIFF; it should be a classic TIFF."
                                                                  : "It is a classic TIFF; it should be a BigTIFF.");
    } else {
        hold(!found.subsampled, "Its colours were stored at a lower resolution (subsampled).");
    }
    return differences;
}

WrittenPrint written_print(const PrintInputs& inputs, const std::filesystem::path& final_name,
                           base::OutputFile::Existing existing, Context& context, StageSeconds& seconds) {
    const plan::Plan& plan = inputs.plan;
    WrittenPrint written{std::make_unique<base::OutputFile>(final_name, existing, context.faults),
                         render::SampleRecord(plan.geometry.file, plan.file.bits),
                         {},
                         std::nullopt,
                         std::nullopt,
                         0};
    const bool is_tiff = plan.file.format == raster::FileFormat::tiff;
    std::optional<LossyPrint> lossy;
    {
        const base::Stopwatch stopwatch(seconds.compute);
        if (is_tiff) {
            write_tiff(inputs, *written.file, written.record, seconds);
        } else {
            lossy = written_jpeg(inputs, *written.file, written.record, context, seconds);
            written.spilled_bytes = lossy->samples.bytes();
        }
        if (inputs.likeness) written.likeness = inputs.likeness->likeness();
    }
    {
        const base::Stopwatch stopwatch(seconds.sync);
        written.file->sync(context.progress);
    }

    const base::Stopwatch stopwatch(seconds.read_back);
    render::SampleRecord read(plan.geometry.file, plan.file.bits);
    std::optional<LossyComparison> comparison;
    if (lossy) comparison.emplace(lossy->samples, plan.geometry.file, inputs.file_profile);
    const auto take = recording_into(read);
    try {
        written.found = raster::read_back(
            written.file->descriptor(), final_name, render::block_height,
            [&](int first, int count, std::span<const std::byte> samples) {
                // A damaged size would not fit the record; the tags say so below.
                if (first + count > plan.geometry.file.height ||
                    samples.size() != static_cast<std::size_t>(count) *
                                          static_cast<std::size_t>(plan.geometry.file.width) * 3 *
                                          static_cast<std::size_t>(plan.file.bits / 8)) {
                    return;
                }
                take(first, count, samples);
                if (comparison) comparison->take(first, count, samples);
            },
            context.progress);
    } catch (const base::UnreadableInput& error) {
        refuse_damaged(final_name, error.what());
    }
    const auto differences = tag_differences(written.found, plan, print_tags(plan, inputs.file_profile));
    if (!differences.empty()) refuse_damaged(final_name, differences.front());
    if (lossy) {
        if (written.found.sha256 != lossy->sha256) refuse_damaged(final_name, "its bytes differ");
        written.lossy = comparison->cost(lossy->quality);
        if (!within_lossy_limits(written.record, read)) refuse_damaged(final_name, "its colours are too far off");
    } else if (read.bands() != written.record.bands()) {
        refuse_damaged(final_name, "its samples differ");
    }
    context.faults.reached(base::Step::verified);
    return written;
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cctype>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/base/units_text.h"
#include "engine/jobs/look.h"
#include "engine/jobs/networks.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/print_file.h"
#include "engine/jobs/resampling.h"
#include "engine/raster/print_writer.h"
#include "engine/render/network_trial.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

bool is_tiff_name(const fs::path& name) {
    std::string ending = name.extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (ending == ".tif" || ending == ".tiff") return true;
    if (ending == ".png") return false;
    throw base::InvalidWish(name.string() + " should end in .png or .tif, so that it is clear what to write.");
}

/// One channel as three equal ones, which is what the engine computes with.
class GreyAsRgb : public raster::RowReader {
  public:
    explicit GreyAsRgb(raster::RowReader& grey) : m_grey(grey) {
        m_info = grey.info();
        m_info.model = raster::SampleModel::rgb;
    }
    void read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        m_rows.resize(static_cast<std::size_t>(count) * m_grey.info().bytes_per_row());
        m_grey.read_rows(first, count, m_rows, progress);
        const auto sample = static_cast<std::size_t>(m_info.bits / 8);
        std::byte* to = out.data();
        for (std::size_t at = 0; at < m_rows.size(); at += sample) {
            for (int channel = 0; channel < 3; ++channel) to = std::copy_n(m_rows.data() + at, sample, to);
        }
    }

  private:
    raster::RowReader& m_grey;
    std::vector<std::byte> m_rows;
};

/// The first of three channels.
std::vector<std::byte> first_channel(std::span<const std::byte> rows, int bits) {
    const auto sample = static_cast<std::size_t>(bits / 8);
    std::vector<std::byte> grey;
    grey.reserve(rows.size() / 3);
    for (std::size_t at = 0; at < rows.size(); at += 3 * sample) {
        grey.insert(grey.end(), rows.begin() + static_cast<std::ptrdiff_t>(at),
                    rows.begin() + static_cast<std::ptrdiff_t>(at + sample));
    }
    return grey;
}

/// What is computed with, and what the result says.
struct Encoding {
    raster::SampleModel model;        ///< Of the rows that the engine reads.
    colour::Profile profile;          ///< Computed with.
    std::vector<std::byte> embedded;  ///< Written; empty: none.
};

/// The samples keep their encoding, whatever it is, and the profile that says so. Only Lab, which hardly any program
/// reads, is brought to the working form. Where an encoding is no plain curve (a table, grey) and the picture gets
/// smaller, the sRGB curve stands for it.
Encoding encoding_of(const OpenedPicture& picture) {
    const raster::PictureInfo& info = picture.facts.info;
    const colour::WorkingForm working(picture.profile, source_model(info.model), picture.facts.file_name);
    const auto bytes = [](const colour::Profile& profile) {
        return std::vector<std::byte>(profile.bytes().begin(), profile.bytes().end());
    };
    if (info.model == raster::SampleModel::lab) return {info.model, working.profile(), bytes(working.profile())};
    const colour::Profile computed_with = working.is_own_space() ? picture.profile : colour::Profile::srgb();
    return {raster::SampleModel::rgb, computed_with, info.icc_profile};
}

}  // namespace

Enlarged enlarge(const EnlargeRequest& request, Context& context) {
    if (!(request.factor > 0) || request.factor > 8) {
        throw base::InvalidWish("A factor is more than 0 and at most 8; " + base::number_text(request.factor, 4) +
                                " is not.");
    }
    const bool tiff = is_tiff_name(request.out);
    refuse_the_picture_itself(request.in, request.out);
    // Before the picture is read: a name that is taken is told at once.
    base::OutputFile file(request.out, existing_rule(request.replace), context.faults);
    StageSeconds seconds;
    const OpenedPicture picture = unmeasured_picture(request.in, base::folder_of(request.out), context, seconds);
    const raster::PictureInfo& info = picture.facts.info;
    const base::PixelSize size{scaled_side(info.size.width, request.factor),
                               scaled_side(info.size.height, request.factor)};
    const bool is_grey = info.model == raster::SampleModel::grey;
    const Encoding encoding = encoding_of(picture);
    const colour::Profile& read_with = encoding.model == raster::SampleModel::lab ? picture.profile : encoding.profile;
    std::optional<GreyAsRgb> three_channels;
    if (is_grey) three_channels.emplace(*picture.reader);
    raster::RowReader& rows = is_grey ? static_cast<raster::RowReader&>(*three_channels) : *picture.reader;
    plan::Plan plan = resampling_plan(picture.facts.file_name, info, size, encoding.profile);
    std::shared_ptr<const enlarge::Network> network;
    if (const auto wished = wished_network(request.by, plan.enlarging, context)) {
        const picture::Measured measured = picture::measured(*picture.reader, context.progress, context.threads);
        network = wished->network;
        plan.picture.is_neutral = measured.is_neutral;
        plan.network = plan::planned_network(wished->facts, measured, info, plan.enlarging, request.grain);
        // Tried on the very samples that are enlarged.
        const colour::WorkingForm working(read_with, source_model(encoding.model), picture.facts.file_name);
        plan.network.measures.undone_blur_px =
            render::undone_blur_px(*network, plan.network.measures, working, rows, context.threads, context.progress);
    }
    const PreparedStages prepared(plan, encoding.model, read_with, encoding.profile, network);
    const int channels = is_grey ? 1 : 3;
    // As large on paper as before, where the picture says how large that is.
    const base::PixelsPerInch ppi{info.ppi.value * request.factor};

    std::optional<render::LikenessRecord> likeness;
    if (plan.network.doublings > 0) likeness.emplace(plan);
    render::Stages stages = prepared.stages();
    stages.likeness = likeness ? &*likeness : nullptr;

    const auto render_into = [&](auto& writer) {
        WindowCut cut({0, 0, size.width, size.height}, static_cast<std::size_t>(3 * info.bits / 8),
                      [&](std::span<const std::byte> band) {
                          is_grey ? writer.append_rows(first_channel(band, info.bits)) : writer.append_rows(band);
                      });
        render::render_file(stages, rows, context.threads, cut, context.progress);
        writer.finish();
    };
    if (tiff) {
        raster::PrintTags tags;
        tags.size = size;
        tags.bits = info.bits;
        tags.channels = channels;
        tags.ppi = ppi;
        tags.icc_profile = encoding.embedded;
        tags.copyright = info.copyright;
        tags.author = info.author;
        raster::TiffForm form;
        form.big = raster::tiff_bytes_at_most(tags, form) > raster::classic_tiff_limit;
        raster::TiffWriter writer(file, tags, form);
        render_into(writer);
    } else {
        raster::PngWriter writer(file, {size, channels, info.bits, ppi, encoding.embedded});
        render_into(writer);
    }
    file.sync(context.progress);
    file.name_it();
    return {size, info.bits, channels, plan.network, likeness ? likeness->likeness() : std::nullopt};
}

}  // namespace hangtrue::jobs

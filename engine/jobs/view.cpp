// SPDX-License-Identifier: Apache-2.0
#include <optional>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/base/units_text.h"
#include "engine/jobs/look.h"
#include "engine/jobs/lossy.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/print_file.h"
#include "engine/jobs/resampling.h"
#include "engine/jobs/settled_wish.h"
#include "engine/plan/plan_file.h"
#include "engine/raster/print_writer.h"
#include "engine/raster/spill.h"
#include "engine/render/grid.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

/// The window's rows as a picture of their own, so that the engine's resampler can bring them to the screen.
class WindowRows : public raster::RowReader {
  public:
    WindowRows(base::PixelSize size, int bits, const fs::path& scratch_folder, base::Faults& faults)
        : m_rows(scratch_folder, static_cast<std::size_t>(size.width) * 3 * static_cast<std::size_t>(bits / 8),
                 size.height, "the pixels of the view", faults) {
        m_info.size = size;
        m_info.bits = bits;
    }
    void append(std::span<const std::byte> rows) {
        m_rows.write(m_next, rows);
        m_next += static_cast<int>(rows.size() / m_info.bytes_per_row());
    }
    void read_rows(int first, int, std::span<std::byte> out, base::Progress& progress) override {
        progress.check();
        m_rows.read(first, out);
    }

  private:
    raster::SpilledRows m_rows;
    int m_next = 0;
};

/// One panel of what was asked, with all that its pixels are computed from.
struct Shown {
    const plan::Plan& plan;
    const colour::Profile& file_profile;
    OpenedPicture& picture;
    const PreparedStages& prepared;
    base::PixelRect window;
    fs::path scratch_folder;
};

/// The file's rows, from the top, as they are printed.
class ProofedRows {
  public:
    ProofedRows(PreparedProof prepared, int width, int bits)
        : m_prepared(std::move(prepared)), m_width(width), m_bits(bits) {}

    std::span<const std::byte> next(std::span<const std::byte> rows) {
        m_rows.assign(rows.begin(), rows.end());
        const int count = static_cast<int>(
            rows.size() / (static_cast<std::size_t>(m_width) * 3 * static_cast<std::size_t>(m_bits / 8)));
        m_outside += proof_rows(m_prepared, {0, m_next, m_width, count}, m_bits, m_rows);
        m_next += count;
        return m_rows;
    }
    Viewed::AsPrint told() const {
        Viewed::AsPrint told{
            m_prepared.basis,    m_prepared.proof.paper(), m_prepared.proof.black(), m_prepared.hatches, 0,
            m_prepared.sentences};
        told.outside_share = static_cast<double>(m_outside) / (static_cast<double>(m_width) * m_next);
        return told;
    }

  private:
    PreparedProof m_prepared;
    int m_width;
    int m_bits;
    int m_next = 0;
    std::size_t m_outside = 0;
    std::vector<std::byte> m_rows;
};

/// Decodes the file behind `descriptor` and cuts the window out.
raster::FoundFile decoded_window(int descriptor, const fs::path& name, const Shown& shown, const RowsOut& out,
                                 Context& context) {
    const base::PixelSize file = shown.plan.geometry.file;
    WindowCut cut(shown.window, 3, out);
    render::Band band;
    return raster::read_back(
        descriptor, name, render::block_height,
        [&](int first, int count, std::span<const std::byte> samples) {
            band.rect = {0, first, file.width, count};
            if (first + count > file.height ||
                samples.size() != static_cast<std::size_t>(file.width) * static_cast<std::size_t>(count) * 3) {
                throw base::UnreadableInput(name.string() + " is not of the size that was planned.");
            }
            if (base::intersection(band.rect, shown.window).empty()) return;
            band.samples.assign(samples.begin(), samples.end());
            cut.take(band);
        },
        context.progress);
}

/// The print file of this very plan, where it was made and still stands as it was made.
struct MadeBefore {
    fs::path name;
    base::Descriptor file;
    base::Sha256 hash;
};
std::optional<MadeBefore> made_before(const plan::Plan& plan, const ledger::Ledger& ledger, Context& context) {
    const std::string text = plan::plan_text(plan);
    for (const ledger::Row& row : ledger.rows_of_picture(plan.picture.content)) {
        std::error_code missing;
        if (row.plan_text != text || !fs::is_regular_file(row.file_path, missing)) continue;
        try {
            if (base::sha256_of_file(row.file_path, context.progress) != row.file_hash) continue;
            return MadeBefore{row.file_path, base::opened_for_reading(row.file_path), row.file_hash};
        } catch (const base::UnreadableInput&) {
            continue;
        }
    }
    return std::nullopt;
}

/// What the JPEG holds there: of the made file, else of one that is coded for this alone and never gets a name. A
/// JPEG is decoded from its top, so either costs as much for a window as for the whole.
void jpeg_window(const Shown& shown, const ledger::Ledger& ledger, const RowsOut& out, Viewed& viewed,
                 Context& context) {
    viewed.as_decoded = true;
    if (const auto made = made_before(shown.plan, ledger, context)) {
        viewed.made_file = made->name;
        if (decoded_window(made->file.get(), made->name, shown, out, context).sha256 != made->hash) {
            throw base::UnreadableInput(made->name.string() + " changed while it was being read.");
        }
        return;
    }
    base::OutputFile unnamed(shown.scratch_folder / shown.plan.file.name, base::OutputFile::Existing::replace,
                             context.faults);
    render::SampleRecord record(shown.plan.geometry.file, shown.plan.file.bits);
    StageSeconds seconds;
    const PrintInputs inputs =
        print_of_picture(shown.plan, *shown.picture.reader, shown.prepared.stages(), shown.file_profile, context);
    written_jpeg(inputs, unnamed, record, context, seconds);
    decoded_window(unnamed.descriptor(), unnamed.final_name(), shown, out, context);
}

/// The window as the file holds it, from its top.
void window_rows(const Shown& shown, const ledger::Ledger& ledger, const RowsOut& out, Viewed& viewed,
                 Context& context) {
    if (shown.plan.file.format == raster::FileFormat::jpeg) {
        jpeg_window(shown, ledger, out, viewed, context);
        return;
    }
    WindowCut cut(shown.window, static_cast<std::size_t>(3 * shown.plan.file.bits / 8), out);
    render::render_window(shown.prepared.stages(), *shown.picture.reader, shown.window, context.threads, cut,
                          context.progress);
}

/// The window's rows, brought to `size`.
void reduced_rows(const Shown& shown, base::PixelSize size, const ledger::Ledger& ledger, const RowsOut& out,
                  Viewed& viewed, Context& context) {
    const int bits = shown.plan.file.bits;
    WindowRows rows({shown.window.width, shown.window.height}, bits, shown.scratch_folder, context.faults);
    window_rows(
        shown, ledger, [&](std::span<const std::byte> part) { rows.append(part); }, viewed, context);
    const plan::Plan reduced = resampling_plan("the view", rows.info(), size, shown.file_profile);
    const PreparedStages reducing(reduced, raster::SampleModel::rgb, shown.file_profile, shown.file_profile);
    WindowCut cut({0, 0, size.width, size.height}, static_cast<std::size_t>(3 * bits / 8), out);
    render::render_file(reducing.stages(), rows, context.threads, cut, context.progress);
}

}  // namespace

Viewed view(const ViewRequest& request, Context& context) {
    // Before the picture is read: a name that is taken is told at once.
    refuse_the_picture_itself(request.picture, request.out);
    base::OutputFile out(request.out, existing_rule(request.replace), context.faults);
    StageSeconds seconds;
    const ledger::Ledger ledger(ledger_file(context), ledger::Access::look);
    OpenedPicture picture = opened_picture(request.picture, base::folder_of(request.out), ledger, context, seconds);
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
        throw base::InvalidWish("A scale is more than 0 and at most 1; " + base::number_text(request.scale, 4) +
                                " is not.");
    }
    const PreparedStages prepared(plan, picture.facts.info.model, picture.profile, settled.file_profile,
                                  settled.network);
    const Shown shown{plan, settled.file_profile, picture, prepared, window, base::folder_of(request.out)};
    Viewed viewed;
    viewed.window = window;
    viewed.written = {scaled_side(window.width, request.scale), scaled_side(window.height, request.scale)};
    viewed.bits = plan.file.bits;
    viewed.notice = settled.notice;

    const colour::Profile screen = request.as_print ? colour::Profile::srgb() : settled.file_profile;
    const auto profile = screen.bytes();
    raster::PngWriter writer(out, {viewed.written, 3, plan.file.bits, {}, {profile.begin(), profile.end()}});
    std::optional<ProofedRows> proofed;
    if (request.as_print) {
        proofed.emplace(prepared_proof(plan, settled.file_profile, screen, *request.as_print, context),
                        viewed.written.width, plan.file.bits);
    }
    const RowsOut rows = [&](std::span<const std::byte> part) {
        writer.append_rows(proofed ? proofed->next(part) : part);
    };
    if (request.scale == 1) {
        window_rows(shown, ledger, rows, viewed, context);
    } else {
        reduced_rows(shown, viewed.written, ledger, rows, viewed, context);
    }
    if (proofed) viewed.as_print = proofed->told();
    writer.finish();
    out.sync(context.progress);
    out.name_it();
    return viewed;
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/screen.h"

#include <algorithm>
#include <cstring>
#include <map>
#include <optional>
#include <system_error>
#include <utility>

#include "engine/base/error.h"
#include "engine/jobs/looking_over.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/print_file.h"
#include "engine/jobs/resampling.h"
#include "engine/jobs/settled_wish.h"
#include "engine/jobs/tickets.h"
#include "engine/jobs/ways_out.h"
#include "engine/plan/plan_file.h"

namespace hangtrue::jobs {

namespace fs = std::filesystem;

struct SettledPrint::Inside {
    SettledWish settled;
};

namespace {

/// Where rows may be spilled: looking has no output to spill beside.
fs::path scratch_beside_records(const Context& context) {
    std::error_code ignored;
    fs::create_directories(context.data_folder, ignored);
    return fs::is_directory(context.data_folder, ignored) ? context.data_folder : scratch_folder();
}

/// Samples in memory as a picture of their own.
class MemoryRows : public raster::RowReader {
  public:
    MemoryRows(raster::PictureInfo info, std::vector<std::byte> samples) : m_samples(std::move(samples)) {
        m_info = std::move(info);
    }
    void read_rows(int first, int count, std::span<std::byte> out, base::Progress& progress) override {
        progress.check();
        const std::size_t row = m_info.bytes_per_row();
        std::memcpy(out.data(), m_samples.data() + row * static_cast<std::size_t>(first),
                    row * static_cast<std::size_t>(count));
    }

  private:
    std::vector<std::byte> m_samples;
};

std::vector<std::byte> bytes_of(const colour::Profile& profile) {
    const auto bytes = profile.bytes();
    return {bytes.begin(), bytes.end()};
}

ScreenPixels in_srgb(report::SmallPicture small) {
    ScreenPixels pixels;
    pixels.size = small.size;
    const auto bytes = std::as_bytes(std::span(small.rgb));
    pixels.samples.assign(bytes.begin(), bytes.end());
    pixels.profile = bytes_of(colour::Profile::srgb());
    return pixels;
}

/// The same samples, made smaller: as `view --scale` does it.
ScreenPixels reduced(ScreenPixels whole, double scale, const colour::Profile& profile, Context& context) {
    const base::PixelSize size{scaled_side(whole.size.width, scale), scaled_side(whole.size.height, scale)};
    raster::PictureInfo info;
    info.size = whole.size;
    info.bits = whole.bits;
    MemoryRows rows(info, std::move(whole.samples));
    const plan::Plan plan = resampling_plan("the view", info, size, profile);
    const PreparedStages prepared(plan, raster::SampleModel::rgb, profile, profile);
    whole.samples = render::rendered_window(prepared.stages(), rows, {0, 0, size.width, size.height}, context.threads,
                                            context.progress);
    whole.size = size;
    return whole;
}

}  // namespace

struct PictureAtHand::State {
    explicit State(OpenedPicture picture) : opened(std::move(picture)) {}

    OpenedPicture opened;
    bool is_measured = false;
    std::vector<NetworkTrial> trials;  ///< Of this picture; trying takes seconds.

    /// The stages of the plan that was looked at last: a window of the same plan needs no others.
    std::string prepared_for;
    std::optional<plan::Plan> plan;
    std::optional<PreparedStages> prepared;
};

PictureAtHand::PictureAtHand(const fs::path& picture, Context& context) {
    StageSeconds seconds;
    m_state = std::make_unique<State>(unmeasured_picture(picture, scratch_beside_records(context), context, seconds));
}

PictureAtHand::~PictureAtHand() = default;

const fs::path& PictureAtHand::path() const { return m_state->opened.path; }
base::PixelSize PictureAtHand::size() const { return m_state->opened.facts.info.size; }
int PictureAtHand::bits() const { return m_state->opened.facts.info.bits; }
bool PictureAtHand::profile_assumed() const { return m_state->opened.facts.profile_assumed; }
const std::vector<std::string>& PictureAtHand::remarks() const { return m_state->opened.remarks; }
bool PictureAtHand::is_measured() const { return m_state->is_measured; }
base::Sha256 PictureAtHand::content() const { return m_state->opened.facts.content; }

plan::MediumSizes PictureAtHand::sizes(const plan::Wish& wish, const Context& context) const {
    const shops::ShopFolder folder = known_shops(context);
    const shops::Shop& shop = shops::shop_named(folder, wish.shop);
    return plan::sizes_on(shop, shops::medium_named(shop, wish.medium), size(), {wish.distance, wish.room_depth},
                          m_state->is_measured ? m_state->opened.facts.measured.detail_cycles_per_px : 0);
}

ScreenPixels PictureAtHand::small(int longest_side, Context& context) {
    const base::PixelSize whole = size();
    return in_srgb(small_picture(m_state->opened,
                                 {0, 0, static_cast<double>(whole.width), static_cast<double>(whole.height)},
                                 longest_side, context));
}

ScreenPixels PictureAtHand::coarse(int longest_side, Context& context) {
    raster::RowReader& reader = *m_state->opened.reader;
    const raster::PictureInfo& whole = reader.info();
    const int step = std::max(1, (std::max(whole.size.width, whole.size.height) + longest_side - 1) / longest_side);
    raster::PictureInfo info = whole;
    info.size = {std::max(1, whole.size.width / step), std::max(1, whole.size.height / step)};
    std::vector<std::byte> samples(info.bytes_per_row() * static_cast<std::size_t>(info.size.height));
    std::vector<std::byte> row(whole.bytes_per_row());
    const std::size_t pixel = info.bytes_per_pixel();
    std::byte* out = samples.data();
    // From the middle of each square, so that nothing is displaced against the finer view that follows.
    for (int y = 0; y < info.size.height; ++y) {
        reader.read_rows(std::min(y * step + step / 2, whole.size.height - 1), 1, row, context.progress);
        for (int x = 0; x < info.size.width; ++x, out += pixel) {
            const int from = std::min(x * step + step / 2, whole.size.width - 1);
            std::memcpy(out, row.data() + pixel * static_cast<std::size_t>(from), pixel);
        }
    }
    OpenedPicture picked{.path = m_state->opened.path,
                         .reader = std::make_unique<MemoryRows>(info, std::move(samples)),
                         .profile = m_state->opened.profile,
                         .facts = m_state->opened.facts,
                         .remarks = {}};
    picked.facts.info = info;
    return in_srgb(small_picture(picked,
                                 {0, 0, static_cast<double>(info.size.width), static_cast<double>(info.size.height)},
                                 std::max(info.size.width, info.size.height), context));
}

SettledPrint PictureAtHand::shape(const plan::Wish& wish, Context& context) {
    const ledger::Ledger ledger(ledger_file(context), ledger::Access::look);
    plan::Wish asked = wish;
    asked.enlarging = plan::Enlarging::filter;  // No network is tried for the shape.
    SettledWish settled = settled_wish(asked, std::nullopt, m_state->opened, ledger, context);
    SettledPrint print;
    print.plans = std::move(settled.plans);
    return print;
}

SettledPrint PictureAtHand::settled(const plan::Wish& wish, Context& context) {
    State& state = *m_state;
    const ledger::Ledger ledger(ledger_file(context), ledger::Access::look);
    if (!state.is_measured) {
        measure(state.opened, ledger, context);
        state.is_measured = true;
    }
    SettledWish settled = settled_wish(wish, std::nullopt, state.opened, ledger, context, state.trials);
    if (settled.trial && std::find(state.trials.begin(), state.trials.end(), *settled.trial) == state.trials.end()) {
        state.trials.push_back(*settled.trial);
    }
    prove_options(settled, wish, state.opened, context);
    SettledPrint print;
    print.plans = settled.plans;
    print.findings = settled.findings;
    print.notice = settled.notice;
    print.whole = true;
    print.inside = std::make_shared<const SettledPrint::Inside>(SettledPrint::Inside{std::move(settled)});
    return print;
}

std::vector<checks::Finding> PictureAtHand::looked_over(const SettledPrint& print, const plan::Wish& wish,
                                                        Context& context) {
    if (!print.inside) throw base::InvalidWish("The print is not settled yet.");
    const ledger::Ledger ledger(ledger_file(context), ledger::Access::look);
    return all_findings(print.inside->settled, wish.correction, m_state->opened, ledger, context);
}

PrintedPixels PictureAtHand::printed(const SettledPrint& print, int panel, base::PixelRect window_rect, double scale,
                                     const ProofWish& proof, std::span<const std::byte> screen_profile,
                                     Context& context) {
    PrintedPixels printed;
    printed.pixels = window(print, panel, window_rect, scale, context);
    const colour::Profile screen = screen_profile.empty()
                                       ? colour::Profile::srgb()
                                       : colour::Profile::from_bytes(screen_profile, "the screen's profile");
    const plan::Plan& plan = print.plans[static_cast<std::size_t>(panel - 1)];
    PreparedProof prepared = prepared_proof(plan, print.inside->settled.file_profile, screen, proof, context);
    const base::PixelRect where{std::max(0, window_rect.x), std::max(0, window_rect.y), printed.pixels.size.width,
                                printed.pixels.size.height};
    proof_rows(prepared, where, printed.pixels.bits, printed.pixels.samples);
    printed.pixels.profile = bytes_of(screen);
    printed.basis = prepared.basis;
    printed.hatches = prepared.hatches;
    printed.sentences = std::move(prepared.sentences);
    return printed;
}

ScreenPixels PictureAtHand::window(const SettledPrint& print, int panel, base::PixelRect window, double scale,
                                   Context& context) {
    if (!print.inside) throw base::InvalidWish("The print is not settled yet.");
    if (panel < 1 || panel > static_cast<int>(print.plans.size())) {
        throw base::InvalidWish("There is no panel " + std::to_string(panel) + "; this wish has " +
                                std::to_string(print.plans.size()) + ".");
    }
    State& state = *m_state;
    const plan::Plan& plan = print.plans[static_cast<std::size_t>(panel - 1)];
    const base::PixelSize file = plan.geometry.file;
    const base::PixelRect seen = base::intersection(window, {0, 0, file.width, file.height});
    if (seen.empty()) throw base::InvalidWish("The window lies outside the file.");
    const std::string text = plan::plan_text(plan);
    if (text != state.prepared_for) {
        state.prepared.reset();
        state.plan = plan;
        state.prepared.emplace(*state.plan, state.opened.facts.info.model, state.opened.profile,
                               print.inside->settled.file_profile, print.inside->settled.network);
        state.prepared_for = text;
    }
    ScreenPixels pixels;
    pixels.size = {seen.width, seen.height};
    pixels.bits = plan.file.bits;
    pixels.samples = render::rendered_window(state.prepared->stages(), *state.opened.reader, seen, context.threads,
                                             context.progress);
    if (scale < 1) pixels = reduced(std::move(pixels), scale, print.inside->settled.file_profile, context);
    pixels.profile = bytes_of(print.inside->settled.file_profile);
    return pixels;
}

SettledPrint by_filter(SettledPrint print) {
    for (plan::Plan& plan : print.plans) plan.network = {};
    return print;
}

ScreenPixels made_window(const fs::path& print_file, base::PixelRect window, double scale, Context& context) {
    StageSeconds seconds;
    const OpenedPicture opened = unmeasured_picture(print_file, scratch_beside_records(context), context, seconds);
    const raster::PictureInfo& info = opened.reader->info();
    const base::PixelRect seen = base::intersection(window, {0, 0, info.size.width, info.size.height});
    if (seen.empty() || info.model != raster::SampleModel::rgb) {
        throw base::InvalidWish("The window lies outside " + print_file.string() + ", or that is no print file.");
    }
    ScreenPixels pixels;
    pixels.size = {seen.width, seen.height};
    pixels.bits = info.bits;
    std::vector<std::byte> row(info.bytes_per_row());
    const std::size_t from = info.bytes_per_pixel() * static_cast<std::size_t>(seen.x);
    const std::size_t wide = info.bytes_per_pixel() * static_cast<std::size_t>(seen.width);
    for (int y = seen.y; y < seen.bottom(); ++y) {
        opened.reader->read_rows(y, 1, row, context.progress);
        pixels.samples.insert(pixels.samples.end(), row.begin() + static_cast<std::ptrdiff_t>(from),
                              row.begin() + static_cast<std::ptrdiff_t>(from + wide));
    }
    if (scale < 1) pixels = reduced(std::move(pixels), scale, opened.profile, context);
    pixels.profile = bytes_of(opened.profile);
    return pixels;
}

base::Sha256 content_of(const fs::path& picture, Context& context) {
    return base::sha256_of_file(picture, context.progress);
}

}  // namespace hangtrue::jobs

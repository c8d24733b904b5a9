// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/test_sheets.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/base/workers.h"
#include "engine/colour/lab_writer.h"
#include "engine/jobs/corrections.h"
#include "engine/jobs/networks.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/print_file.h"
#include "engine/jobs/profiles.h"
#include "engine/jobs/readings.h"
#include "engine/jobs/records.h"
#include "engine/jobs/settled_wish.h"
#include "engine/jobs/tickets.h"
#include "engine/plan/edges.h"
#include "engine/plan/words.h"
#include "engine/render/grid.h"
#include "engine/report/test_guide.h"
#include "engine/shops/shop_folder.h"
#include "engine/trial/design.h"
#include "engine/trial/layout.h"
#include "engine/trial/part.h"
#include "engine/trial/sheet_rows.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;
using base::Millimetres;

/// Where the shop has told no safe area.
constexpr Millimetres least_margin{4};
constexpr Millimetres patch_on_canvas{7};
constexpr Millimetres patch_elsewhere{5};

/// A size of the final print's process, with the plan of a sheet of that size and what has room on it.
struct Candidate {
    plan::OrderedSize size;
    plan::Plan plan;
    std::optional<trial::Sheet> sheet;
};

/// A size that a sheet could be printed on, of the final print's process.
struct SheetSize {
    plan::OrderedSize size;
    bool is_listed = true;  ///< By the shop; else one of many that it would cut.
};

/// To cut to order: sizes that are common for small prints, and the least of all.
std::vector<base::SizeMm> small_sizes(const shops::FreeSizes& free_sizes, base::ShownUnits units) {
    std::vector<base::SizeMm> sizes{{free_sizes.least_side, free_sizes.least_side}};
    if (units == base::ShownUnits::centimetres) {
        for (const auto& [width, height] : {std::pair{180, 130}, {250, 200}, {300, 240}, {400, 300}, {600, 400}}) {
            sizes.push_back({Millimetres(width), Millimetres(height)});
        }
        return sizes;
    }
    for (const auto& [width, height] : {std::pair{7, 5}, {10, 8}, {12, 10}, {16, 12}, {24, 16}}) {
        sizes.push_back({base::inches(width), base::inches(height)});
    }
    return sizes;
}

double area_of(const SheetSize& one) { return one.size.ordered.width.value * one.size.ordered.height.value; }

/// The print's own is among them. Cheapest first; of those whose price is the same or not told, the smallest.
std::vector<SheetSize> sizes_of_process(const shops::Medium& medium, const plan::Plan& print, base::ShownUnits units) {
    std::vector<SheetSize> sizes;
    for (const shops::Size& size : medium.sizes) sizes.push_back({plan::ordered_size(size)});
    if (medium.free_sizes) {
        auto cut = small_sizes(*medium.free_sizes, units);
        cut.push_back(print.geometry.finished);
        for (const base::SizeMm size : cut) {
            if (shops::find_size(medium, size) != nullptr || !shops::takes_free_size(medium, size)) continue;
            sizes.push_back({plan::ordered_size(medium, size, units), /*is_listed=*/false});
        }
    }
    if (!medium.same_process_for_all_sizes.value_or(false)) {
        std::erase_if(sizes, [&](const SheetSize& one) { return one.size.process != print.process; });
    }
    const bool all_priced =
        std::all_of(sizes.begin(), sizes.end(), [](const auto& one) { return one.size.price_cents.has_value(); });
    std::stable_sort(sizes.begin(), sizes.end(), [&](const SheetSize& a, const SheetSize& b) {
        if (all_priced && a.size.price_cents != b.size.price_cents) return a.size.price_cents < b.size.price_cents;
        return area_of(a) < area_of(b);
    });
    return sizes;
}

/// Nothing may be sharpened, enlarged by a network or corrected on a sheet as a whole: its cells are so already.
plan::Wish wish_of_sheet(const plan::Wish& wish, base::SizeMm size) {
    plan::Wish sheet;
    sheet.shop = wish.shop;
    sheet.medium = wish.medium;
    sheet.size = size;
    sheet.bleed = wish.bleed;
    sheet.enlarging = plan::Enlarging::filter;
    sheet.sharpen = 0;
    sheet.correction.which = plan::CorrectionWish::Which::none;
    sheet.format = wish.format;
    sheet.bits = wish.bits;
    sheet.compression = wish.compression;
    sheet.ppi = wish.ppi;
    return sheet;
}

base::PixelRect safe_part(const plan::Plan& plan) {
    const Millimetres margin{std::max(plan.geometry.safe_area.value, least_margin.value)};
    const int inset = static_cast<int>(std::ceil(base::pixels(margin, plan.ppi)));
    const base::PixelRect hangs = plan.geometry.finished_px;
    return {hangs.x + inset, hangs.y + inset, hangs.width - 2 * inset, hangs.height - 2 * inset};
}

class SheetMaker {
  public:
    SheetMaker(const TestSheetRequest& request, Context& context)
        : m_request(request),
          m_context(context),
          m_ledger(ledger_file(context)),
          m_shops(known_shops(context)),
          m_shop(shops::shop_named(m_shops, request.wish.shop)),
          m_medium(shops::medium_named(m_shop, request.wish.medium)),
          m_space(file_space_of(m_medium, context)),
          m_picture(opened_picture(request.picture, request.to, m_ledger, context, m_seconds)) {}

    MadeTestSheet made() {
        remember_picture(m_picture, m_ledger);
        settle_print();
        MadeTestSheet result;
        result.findings = m_settled->findings;
        if (const auto stops = checks::stops(result.findings, m_request.anyway); !stops.empty()) {
            result.ending = Ending::refused;
            result.sentence = stops.front().sentence + " " + stops.front().way_out;
            return result;
        }
        Candidate chosen = chosen_candidate(result);
        trial::KeptSheet kept = filled(std::move(*chosen.sheet));
        kept.is_mirrored = chosen.plan.geometry.mirrored;
        ledger::TrialRecords records(ledger_file(m_context));
        const ledger::Printed printed = printed_as(m_shop.id, m_medium, m_print.process);
        kept.sheet.number = records.reserved_sheet(
            {0, base::timestamp(m_context.clock.now()), printed, m_picture.facts.content, 0, ""});
        finish(kept, printed);
        plan::Plan plan = named(chosen, kept.sheet.number);
        if (const auto broken = broken_rule(plan)) {
            result.findings.push_back(*broken);
            result.ending = Ending::refused;
            result.sentence = broken->sentence + " " + broken->way_out;
            return result;
        }
        const fs::path file = m_request.to / plan.file.name;
        const fs::path guide = m_request.to / (fs::path(plan.file.name).stem().string() + " guide.pdf");
        refuse_taken({file, guide});
        records.set_sheet_text(kept.sheet.number, trial::sheet_text(kept));
        const trial::SheetRows rows(kept.sheet, plan.file.bits, cells_of(kept.sheet));
        WrittenPrint written =
            written_print(print_of_rows(plan, rows), file, existing_rule(m_request.replace), m_context, m_seconds);
        const std::int64_t made_id = named_and_recorded(written, plan, m_picture, m_space.profile, m_ledger, m_context);
        records.set_sheet_made(kept.sheet.number, made_id);
        report::write_test_guide(guide_of(plan, kept.sheet), guide, existing_rule(m_request.replace), m_context.faults);
        result.file = file;
        result.guide = guide;
        result.plan = plan;
        if (plan.price_cents) result.costs = report::money_text(*plan.price_cents, m_shop.currency);
        result.print = m_print;
        result.kept = std::move(kept);
        result.remarks.insert(result.remarks.end(), m_picture.remarks.begin(), m_picture.remarks.end());
        return result;
    }

  private:
    void settle_print() {
        plan::Wish wish = m_request.wish;
        wish.correction.which = plan::CorrectionWish::Which::none;
        wish.light.reset();  // A sheet is judged in good light, and what it teaches holds for every room.
        m_settled.emplace(settled_wish(wish, std::nullopt, m_picture, m_ledger, m_context));
        m_print = m_settled->plans.front();
        m_print.geometry.mirrored = false;  // The sheet is mirrored as a whole.
    }

    Candidate candidate(const plan::OrderedSize& size) const {
        Candidate one;
        one.size = size;
        one.plan = plan::settled(wish_of_sheet(m_request.wish, size.ordered), m_shop, m_medium, m_picture.facts,
                                 m_space.facts, m_context.units)
                       .front();
        const colour::LabReader reader(m_space.profile);
        const colour::LabWriter writer(m_space.profile);
        const trial::Ground ground{one.plan.geometry.file, safe_part(one.plan), one.plan.ppi,
                                   m_medium.f50_cycles_per_mm(),
                                   m_medium.blur == shops::BlurClass::canvas ? patch_on_canvas : patch_elsewhere};
        one.sheet = trial::laid_out(
            ground, one.plan.file.bits == 8 ? 255 : 65535, [&](std::array<float, 3> rgb) { return reader.lab(rgb); },
            [&](colour::Lab lab) { return writer.rgb(lab); });
        return one;
    }

    std::string size_words(const plan::OrderedSize& size) const {
        std::string words = plan::in_both_units(size.ordered, m_context.units);
        if (size.price_cents) words += ", " + report::money_text(*size.price_cents, m_shop.currency);
        return words;
    }

    Candidate chosen_candidate(MadeTestSheet& result) const {
        const auto sizes = sizes_of_process(m_medium, m_print, m_context.units);
        if (m_print.process.empty() && !m_medium.same_process_for_all_sizes.value_or(false)) {
            result.findings.push_back(checks::process_not_told(m_print));
        }
        if (m_request.on) {
            const plan::OrderedSize wanted = plan::ordered_size(m_medium, *m_request.on, m_context.units);
            refuse_other_process(wanted);
            Candidate one = candidate(wanted);
            if (one.sheet) return one;
            throw base::InvalidWish(too_small(wanted, sizes));
        }
        // Of sizes cut to order the smallest that will do; of listed ones the photographer chooses, by the price.
        for (const SheetSize& size : sizes) {
            if (auto one = with_room(size)) return std::move(*one);
            if (size.is_listed) throw base::InvalidWish(too_small(size.size, sizes));
        }
        throw base::InvalidWish(too_small(sizes.back().size, {}) + " Give a larger one with --on.");
    }

    std::optional<Candidate> with_room(const SheetSize& size) const {
        try {
            Candidate one = candidate(size.size);
            return one.sheet ? std::optional(std::move(one)) : std::nullopt;
        } catch (const base::InvalidWish&) {
            if (size.is_listed) throw;
            return std::nullopt;  // Cut so small it could not be made: a face narrower than its wrap, say.
        }
    }

    void refuse_other_process(const plan::OrderedSize& wanted) const {
        if (m_medium.same_process_for_all_sizes.value_or(false) || wanted.process == m_print.process) return;
        throw base::InvalidWish(size_words(wanted) + " is printed by " + plan::in_quotes(wanted.process) +
                                ", the print itself by " + plan::in_quotes(m_print.process) +
                                ": a test print there would teach nothing of it.");
    }

    std::string too_small(const plan::OrderedSize& wanted, const std::vector<SheetSize>& sizes) const {
        std::string sentence = size_words(wanted) + " has no room for five cells of 2 cm (0.8 in).";
        for (const SheetSize& one : sizes) {
            if (one.size.ordered == wanted.ordered || !with_room(one)) continue;
            return sentence + " The next size that has is " + size_words(one.size) + ": give it with --on.";
        }
        return sentence;
    }

    /// Where the cells' part lies, in picture and print.
    trial::KeptSheet filled(trial::Sheet sheet) {
        const base::PixelRect cell = sheet.cells.front().rect;
        const plan::Geometry& geometry = m_print.geometry;
        if (cell.width > geometry.image.width || cell.height > geometry.image.height) {
            throw base::InvalidWish("The print itself is smaller than one cell of its test sheet.");
        }
        constexpr int small_side = 200;
        const report::SmallPicture small = small_picture(m_picture, geometry.crop, small_side, m_context);
        trial::BlockColours blocks{small.size.width, small.size.height, {}};
        const colour::LabReader srgb(colour::Profile::srgb());
        for (std::size_t i = 0; i < small.rgb.size(); i += 3) {
            blocks.colours.push_back(
                srgb.lab({static_cast<float>(small.rgb[i]) / 255, static_cast<float>(small.rgb[i + 1]) / 255,
                          static_cast<float>(small.rgb[i + 2]) / 255}));
        }
        const double width = static_cast<double>(cell.width) / geometry.image.width;
        const double height = static_cast<double>(cell.height) / geometry.image.height;
        base::RealRect shares = trial::telling_part(blocks, width, height);
        if (m_request.part) {
            shares.x = (m_request.part->x - geometry.crop.x) / geometry.crop.width;
            shares.y = (m_request.part->y - geometry.crop.y) / geometry.crop.height;
            if (!(shares.x >= 0) || !(shares.y >= 0) || shares.x + width > 1 + 1e-9 || shares.y + height > 1 + 1e-9) {
                const auto whole = [](double value) { return base::number_text(value, 0); };
                throw base::InvalidWish(
                    "The part that begins at " + whole(m_request.part->x) + ", " + whole(m_request.part->y) +
                    " runs out of the print, which shows the picture from " + whole(geometry.crop.x) + ", " +
                    whole(geometry.crop.y) + " to " + whole(geometry.crop.x + geometry.crop.width) + ", " +
                    whole(geometry.crop.y + geometry.crop.height) + ": give another upper left corner with --part.");
            }
        }
        const auto px = [](double share, int length, int most) {
            return std::clamp(static_cast<int>(std::lround(share * length)), 0, length - most);
        };
        const int x = px(shares.x, geometry.image.width, cell.width);
        const int y = px(shares.y, geometry.image.height, cell.height);
        sheet.window = {geometry.image.x + x, geometry.image.y + y, cell.width, cell.height};
        const double scale = geometry.crop.width / geometry.image.width;
        sheet.part = {geometry.crop.x + x * scale, geometry.crop.y + y * scale, cell.width * scale,
                      cell.height * scale};
        trial::KeptSheet kept{std::move(sheet), {}, false};
        kept.part_colours =
            trial::colours_of_part(blocks, {static_cast<double>(x) / geometry.image.width,
                                            static_cast<double>(y) / geometry.image.height, width, height});
        return kept;
    }

    /// Number and variants.
    void finish(trial::KeptSheet& kept, const ledger::Printed& printed) {
        trial::Sheet& sheet = kept.sheet;
        const auto codes = trial::codes_of(sheet.number);
        for (std::size_t i = 0; i < codes.size(); ++i) sheet.marks[i].code = codes[i];
        for (trial::Caption& caption : sheet.captions) {
            if (caption.text.empty()) caption.text = "Test sheet " + std::to_string(sheet.number);
        }
        const auto variants = trial::next_variants(belief_of(printed, m_context), kept.part_colours,
                                                   static_cast<int>(sheet.cells.size()), sheet.number);
        for (std::size_t i = 0; i < variants.size(); ++i) sheet.cells[i].variant = variants[i];
    }

    /// The sheet's file, named by the shop's rule as a picture called "test sheet 12 …" would be: the number first,
    /// for a long name is cut at its end.
    plan::Plan named(const Candidate& chosen, std::int64_t number) const {
        plan::PictureFacts facts = m_picture.facts;
        facts.file_name = "test sheet " + std::to_string(number) + " " + facts.file_name;
        plan::Plan plan = plan::settled(wish_of_sheet(m_request.wish, chosen.size.ordered), m_shop, m_medium, facts,
                                        m_space.facts, m_context.units)
                              .front();
        plan.test_sheet = number;
        plan.sharpening.reason.clear();
        return plan;
    }

    /// A rule of the shop's that the sheet's file would break, as any print file is held to them.
    std::optional<checks::Finding> broken_rule(const plan::Plan& plan) const {
        const auto stops =
            checks::stops(checks::findings({plan, m_medium, m_picture.facts, m_context.units}), /*anyway=*/true);
        return stops.empty() ? std::nullopt : std::optional(stops.front());
    }

    void refuse_taken(const std::vector<fs::path>& names) const {
        for (const fs::path& name : names) {
            refuse_the_picture_itself(m_request.picture, name);
            if (!m_request.replace && fs::exists(name)) {
                throw base::WriteFailed(name.string() + " exists already. Have it replaced, or choose another folder.");
            }
        }
    }

    /// The same window of the final print once for each variant, sample for sample.
    std::vector<std::vector<std::byte>> cells_of(const trial::Sheet& sheet) {
        const PreparedStages prepared(m_print, m_picture.facts.info.model, m_picture.profile, m_space.profile,
                                      network_of(m_print.network, m_context));
        std::vector<std::optional<colour::Conversion>> conversions(sheet.cells.size());
        base::Workers::Group group;
        base::Workers workers(std::min(m_context.threads, static_cast<int>(sheet.cells.size())));
        for (std::size_t i = 0; i < conversions.size(); ++i) {
            workers.submit(group, [&, i](int) {
                m_context.progress.check();
                const colour::Correction correction = colour::correction_of(sheet.cells[i].variant);
                conversions[i].emplace(prepared.stages().working, m_space.profile, m_print.conversion,
                                       colour::LabChanges{.correction = &correction});
            });
        }
        group.wait();
        std::vector<const colour::Conversion*> pointers;
        for (const auto& conversion : conversions) pointers.push_back(&*conversion);
        return render::rendered_variants(prepared.stages(), pointers, *m_picture.reader, sheet.window,
                                         m_context.progress);
    }

    PrintInputs print_of_rows(const plan::Plan& plan, const trial::SheetRows& rows) {
        const auto render = [&plan, &rows, this](render::BandSink& sink) {
            const base::PixelSize file = plan.geometry.file;
            const auto pixel = static_cast<std::size_t>(3 * plan.file.bits / 8);
            for (int number = 0; number < render::band_count(file); ++number) {
                m_context.progress.check();
                render::Band band{number, render::band_rect(file, number), {}, {}};
                const std::size_t row = pixel * static_cast<std::size_t>(file.width);
                band.samples.resize(row * static_cast<std::size_t>(band.rect.height));
                rows.fill(band.rect.y, band.rect.height, band.samples);
                if (plan.geometry.mirrored) mirror_rows(band.samples, row, pixel);
                sink.prepare(band);
                sink.take(band);
            }
        };
        return {plan, m_space.profile, render, nullptr};
    }

    static void mirror_rows(std::vector<std::byte>& samples, std::size_t row, std::size_t pixel) {
        for (std::size_t at = 0; at < samples.size(); at += row) {
            for (std::size_t left = at, right = at + row - pixel; left < right; left += pixel, right -= pixel) {
                std::swap_ranges(samples.begin() + static_cast<std::ptrdiff_t>(left),
                                 samples.begin() + static_cast<std::ptrdiff_t>(left + pixel),
                                 samples.begin() + static_cast<std::ptrdiff_t>(right));
            }
        }
    }

    report::TestGuide guide_of(const plan::Plan& plan, const trial::Sheet& sheet) {
        report::TestGuide guide;
        guide.number = sheet.number;
        guide.picture_name = m_request.picture.stem().string();
        guide.shop_name = m_shop.name;
        guide.medium_name = m_medium.name;
        guide.size_name = plan.size_name;
        guide.print_size = plan::in_both_units(m_print.geometry.finished, m_context.units);
        guide.file_name = plan.file.name;
        guide.made_on = base::timestamp(m_context.clock.now()).substr(0, 10);
        guide.order_choices = plan.order_choices;
        guide.sheet = sheet.size;
        for (const trial::Cell& cell : sheet.cells) guide.cells.push_back({std::string(1, cell.letter), cell.rect});
        for (const trial::Patch& patch : sheet.patches) {
            if (patch.kind == trial::Patch::Kind::near_grey) guide.greys.push_back({patch.name, patch.rect});
        }
        for (const trial::Mark& mark : sheet.marks) guide.marks.push_back(mark.rect);
        constexpr int picture_px = 500;
        const base::RealRect& crop = m_print.geometry.crop;
        guide.picture = small_picture(m_picture, crop, picture_px, m_context);
        guide.part = {(sheet.part.x - crop.x) / crop.width, (sheet.part.y - crop.y) / crop.height,
                      sheet.part.width / crop.width, sheet.part.height / crop.height};
        guide.cell_size =
            plan::in_both_units(base::length_of(sheet.cells.front().rect.width, sheet.ppi), m_context.units);
        return guide;
    }

    const TestSheetRequest& m_request;
    Context& m_context;
    StageSeconds m_seconds;
    ledger::Ledger m_ledger;
    shops::ShopFolder m_shops;
    const shops::Shop& m_shop;
    const shops::Medium& m_medium;
    FileSpace m_space;
    OpenedPicture m_picture;
    std::optional<SettledWish> m_settled;
    plan::Plan m_print;
};

}  // namespace

MadeTestSheet make_test_sheet(const TestSheetRequest& request, Context& context) {
    if (!fs::is_directory(request.to)) {
        throw base::WriteFailed("The folder " + request.to.string() +
                                " does not exist. Make it first, or choose another folder.");
    }
    return SheetMaker(request, context).made();
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/sheet_list.h"

#include <algorithm>
#include <cmath>
#include <system_error>

#include "engine/colour/correction.h"
#include "engine/colour/difference.h"
#include "engine/colour/tone_curve.h"
#include "engine/jobs/opened_picture.h"
#include "engine/ledger/ledger.h"
#include "engine/shops/shop_folder.h"
#include "engine/trial/learn.h"
#include "engine/trial/perceived.h"
#include "engine/trial/texts.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

/// The nearest of sRGB (IEC 61966-2-1), each channel cut by itself: for patches on a screen, not for files.
std::array<std::uint8_t, 3> shown_srgb(const colour::Lab& lab) {
    const colour::Xyz xyz = colour::xyz_from_lab(lab);
    // XYZ (D50) to linear sRGB: the inverse of the profile's own columns (ICC, D50-adapted by Bradford).
    const std::array<double, 3> linear{3.1338561 * xyz.x - 1.6168667 * xyz.y - 0.4906146 * xyz.z,
                                       -0.9787684 * xyz.x + 1.9161415 * xyz.y + 0.0334540 * xyz.z,
                                       0.0719453 * xyz.x - 0.2289914 * xyz.y + 1.4052427 * xyz.z};
    const colour::ToneCurve curve = colour::ToneCurve::srgb();
    std::array<std::uint8_t, 3> rgb{};
    for (std::size_t c = 0; c < 3; ++c) {
        rgb[c] = static_cast<std::uint8_t>(std::lround(255 * curve.to_encoded(std::clamp(linear[c], 0.0, 1.0))));
    }
    return rgb;
}

ListedSheet listed(const ledger::SheetRow& row, const ledger::TrialRecords& records, const ledger::Ledger& ledger,
                   const shops::ShopFolder& folder) {
    ListedSheet sheet;
    sheet.number = row.number;
    sheet.made_at = row.made_at;
    sheet.printed = row.printed;
    sheet.shop_name = row.printed.shop;
    sheet.medium_name = row.printed.medium;
    const auto shop = std::find_if(folder.shops.begin(), folder.shops.end(),
                                   [&](const shops::Shop& one) { return one.id == row.printed.shop; });
    if (shop != folder.shops.end()) {
        sheet.shop_name = shop->name;
        for (const shops::Medium& medium : shop->media) {
            if (medium.id == row.printed.medium) sheet.medium_name = medium.name;
        }
    }
    if (const auto made = ledger.row(row.made)) {
        sheet.file = made->file_path;
        sheet.guide = sheet.file.parent_path() / (sheet.file.stem().string() + " guide.pdf");
        sheet.picture = made->picture_path;
        sheet.picture_name = sheet.picture.filename().string();  // The record's own name is the sheet's.
        sheet.size_name = made->size_name;
    }
    for (const auto& [number, taken_at, reading] : counted_readings(records, row.printed)) {
        if (number != row.number) continue;
        ++(reading.answer ? sheet.answers : sheet.measurements);
    }
    return sheet;
}

void mirror(SmallPixels& pixels) {
    const auto width = static_cast<std::size_t>(pixels.size.width);
    for (std::size_t row = 0; row < static_cast<std::size_t>(pixels.size.height); ++row) {
        std::uint8_t* begin = pixels.rgb.data() + row * width * 3;
        for (std::size_t x = 0; x < width / 2; ++x)
            std::swap_ranges(begin + 3 * x, begin + 3 * x + 3, begin + 3 * (width - 1 - x));
    }
}

std::string answer_words(const trial::Answer& answer) {
    std::string words;
    const auto add = [&](const std::string& more) { words += (words.empty() ? "" : "; ") + more; };
    if (answer.is_between) {
        add("between " + answer.best + " and " + answer.second);
    } else if (!answer.best.empty()) {
        add(answer.best + (answer.second.empty() ? "" : ", next best " + answer.second));
    }
    if (answer.all) {
        for (const auto& word : trial::Answer::all_words) {
            if (word.value == *answer.all) add("all too " + std::string(word.word));
        }
    }
    if (answer.grey) add("neutral grey " + *answer.grey);
    return "By eye: " + words + ".";
}

std::string measured_words(const trial::Reading& reading) {
    const std::string how =
        reading.by == trial::Learned::By::photograph ? "By photograph: " : "By scan or instrument: ";
    return how + std::to_string(reading.measured->patches.size()) + " colours read" +
           (reading.measured->is_absolute ? "." : ", compared with the bare paper.");
}

ledger::SheetRow sheet_row(const ledger::TrialRecords& records, std::int64_t number) {
    auto row = records.sheet(number);
    if (!row) throw base::InvalidWish("The ledger has no test sheet number " + std::to_string(number) + ".");
    return std::move(*row);
}

}  // namespace

std::vector<ListedSheet> listed_sheets(const Context& context) {
    const ledger::TrialRecords records(ledger_file(context), ledger::Access::look);
    const ledger::Ledger ledger(ledger_file(context), ledger::Access::look);
    const shops::ShopFolder folder = known_shops(context);
    std::vector<ListedSheet> sheets;
    for (const ledger::SheetRow& row : records.all_sheets()) sheets.push_back(listed(row, records, ledger, folder));
    std::reverse(sheets.begin(), sheets.end());
    return sheets;
}

SheetView sheet_view(std::int64_t number, int longest_side, Context& context) {
    SheetView view;
    const ledger::TrialRecords records(ledger_file(context), ledger::Access::look);
    const ledger::SheetRow row = sheet_row(records, number);
    view.listed =
        listed(row, records, ledger::Ledger(ledger_file(context), ledger::Access::look), known_shops(context));
    const trial::KeptSheet kept = trial::sheet_from_text(row.text);
    view.size = kept.sheet.size;
    for (const trial::Cell& cell : kept.sheet.cells) {
        view.cells.push_back({std::string(1, cell.letter), cell.rect});
    }
    for (const trial::Patch& patch : kept.sheet.patches) {
        if (patch.kind != trial::Patch::Kind::near_grey) continue;
        view.greys.push_back({patch.name, patch.rect});
    }
    const Ended end = ended([&] {
        view.shown = thumbnail(view.listed.file, longest_side, context);
        if (kept.is_mirrored) mirror(view.shown);
    });
    if (end.ending == Ending::cancelled) throw base::Cancelled();
    view.sentence = end.sentence;
    return view;
}

std::vector<SheetReading> readings_of_sheet(std::int64_t number, const Context& context) {
    const ledger::TrialRecords records(ledger_file(context), ledger::Access::look);
    const ledger::SheetRow row = sheet_row(records, number);
    const trial::KeptSheet kept = trial::sheet_from_text(row.text);
    std::vector<SheetReading> result;
    for (const auto& [sheet, taken_at, reading] : counted_readings(records, row.printed)) {
        if (sheet != number) continue;
        SheetReading& shown = result.emplace_back();
        shown.taken_at = taken_at;
        shown.sentence = reading.answer ? answer_words(*reading.answer) : measured_words(reading);
        if (!reading.measured) continue;
        for (const trial::Patch& patch : kept.sheet.patches) {
            const auto found = std::find_if(reading.measured->patches.begin(), reading.measured->patches.end(),
                                            [&](const trial::ReadPatch& one) { return one.name == patch.name; });
            if (found == reading.measured->patches.end()) continue;
            shown.colours.push_back({patch.name, shown_srgb(patch.lab), shown_srgb(found->lab),
                                     colour::delta_e_2000(patch.lab, found->lab)});
        }
    }
    return result;
}

DrawnCorrection drawn_correction(const trial::Learned& learned) {
    DrawnCorrection drawn;
    for (std::size_t i = 0; i < colour::Correction::knots; ++i) {
        drawn.points.push_back({static_cast<double>(i) * colour::Correction::knot_step, learned.curves.lightness[i],
                                learned.curves.a[i], learned.curves.b[i]});
    }
    const colour::Corrector corrector(learned.curves);
    for (const colour::Lab& lab : trial::everyday_colours()) {
        drawn.pairs.push_back({shown_srgb(lab), shown_srgb(corrector.uncorrected(lab))});
    }
    return drawn;
}

}  // namespace hangtrue::jobs

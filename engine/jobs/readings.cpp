// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/readings.h"

#include <algorithm>
#include <cmath>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/colour/cgats.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/plan_files.h"
#include "engine/jobs/test_words.h"
#include "engine/raster/row_reader.h"
#include "engine/shops/shop_folder.h"
#include "engine/text/document.h"
#include "engine/trial/design.h"
#include "engine/trial/learn.h"
#include "engine/trial/scan.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;
using base::InvalidWish;

/// All that was read of a medium so far and still counts, with the sheets it was read from.
struct Known {
    std::vector<std::int64_t> numbers;  ///< Of `sheets`.
    std::vector<trial::KeptSheet> sheets;
    std::vector<ledger::ReadingRow> rows;
    std::vector<trial::Reading> readings;

    void take(ledger::ReadingRow row, trial::Reading reading) {
        if (reading.is_withdrawal) {
            for (std::size_t i = rows.size(); i-- > 0;) {
                if (rows[i].sheet != row.sheet) continue;
                rows.erase(rows.begin() + static_cast<std::ptrdiff_t>(i));
                readings.erase(readings.begin() + static_cast<std::ptrdiff_t>(i));
            }
            return;
        }
        rows.push_back(std::move(row));
        readings.push_back(std::move(reading));
    }
    const trial::KeptSheet& sheet(std::int64_t number) const {
        return sheets[static_cast<std::size_t>(std::find(numbers.begin(), numbers.end(), number) - numbers.begin())];
    }
    std::vector<trial::ReadSheet> read_sheets(const std::string& now) const {
        std::vector<trial::ReadSheet> result;
        for (std::size_t i = 0; i < rows.size(); ++i) {
            result.push_back({sheet(rows[i].sheet), readings[i], base::days_between(rows[i].taken_at, now)});
        }
        return result;
    }
};

Known known(const ledger::TrialRecords& records, const ledger::Printed& printed) {
    Known result;
    for (const ledger::SheetRow& row : records.sheets(printed)) {
        result.numbers.push_back(row.number);
        result.sheets.push_back(trial::sheet_from_text(row.text));
    }
    for (ledger::ReadingRow& row : records.readings(printed)) {
        trial::Reading reading = trial::reading_from_text(row.text);
        result.take(std::move(row), std::move(reading));
    }
    return result;
}

ledger::SheetRow sheet_row(const ledger::TrialRecords& records, std::int64_t number) {
    const auto row = records.sheet(number);
    if (!row) {
        throw InvalidWish(
            "The ledger has no test sheet number " + std::to_string(number) +
            ". The number stands on the sheet and on its guide; `hangtrue test status` lists all sheets.");
    }
    return *row;
}

/// What the last sheet's print costs, as its plan says.
std::optional<std::int64_t> sheet_price(const ledger::TrialRecords& records, std::int64_t number,
                                        const Context& context) {
    const auto sheet = records.sheet(number);
    const ledger::Ledger ledger(ledger_file(context), ledger::Access::look);
    const auto made = sheet ? ledger.row(sheet->made) : std::nullopt;
    return made ? plan_of_record(*made).price_cents : std::nullopt;
}

TestStatus status_of(const ledger::TrialRecords& records, const ledger::Printed& printed, const Known& all,
                     std::int64_t correction_id, const trial::Learned& learned, const Context& context) {
    TestStatus status;
    status.printed = printed;
    status.learned = learned;
    status.correction_id = correction_id;
    status.sheets_made = static_cast<int>(all.sheets.size());
    const shops::ShopFolder folder = known_shops(context);
    status.shop_name = printed.shop;
    status.medium_name = printed.medium;
    if (const shops::Shop* shop = shops::find_shop(folder, printed.shop)) {
        status.shop_name = shop->name;
        status.currency = shop->currency;
        for (const shops::Medium& medium : shop->media) {
            if (medium.id != printed.medium) continue;
            status.medium_name = medium.name;
        }
    }
    if (!all.numbers.empty()) status.sheet_cents = sheet_price(records, all.numbers.back(), context);
    if (learned.by == trial::Learned::By::eye && !all.sheets.empty()) {
        const auto& last = all.sheets.back();
        const auto read = all.read_sheets(base::timestamp(context.clock.now()));
        status.error_after_next = trial::error_after_next(trial::believed_of(read), last.part_colours,
                                                          static_cast<int>(last.sheet.cells.size()));
    }
    status.is_enough = is_enough(learned, status.error_after_next);
    status.sentences = status_sentences(status);
    return status;
}

/// Keeps a reading and what now follows from all of them.
TestStatus kept(const trial::Reading& reading, const ledger::SheetRow& sheet, ledger::TrialRecords& records,
                std::vector<std::string> remarks, Context& context) {
    const std::string now = base::timestamp(context.clock.now());
    Known all = known(records, sheet.printed);
    const ledger::ReadingRow row{0, sheet.number, now, trial::reading_text(reading)};
    all.take(row, reading);
    const trial::Learned learned = trial::learned_from(all.read_sheets(now));
    const std::int64_t id = records.add_reading(row, {0, now, sheet.printed, trial::learned_text(learned)});
    TestStatus status = status_of(records, sheet.printed, all, id, learned, context);
    status.remarks = std::move(remarks);
    return status;
}

bool has_cell(const trial::Sheet& sheet, const std::string& letter) {
    return letter.size() == 1 && std::any_of(sheet.cells.begin(), sheet.cells.end(),
                                             [&](const trial::Cell& cell) { return cell.letter == letter.front(); });
}

std::string upper(std::string text) {
    for (char& letter : text) letter = static_cast<char>(std::toupper(static_cast<unsigned char>(letter)));
    return text;
}

std::string checked_cell(const trial::Sheet& sheet, const std::string& given) {
    const std::string letter = upper(given);
    if (has_cell(sheet, letter)) return letter;
    throw InvalidWish("Test sheet " + std::to_string(sheet.number) + " has no cell \"" + given + "\": its cells are " +
                      std::string(1, sheet.cells.front().letter) + " to " + std::string(1, sheet.cells.back().letter) +
                      ".");
}

trial::Answer answer_of(const AnswerRequest& request, const trial::Sheet& sheet) {
    trial::Answer answer;
    if (const auto comma = request.cell.find(','); comma != std::string::npos) {
        answer.best = checked_cell(sheet, request.cell.substr(0, comma));
        answer.second = checked_cell(sheet, request.cell.substr(comma + 1));
        answer.is_between = true;
        if (!request.second.empty())
            throw InvalidWish("Between two cells there is no second best: give one or the other.");
    } else if (!request.cell.empty()) {
        answer.best = checked_cell(sheet, request.cell);
    }
    if (!request.second.empty()) {
        if (answer.best.empty()) throw InvalidWish("A second best (--second) needs a best: --cell.");
        answer.second = checked_cell(sheet, request.second);
    }
    if (!answer.best.empty() && answer.best == answer.second) {
        throw InvalidWish("Best and second best are the same cell, " + answer.best + ".");
    }
    if (!request.all_too.empty()) {
        if (!answer.best.empty()) {
            throw InvalidWish("Either one cell is the best, or all are off the same way: give --cell or --all-too.");
        }
        answer.all = all_too(request.all_too);
    }
    if (!request.grey.empty()) {
        const std::string name = upper(request.grey);
        const bool is_there = std::any_of(sheet.patches.begin(), sheet.patches.end(), [&](const trial::Patch& patch) {
            return patch.kind == trial::Patch::Kind::near_grey && patch.name == name;
        });
        if (!is_there) {
            throw InvalidWish(
                "Test sheet " + std::to_string(sheet.number) + " has no grey \"" + request.grey +
                "\": they are G1 to G" +
                std::to_string(std::count_if(sheet.patches.begin(), sheet.patches.end(),
                                             [](const auto& p) { return p.kind == trial::Patch::Kind::near_grey; })) +
                ", counted from the left.");
        }
        answer.grey = name;
    }
    if (answer.best.empty() && !answer.all && !answer.grey) {
        throw InvalidWish("Say what you saw: --cell E, --all-too dark, or --grey G4.");
    }
    return answer;
}

/// What differs from how the last answer was judged.
std::vector<std::string> screen_remarks(const trial::Judged& judged, const Known& all) {
    const auto last = std::find_if(all.readings.rbegin(), all.readings.rend(), [](const trial::Reading& reading) {
        return reading.answer && reading.answer->needed_screen();
    });
    if (last == all.readings.rend() || !trial::are_different_screens(judged, last->judged)) return {};
    return {
        "This was judged on another screen, or on one set otherwise, than the answer before. What eyes answer holds "
        "for shop, screen and light together: answers on two screens mix two truths. Judge against the greys (--grey) "
        "or scan the sheet, which need no screen."};
}

colour::Profile profile_in(const fs::path& file) {
    const std::string bytes = base::read_whole_file(file, 16'000'000);
    return colour::Profile::from_bytes(std::as_bytes(std::span(bytes)), file.string());
}

/// Relative to the paper: the bare paper becomes L* 100.
colour::Lab relative_to(const colour::Lab& paper, const colour::Lab& lab) {
    const colour::Xyz white = colour::xyz_from_lab(paper);
    const colour::Xyz xyz = colour::xyz_from_lab(lab);
    return colour::lab_from_xyz({xyz.x / white.x * colour::d50.x, xyz.y / white.y, xyz.z / white.z * colour::d50.z});
}

/// The instrument's values for the sheet's patches.
trial::Measured measured_in(const colour::CgatsTable& table, const trial::Sheet& sheet) {
    const auto names = table.names();
    const auto labs = table.lab_values();
    trial::Measured measured;
    measured.is_absolute = true;
    const auto white = std::max_element(sheet.patches.begin(), sheet.patches.end(),
                                        [](const auto& a, const auto& b) { return a.lab.lightness < b.lab.lightness; });
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (upper(names[i]) == white->name) measured.paper = labs[i];
    }
    if (!measured.paper) {
        throw base::UnreadableInput(table.file + " has no value for the bare paper, which is patch " + white->name +
                                    " of the sheet. Measure it too; patches are called by their names on the sheet.");
    }
    constexpr double instrument_sd = 0.2;
    for (std::size_t i = 0; i < names.size(); ++i) {
        const std::string name = upper(names[i]);
        const bool is_known = std::any_of(sheet.patches.begin(), sheet.patches.end(),
                                          [&](const trial::Patch& patch) { return patch.name == name; });
        if (is_known) measured.patches.push_back({name, relative_to(*measured.paper, labs[i]), instrument_sd});
    }
    return measured;
}

/// A wedge that says nothing of the tone is no reading.
void refuse_without_wedge(const trial::Measured& measured, const trial::Sheet& sheet, const fs::path& file) {
    if (!trial::tone_fitted(trial::sent_and_read(sheet, measured), 1)) {
        throw base::UnreadableInput(file.string() +
                                    " holds too few of the sheet's greys (W1 to W21), black and white among them, "
                                    "to tell its tone. Measure the whole row.");
    }
}

/// The one that was named; else the one that the shop has not told, or the only one there is. Throws InvalidWish where
/// none was named of several, or one that is not there.
std::string process_meant(const shops::Medium& medium, const std::string& named) {
    if (medium.same_process_for_all_sizes.value_or(false)) return {};
    std::vector<std::string> told;
    bool some_untold = medium.sizes.empty();
    for (const shops::Size& size : medium.sizes) {
        some_untold = some_untold || size.process.empty();
        const bool is_new = std::find(told.begin(), told.end(), size.process) == told.end();
        if (is_new && !size.process.empty()) told.push_back(size.process);
    }
    if (named.empty() && (some_untold || told.size() == 1)) return some_untold ? "" : told.front();
    if (std::find(told.begin(), told.end(), named) != told.end()) return named;
    throw InvalidWish("\"" + medium.name + "\" is printed by " + text::list_of_words(told) +
                      ", and each has a bias of its own: say which with --process.");
}

}  // namespace

trial::Belief belief_of(const ledger::Printed& printed, const Context& context) {
    const ledger::TrialRecords records(ledger_file(context), ledger::Access::look);
    const Known all = known(records, printed);
    return trial::believed_of(all.read_sheets(base::timestamp(context.clock.now())));
}

TestStatus take_answer(const AnswerRequest& request, Context& context) {
    ledger::TrialRecords records(ledger_file(context));
    const ledger::SheetRow row = sheet_row(records, request.sheet);
    const trial::KeptSheet sheet = trial::sheet_from_text(row.text);
    trial::Reading reading;
    reading.answer = answer_of(request, sheet.sheet);
    reading.judged.screen_candelas = request.screen_candelas;
    reading.judged.light_lux = request.light_lux;
    if (!request.screen_profile.empty()) reading.judged.screen_profile = profile_in(request.screen_profile).hash();
    auto remarks = screen_remarks(reading.judged, known(records, row.printed));
    constexpr double dim_lux = 300;
    if (request.light_lux && *request.light_lux < dim_lux) {
        remarks.emplace_back(
            "Under less than 300 lux prints look darker than they are: this answer teaches that light too. "
            "Judge the next sheet in a brighter place.");
    }
    return kept(reading, row, records, std::move(remarks), context);
}

TestStatus take_scan(std::int64_t number, const fs::path& file, bool is_photograph, Context& context) {
    ledger::TrialRecords records(ledger_file(context));
    const ledger::SheetRow row = sheet_row(records, number);
    const trial::KeptSheet sheet = trial::sheet_from_text(row.text);
    const auto reader = raster::open_picture(file, {scratch_folder(), context.faults}, context.progress);
    const auto& icc = reader->info().icc_profile;
    std::optional<colour::Profile> profile;
    if (!icc.empty()) profile = colour::Profile::from_bytes(icc, file.string());
    const bool is_measured = profile && !is_photograph;
    trial::Reading reading;
    reading.by = is_measured ? trial::Learned::By::scan : trial::Learned::By::photograph;
    reading.measured =
        trial::read_scan(sheet.sheet, *reader, profile, is_measured ? trial::Trust::colours : trial::Trust::greys,
                         file.string(), context.progress);
    refuse_without_wedge(*reading.measured, sheet.sheet, file);
    return kept(reading, row, records, {scan_remark(*reading.measured, is_measured, is_photograph)}, context);
}

TestStatus take_measurement(std::int64_t number, const fs::path& file, Context& context) {
    ledger::TrialRecords records(ledger_file(context));
    const ledger::SheetRow row = sheet_row(records, number);
    const trial::KeptSheet sheet = trial::sheet_from_text(row.text);
    trial::Reading reading;
    reading.by = trial::Learned::By::scan;
    reading.measured = measured_in(colour::read_cgats(file), sheet.sheet);
    refuse_without_wedge(*reading.measured, sheet.sheet, file);
    return kept(reading, row, records, {}, context);
}

TestStatus withdraw_readings(std::int64_t number, Context& context) {
    ledger::TrialRecords records(ledger_file(context));
    const ledger::SheetRow row = sheet_row(records, number);
    const Known all = known(records, row.printed);
    if (std::none_of(all.rows.begin(), all.rows.end(), [&](const auto& read) { return read.sheet == number; })) {
        throw InvalidWish("Nothing was read from test sheet " + std::to_string(number) + " that could be taken back.");
    }
    trial::Reading reading;
    reading.is_withdrawal = true;
    return kept(reading, row, records, {}, context);
}

TestStatus test_status(const std::string& shop_name, const std::string& medium_name, const std::string& process,
                       Context& context) {
    const shops::ShopFolder folder = known_shops(context);
    const shops::Shop& shop = shops::shop_named(folder, shop_name);
    const shops::Medium& medium = shops::medium_named(shop, medium_name);
    const ledger::Printed printed = printed_as(shop.id, medium, process_meant(medium, process));
    const ledger::TrialRecords records(ledger_file(context), ledger::Access::look);
    const auto latest = latest_correction(printed, context);
    return status_of(records, printed, known(records, printed), latest ? latest->id : 0,
                     latest ? latest->learned : trial::Learned{}, context);
}

std::vector<CountedReading> counted_readings(const ledger::TrialRecords& records, const ledger::Printed& printed,
                                             const std::string& until) {
    Known counted;
    for (ledger::ReadingRow& row : records.readings(printed)) {
        if (!until.empty() && row.taken_at > until) break;
        trial::Reading reading = trial::reading_from_text(row.text);
        counted.take(std::move(row), std::move(reading));
    }
    std::vector<CountedReading> result;
    for (std::size_t i = 0; i < counted.rows.size(); ++i) {
        result.push_back({counted.rows[i].sheet, std::move(counted.rows[i].taken_at), std::move(counted.readings[i])});
    }
    return result;
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <charconv>
#include <optional>
#include <string_view>

#include "apps/cli/broken_shops.h"
#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "apps/cli/wish_words.h"
#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/jobs/readings.h"
#include "engine/jobs/sheet_list.h"
#include "engine/jobs/test_sheets.h"

namespace hangtrue::cli {

namespace {

using base::InvalidWish;

std::int64_t sheet_number(const std::string& text) {
    std::int64_t number = 0;
    const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (status != std::errc{} || end != text.data() + text.size() || number < 1) {
        throw InvalidWish("\"" + text + "\" is no number of a test sheet: it is the number that stands on the sheet.");
    }
    return number;
}

base::RealRect part_of(const std::string& text) {
    std::array<double, 2> numbers{};
    const char* at = text.data();
    const char* end = at + text.size();
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        const bool has_comma = i == 0 || (at != end && *at++ == ',');
        const auto [stop, error] = std::from_chars(at, end, numbers[i]);
        if (!has_comma || error != std::errc{} || !(numbers[i] >= 0)) {
            throw InvalidWish("--part takes left and top in pixels of the upright picture, as in 1200,800; not \"" +
                              text + "\".");
        }
        at = stop;
    }
    if (at != end) throw InvalidWish("--part takes two numbers, as in 1200,800; not \"" + text + "\".");
    return {numbers[0], numbers[1], 0, 0};
}

std::string_view name_of(trial::Learned::By by) {
    switch (by) {
        case trial::Learned::By::nothing: return "nothing";
        case trial::Learned::By::eye: return "eye";
        case trial::Learned::By::photograph: return "photograph";
        case trial::Learned::By::scan: return "scan";
    }
    return "?";
}

Json shift_json(const colour::Shift& shift) {
    return {{"lightness", shift.lightness}, {"tint_a", shift.a}, {"tint_b", shift.b}, {"contrast", shift.contrast}};
}

/// A rectangle of the sheet in millimetres from its upper left corner.
Json place_json(const base::PixelRect& rect, base::PixelsPerInch ppi) {
    const auto mm = [&](int px) { return base::length_of(px, ppi).value; };
    return {{"x_mm", mm(rect.x)}, {"y_mm", mm(rect.y)}, {"width_mm", mm(rect.width)}, {"height_mm", mm(rect.height)}};
}

Json json_of(const jobs::MadeTestSheet& made) {
    const trial::Sheet& sheet = made.kept.sheet;
    Json json;
    json["sheet"] = sheet.number;
    json["file"] = made.file.string();
    json["guide"] = made.guide.string();
    json["size"] = made.plan.size_name;
    json["price_cents"] = or_null(made.plan.price_cents);
    json["width_mm"] = base::length_of(sheet.size.width, sheet.ppi).value;
    json["height_mm"] = base::length_of(sheet.size.height, sheet.ppi).value;
    json["ppi"] = sheet.ppi.value;
    json["mirrored"] = made.kept.is_mirrored;
    json["part"] = {
        {"x", sheet.part.x}, {"y", sheet.part.y}, {"width", sheet.part.width}, {"height", sheet.part.height}};
    json["window_px"] = cli::json_of(sheet.window);
    json["cells"] = Json::array();
    for (const trial::Cell& cell : sheet.cells) {
        Json one{{"letter", std::string(1, cell.letter)}};
        one.update(place_json(cell.rect, sheet.ppi));
        one["shift"] = shift_json(cell.variant);
        json["cells"].push_back(one);
    }
    json["patches"] = Json::array();
    json["greys"] = Json::array();
    for (const trial::Patch& patch : sheet.patches) {
        Json one{{"name", patch.name}};
        one.update(place_json(patch.rect, sheet.ppi));
        one["rgb"] = patch.rgb;
        one["lab"] = {patch.lab.lightness, patch.lab.a, patch.lab.b};
        json["patches"].push_back(one);
        if (patch.kind == trial::Patch::Kind::near_grey) json["greys"].push_back(one);
    }
    json["print"] = cli::json_of(made.print);
    json["plan"] = cli::json_of(made.plan);
    return json;
}

Json json_of(const jobs::TestStatus& status) {
    Json json;
    json["shop"] = status.printed.shop;
    json["medium"] = status.printed.medium;
    json["process"] = status.printed.process;
    json["by"] = name_of(status.learned.by);
    json["sheets"] = status.learned.sheets;
    json["sheets_made"] = status.sheets_made;
    json["correction_id"] = status.correction_id > 0 ? Json(status.correction_id) : Json(nullptr);
    json["applied"] = status.learned.is_applied;
    json["correction"] = shift_json(status.learned.shift);
    json["correction"]["sd"] = shift_json(status.learned.sd);
    json["curves"] = {
        {"lightness", status.learned.curves.lightness}, {"a", status.learned.curves.a}, {"b", status.learned.curves.b}};
    json["error_now_de00"] = status.learned.error_now;
    json["error_de00"] = status.learned.error;
    json["error_after_next_de00"] = or_null(status.error_after_next);
    json["f50_cycles_per_mm"] = or_null(status.learned.f50_cycles_per_mm);
    json["sheet_price_cents"] = or_null(status.sheet_cents);
    json["stop"] = status.is_enough;
    json["sentences"] = status.sentences;
    json["remarks"] = status.remarks;
    return json;
}

Reply reply_of(const jobs::TestStatus& status) {
    Reply reply;
    reply.json = json_of(status);
    for (const std::string& sentence : status.sentences) reply.text += sentence + "\n";
    for (const std::string& remark : status.remarks) reply.text += remark + "\n";
    if (status.learned.by == trial::Learned::By::nothing) {
        reply.text += status.sheets_made == 0
                          ? "  hangtrue test sheet PICTURE --shop … --medium … --size …\n"
                          : "  hangtrue test answer SHEET --cell E, hangtrue test scan SHEET FILE\n";
    }
    return reply;
}

std::string read_words(const jobs::ListedSheet& sheet) {
    if (sheet.measurements > 0) return "measured";
    return sheet.answers > 0 ? "answered" : "not read yet";
}

/// All there are, the last first.
Reply sheets_made(const jobs::Context& context) {
    Reply reply;
    reply.json["test_sheets"] = Json::array();
    std::vector<std::vector<std::string>> rows{{"sheet", "made", "medium", "size", "picture", "read"}};
    for (const jobs::ListedSheet& sheet : jobs::listed_sheets(context)) {
        reply.json["test_sheets"].push_back({{"sheet", sheet.number},
                                             {"made_at", sheet.made_at},
                                             {"shop", sheet.printed.shop},
                                             {"shop_name", sheet.shop_name},
                                             {"medium", sheet.printed.medium},
                                             {"medium_name", sheet.medium_name},
                                             {"process", sheet.printed.process},
                                             {"size", sheet.size_name},
                                             {"picture", sheet.picture_name},
                                             {"file", sheet.file.string()},
                                             {"guide", sheet.guide.string()},
                                             {"answers", sheet.answers},
                                             {"measurements", sheet.measurements}});
        rows.push_back({std::to_string(sheet.number), sheet.made_at.substr(0, 10),
                        sheet.medium_name + " from " + sheet.shop_name, sheet.size_name, sheet.picture_name,
                        read_words(sheet)});
    }
    if (rows.size() == 1) {
        reply.text = "No test sheet has been made yet: hangtrue test sheet PICTURE --shop … --medium … --size …\n";
        return reply;
    }
    reply.text = table_text(rows, 0) +
                 "What the sheets of one medium taught: hangtrue test status --shop SHOP --medium MEDIUM\n";
    return reply;
}

}  // namespace

Reply test_sheet(const Arguments& arguments, jobs::Context& context) {
    jobs::TestSheetRequest request;
    request.picture = arguments.positionals().front();
    const auto wishes = wishes_of(arguments);
    if (wishes.size() != 1) throw InvalidWish("A test sheet is for one print: give one --size.");
    request.wish = wishes.front().wish;
    if (const auto on = arguments.text("on")) {
        request.on = base::parse_size(*on);
        if (!request.on) throw InvalidWish("--on takes two lengths with a unit, as in 10x8in; not \"" + *on + "\".");
    }
    if (const auto part = arguments.text("part")) request.part = part_of(*part);
    request.to = arguments.text("to").value_or(".");
    request.replace = arguments.has("replace");
    request.anyway = arguments.has("anyway");
    const jobs::MadeTestSheet made = jobs::make_test_sheet(request, context);

    Reply reply;
    if (made.ending != jobs::Ending::done) {
        reply.status = status_of(made.ending);
        reply.errors.push_back(made.sentence);
        reply.json["findings"] = cli::json_of(made.findings);
        return reply;
    }
    reply.json = json_of(made);
    reply.json["findings"] = cli::json_of(made.findings);
    reply.json["remarks"] = made.remarks;
    const trial::Sheet& sheet = made.kept.sheet;
    reply.text = "Test sheet " + std::to_string(sheet.number) +
                 " is made, read back and found right: " + std::to_string(sheet.cells.size()) + " cells, on " +
                 made.plan.medium_name + " from " + made.plan.shop_name + ", " + made.plan.size_name + ".\n";
    std::vector<std::vector<std::string>> rows{
        {"file", made.file.string()},
        {"", pixels_text(sheet.size) + " at " + base::number_text(sheet.ppi.value, 2) + " ppi"},
        {"guide", made.guide.string()},
        {"answer", "hangtrue test answer " + std::to_string(sheet.number) + " --cell E --second B --grey G4"}};
    for (const std::string& choice : made.plan.order_choices) rows.push_back({"choose", choice});
    if (!made.costs.empty()) rows.push_back({"costs", made.costs});
    reply.text += table_text(rows, 2);
    if (!made.findings.empty()) reply.text += "Of the print that it is for:\n";
    for (const checks::Finding& finding : made.findings) reply.text += "  " + finding_line(finding) + "\n";
    for (const std::string& remark : made.remarks) reply.text += remark + "\n";
    add_broken_shops(reply, context);
    return reply;
}

Reply test_answer(const Arguments& arguments, jobs::Context& context) {
    jobs::AnswerRequest request;
    request.sheet = sheet_number(arguments.positionals().front());
    request.cell = arguments.text("cell").value_or("");
    request.second = arguments.text("second").value_or("");
    request.all_too = arguments.text("all-too").value_or("");
    request.grey = arguments.text("grey").value_or("");
    request.screen_candelas = arguments.number("screen-brightness");
    request.screen_profile = arguments.text("screen-profile").value_or("");
    request.light_lux = arguments.number("light");
    return reply_of(jobs::take_answer(request, context));
}

Reply test_scan(const Arguments& arguments, jobs::Context& context) {
    const auto& names = arguments.positionals();
    return reply_of(jobs::take_scan(sheet_number(names[0]), names[1], arguments.has("photograph"), context));
}

Reply test_measure(const Arguments& arguments, jobs::Context& context) {
    const auto& names = arguments.positionals();
    return reply_of(jobs::take_measurement(sheet_number(names[0]), names[1], context));
}

Reply test_withdraw(const Arguments& arguments, jobs::Context& context) {
    return reply_of(jobs::withdraw_readings(sheet_number(arguments.positionals().front()), context));
}

Reply test_status(const Arguments& arguments, jobs::Context& context) {
    const auto shop = arguments.text("shop");
    const auto medium = arguments.text("medium");
    if (!shop && !medium && !arguments.text("process")) return sheets_made(context);
    if (!shop || !medium) throw InvalidWish("Say which medium: --shop SHOP --medium MEDIUM.");
    return reply_of(jobs::test_status(*shop, *medium, arguments.text("process").value_or(""), context));
}

}  // namespace hangtrue::cli

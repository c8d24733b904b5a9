// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/texts.h"

#include <algorithm>
#include <cmath>

#include "engine/text/document.h"
#include "engine/text/writer.h"

namespace hangtrue::trial {

namespace {

using text::Table;
using text::Writer;

constexpr int format = 1;
constexpr const char* kept = "a record of the ledger";
constexpr int most_px = 1'000'000;

constexpr text::Word<Patch::Kind> kind_words[] = {
    {"grey", Patch::Kind::grey}, {"near_grey", Patch::Kind::near_grey}, {"colour", Patch::Kind::colour}};
constexpr text::Word<Learned::By> by_words[] = {{"nothing", Learned::By::nothing},
                                                {"eye", Learned::By::eye},
                                                {"photograph", Learned::By::photograph},
                                                {"scan", Learned::By::scan}};

template <typename Value, std::size_t N>
std::string word_of(Value value, const text::Word<Value> (&words)[N]) {
    const auto found =
        std::find_if(std::begin(words), std::end(words), [&](const auto& w) { return w.value == value; });
    return std::string(found->word);
}

template <std::size_t N>
std::array<double, N> reals(Table& table, const char* key) {
    const text::Item item = table.required(key);
    const auto items = item.items();
    if (items.size() != N) item.fail("another number of values stands here");
    std::array<double, N> values{};
    for (std::size_t i = 0; i < N; ++i) {
        values[i] = items[i].any_real();
        if (!std::isfinite(values[i])) items[i].fail("no number stands here");
    }
    return values;
}

std::vector<double> list_of(base::RealRect rect) { return {rect.x, rect.y, rect.width, rect.height}; }
std::vector<std::int64_t> list_of(base::PixelRect rect) { return {rect.x, rect.y, rect.width, rect.height}; }
std::vector<double> list_of(const colour::Lab& lab) { return {lab.lightness, lab.a, lab.b}; }
std::vector<double> list_of(const colour::Shift& shift) { return {shift.lightness, shift.a, shift.b, shift.contrast}; }

base::PixelRect rect_in(Table& table, const char* key) {
    const text::Item item = table.required(key);
    const auto items = item.items();
    if (items.size() != 4) item.fail("four numbers make a rectangle");
    const auto number = [&](std::size_t i) { return static_cast<int>(items[i].integer(0, most_px)); };
    return {number(0), number(1), number(2), number(3)};
}
colour::Lab lab_in(Table& table, const char* key) {
    const auto v = reals<3>(table, key);
    return {v[0], v[1], v[2]};
}
colour::Shift shift_in(Table& table, const char* key) {
    const auto v = reals<4>(table, key);
    return {v[0], v[1], v[2], v[3]};
}
double real_in(Table& table, const char* key) { return table.required(key).real(-1e9, 1e9); }
std::optional<double> optional_real(Table& table, const char* key) {
    const auto item = table.find(key);
    return item ? std::optional(item->real(-1e9, 1e9)) : std::nullopt;
}

void write_marks_and_edges(Writer& writer, const Sheet& sheet) {
    for (const Mark& mark : sheet.marks) {
        writer.next_table({"mark"}).value("code", std::int64_t{mark.code}).value("px", list_of(mark.rect));
    }
    for (const SlantedEdge& edge : sheet.edges) {
        writer.next_table({"edge"})
            .value("px", list_of(edge.rect))
            .value("degrees", edge.degrees)
            .value("vertical", edge.is_vertical)
            .value("greys", std::vector<double>{edge.dark, edge.light});
    }
    for (const Lines& lines : sheet.lines) {
        writer.next_table({"lines"})
            .value("px", list_of(lines.rect))
            .value("width", std::int64_t{lines.width_px})
            .value("vertical", lines.are_vertical);
    }
    for (const Caption& caption : sheet.captions) {
        writer.next_table({"caption"}).value("px", list_of(caption.rect)).value("text", caption.text);
    }
}

void read_marks_and_edges(Table& root, Sheet& sheet) {
    const auto marks = root.tables("mark");
    if (marks.size() != sheet.marks.size()) root.fail("a sheet has four marks");
    for (std::size_t i = 0; i < marks.size(); ++i) {
        Table table = marks[i];
        sheet.marks[i] = {static_cast<int>(table.required("code").integer(0, 586)), rect_in(table, "px")};
    }
    for (Table table : root.tables("edge")) {
        const auto greys = reals<2>(table, "greys");
        sheet.edges.push_back({rect_in(table, "px"), real_in(table, "degrees"), table.required("vertical").boolean(),
                               static_cast<float>(greys[0]), static_cast<float>(greys[1])});
    }
    for (Table table : root.tables("lines")) {
        sheet.lines.push_back({rect_in(table, "px"), static_cast<int>(table.required("width").integer(1, most_px)),
                               table.required("vertical").boolean()});
    }
    for (Table table : root.tables("caption")) {
        sheet.captions.push_back({rect_in(table, "px"), table.required("text").string()});
    }
}

}  // namespace

std::string sheet_text(const KeptSheet& kept_sheet) {
    const Sheet& sheet = kept_sheet.sheet;
    Writer writer(format);
    writer.value("number", sheet.number)
        .value("size_px", std::vector<std::int64_t>{sheet.size.width, sheet.size.height})
        .value("ppi", sheet.ppi.value)
        .value("part", list_of(sheet.part))
        .value("window_px", list_of(sheet.window))
        .value("mirrored", kept_sheet.is_mirrored);
    for (const Cell& cell : sheet.cells) {
        writer.next_table({"cell"})
            .value("letter", std::string(1, cell.letter))
            .value("px", list_of(cell.rect))
            .value("shift", list_of(cell.variant));
    }
    for (const Patch& patch : sheet.patches) {
        writer.next_table({"patch"})
            .value("name", patch.name)
            .value("kind", word_of(patch.kind, kind_words))
            .value("px", list_of(patch.rect))
            .value("rgb", std::vector<double>(patch.rgb.begin(), patch.rgb.end()))
            .value("lab", list_of(patch.lab));
    }
    write_marks_and_edges(writer, sheet);
    for (const colour::Lab& lab : kept_sheet.part_colours)
        writer.next_table({"part_colour"}).value("lab", list_of(lab));
    return writer.text();
}

KeptSheet sheet_from_text(std::string_view text) {
    const text::Document document = text::Document::parse(text, kept, format);
    Table root = document.root();
    KeptSheet result;
    Sheet& sheet = result.sheet;
    sheet.number = root.required("number").integer(1, INT64_MAX);
    const auto size = reals<2>(root, "size_px");
    sheet.size = {static_cast<int>(size[0]), static_cast<int>(size[1])};
    sheet.ppi = {real_in(root, "ppi")};
    const auto part = reals<4>(root, "part");
    sheet.part = {part[0], part[1], part[2], part[3]};
    sheet.window = rect_in(root, "window_px");
    result.is_mirrored = root.required("mirrored").boolean();
    for (Table table : root.tables("cell")) {
        sheet.cells.push_back(
            {table.required("letter").filled_string().front(), rect_in(table, "px"), shift_in(table, "shift")});
    }
    for (Table table : root.tables("patch")) {
        Patch patch;
        patch.name = table.required("name").string();
        patch.kind = table.required("kind").one_of(kind_words);
        patch.rect = rect_in(table, "px");
        const auto rgb = reals<3>(table, "rgb");
        std::transform(rgb.begin(), rgb.end(), patch.rgb.begin(), [](double v) { return static_cast<float>(v); });
        patch.lab = lab_in(table, "lab");
        sheet.patches.push_back(std::move(patch));
    }
    read_marks_and_edges(root, sheet);
    for (Table table : root.tables("part_colour")) result.part_colours.push_back(lab_in(table, "lab"));
    document.refuse_unknown_keys();
    return result;
}

std::string reading_text(const Reading& reading) {
    Writer writer(format);
    writer.value("by", word_of(reading.by, by_words));
    if (reading.is_withdrawal) writer.value("withdrawal", true);
    if (reading.answer) {
        const Answer& answer = *reading.answer;
        writer.blank().table({"answer"});
        writer.value("best", answer.best).value("second", answer.second).value("between", answer.is_between);
        if (answer.all) writer.value("all_too", word_of(*answer.all, Answer::all_words));
        if (answer.grey) writer.value("grey", *answer.grey);
        if (reading.judged.screen_candelas) writer.value("screen_candelas", *reading.judged.screen_candelas);
        if (reading.judged.screen_profile) writer.value("screen_profile", reading.judged.screen_profile->hex());
        if (reading.judged.light_lux) writer.value("light_lux", *reading.judged.light_lux);
    }
    if (reading.measured) {
        const Measured& measured = *reading.measured;
        writer.blank().table({"measured"});
        writer.value("absolute", measured.is_absolute);
        if (measured.paper) writer.value("paper", list_of(*measured.paper));
        if (measured.f50_cycles_per_mm) writer.value("f50_cycles_per_mm", *measured.f50_cycles_per_mm);
        for (const ReadPatch& patch : measured.patches) {
            writer.next_table({"measured", "patch"})
                .value("name", patch.name)
                .value("lab", list_of(patch.lab))
                .value("sd", patch.sd);
        }
    }
    return writer.text();
}

Reading reading_from_text(std::string_view text) {
    const text::Document document = text::Document::parse(text, kept, format);
    Table root = document.root();
    Reading reading;
    reading.by = root.required("by").one_of(by_words);
    if (const auto item = root.find("withdrawal")) reading.is_withdrawal = item->boolean();
    if (auto table = root.find_table("answer")) {
        Answer& answer = reading.answer.emplace();
        answer.best = table->required("best").string();
        answer.second = table->required("second").string();
        answer.is_between = table->required("between").boolean();
        if (const auto item = table->find("all_too")) answer.all = item->one_of(Answer::all_words);
        if (const auto item = table->find("grey")) answer.grey = item->string();
        reading.judged.screen_candelas = optional_real(*table, "screen_candelas");
        if (const auto item = table->find("screen_profile")) {
            reading.judged.screen_profile = base::Sha256::from_hex(item->string());
        }
        reading.judged.light_lux = optional_real(*table, "light_lux");
    }
    if (auto table = root.find_table("measured")) {
        Measured& measured = reading.measured.emplace();
        measured.is_absolute = table->required("absolute").boolean();
        if (table->find("paper")) measured.paper = lab_in(*table, "paper");
        measured.f50_cycles_per_mm = optional_real(*table, "f50_cycles_per_mm");
        for (Table patch : table->tables("patch")) {
            measured.patches.push_back({patch.required("name").string(), lab_in(patch, "lab"), real_in(patch, "sd")});
        }
    }
    document.refuse_unknown_keys();
    return reading;
}

std::string learned_text(const Learned& learned) {
    Writer writer(format);
    const auto curve = [](const colour::Correction::Curve& values) {
        return std::vector<double>(values.begin(), values.end());
    };
    writer.value("by", word_of(learned.by, by_words))
        .value("sheets", std::int64_t{learned.sheets})
        .value("applied", learned.is_applied)
        .value("lightness", curve(learned.curves.lightness))
        .value("a", curve(learned.curves.a))
        .value("b", curve(learned.curves.b))
        .value("shift", list_of(learned.shift))
        .value("sd", list_of(learned.sd))
        .value("error_now", learned.error_now)
        .value("error", learned.error)
        .value("paper_difference", learned.paper_difference);
    if (learned.f50_cycles_per_mm) writer.value("f50_cycles_per_mm", *learned.f50_cycles_per_mm);
    return writer.text();
}

Learned learned_from_text(std::string_view text) {
    const text::Document document = text::Document::parse(text, kept, format);
    Table root = document.root();
    Learned learned;
    learned.by = root.required("by").one_of(by_words);
    learned.sheets = static_cast<int>(root.required("sheets").integer(0, 1'000'000));
    learned.is_applied = root.required("applied").boolean();
    learned.curves.lightness = reals<colour::Correction::knots>(root, "lightness");
    learned.curves.a = reals<colour::Correction::knots>(root, "a");
    learned.curves.b = reals<colour::Correction::knots>(root, "b");
    if (!colour::is_valid(learned.curves)) root.fail("these curves are no correction");
    learned.shift = shift_in(root, "shift");
    learned.sd = shift_in(root, "sd");
    learned.error_now = real_in(root, "error_now");
    learned.error = real_in(root, "error");
    learned.paper_difference = real_in(root, "paper_difference");
    learned.f50_cycles_per_mm = optional_real(root, "f50_cycles_per_mm");
    document.refuse_unknown_keys();
    return learned;
}

}  // namespace hangtrue::trial

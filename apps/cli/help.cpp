// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/help.h"

#include <algorithm>
#include <array>
#include <sstream>
#include <vector>

#include "apps/cli/letters.h"

namespace hangtrue::cli {

namespace {

constexpr std::size_t line_width = 96;
constexpr std::size_t meaning_column = 32;

/// `text` broken between words, every line but the first set in by `indent`, the first beginning there too.
std::string wrapped(const std::string& text, std::size_t indent) {
    std::string lines;
    std::size_t column = indent;
    std::istringstream words(text);
    for (std::string word; words >> word;) {
        const bool begins = column == indent;
        if (!begins && column + 1 + shown_width(word) > line_width) {
            lines += "\n" + std::string(indent, ' ');
            column = indent;
        } else if (!begins) {
            lines += ' ';
            ++column;
        }
        lines += word;
        column += shown_width(word);
    }
    return lines;
}

std::string two_columns(const std::string& left, const std::string& right) {
    const std::size_t width = shown_width(left) + 2;
    const std::string gap =
        width + 1 > meaning_column ? "\n" + std::string(meaning_column, ' ') : std::string(meaning_column - width, ' ');
    return "  " + left + gap + wrapped(right, meaning_column) + "\n";
}

std::string usage(const VerbInfo& verb) {
    std::string text(verb.name);
    if (!verb.positionals.empty()) text += " " + std::string(verb.positionals);
    return text;
}

std::string option_usage(const OptionInfo& option) {
    std::string text = "--" + std::string(option.name);
    if (!option.argument.empty()) text += " " + std::string(option.argument);
    return text;
}

struct GroupTitle {
    Group group;
    std::string_view title;
};
constexpr std::array<GroupTitle, 3> group_titles{{
    {Group::wish, "The print"},
    {Group::file, "Files"},
    {Group::everywhere, "Everywhere"},
}};

std::string options_of(const VerbInfo* verb) {
    std::string text;
    for (const GroupTitle& group : group_titles) {
        std::string rows;
        for (const OptionInfo& option : options()) {
            if (option.group != group.group) continue;
            const bool taken = verb == nullptr ? group.group == Group::everywhere : option.verbs.has(verb->verb);
            if (taken) rows += two_columns(option_usage(option), option_sentence(option));
        }
        if (!rows.empty()) text += "\n" + std::string(group.title) + "\n" + rows;
    }
    return text;
}

std::string statuses_text() {
    std::string text = "\nExit status\n";
    for (const ExitStatusInfo& row : exit_statuses()) {
        text += two_columns(std::to_string(static_cast<int>(row.status)), std::string(row.meaning));
    }
    text += "  " +
            wrapped("Of several jobs: 5 if cancelled, else the largest of 70, 6, 4, 3 and 2, else 1, else 0.", 2) +
            "\n";
    return text;
}

/// A cell of a Markdown table: the bars within words are no borders.
std::string cell(std::string_view text) {
    std::string escaped;
    for (const char letter : text) {
        if (letter == '|') escaped += '\\';
        escaped += letter;
    }
    return escaped;
}

std::string code_cell(std::string_view text) { return text.empty() ? "" : "`" + cell(text) + "`"; }

std::string verbs_of(const OptionInfo& option) {
    std::string text;
    for (const VerbInfo& verb : verbs()) {
        if (option.verbs.has(verb.verb)) text += (text.empty() ? "`" : ", `") + std::string(verb.name) + "`";
    }
    return text;
}

constexpr std::string_view json_section =
    R"(
## JSON

`--json` prints one JSON document to standard output and nothing else there. Names of numbers carry their
units: `_px`, `_mm`, `_m`, `_ppi`, `_de00` (colour difference, CIEDE2000: 1 is just visible); `bytes` are
bytes, what stands under `seconds` is seconds, `crop_loss` is a share from 0 to 1, `enlarging` counts file
pixels for one picture pixel. Every document has `status` (the exit status), `ending` (the same as a word)
and, where something went wrong, `sentence`. Verbs that look among all shops have `broken_shops` too: each
`file`, `sentence` of a shop file that cannot be read and was left out.

| verb | beside these |
| --- | --- |
| `sizes` | `pictures`: each `picture`, `width_px`, `height_px`, `detail_cycles_per_pixel`, `true_megapixels`, )"
    R"(`detail_sentence` (why nothing is told of it), `measuring_s`, `media`: each `shop`, `medium`, `ppi`, )"
    R"(`native_width_mm`, `native_height_mm`, `largest_without_enlarging`, `sizes`: each `name`, `width_mm`, )"
    R"(`height_mm`, `picture_ppi`, `enlarging`, `sharp_from_m`, `crop_loss`, `below_least_ppi`, `price_cents`, )"
    R"(`sharpness` (`in the hand`, `on the wall`, `soft`, `unknown`), `detail_ppi`, `detail_sharp_from_m`, )"
    R"(`wall_distance_m` |
| `detail` | `pictures`: each `picture`, `width_px`, `height_px`, `bits`, `detail_cycles_per_pixel`, )"
    R"(`true_megapixels`, `noise_sd_8bit`, `noise_coarse_share`, `noise_by_brightness` (each `luminance_8bit`, )"
    R"(`noise_sd_8bit`), `enlarged_before` (times; 1: not), `blur_sigma_px`, `halo_overshoot` (share of an edge's )"
    R"(contrast), `jpeg_quality` (1 to 100, `null` for none), `jpeg_in_the_past`, `blocking` (times; 1: none), )"
    R"(`clipped_white`, `clipped_black` (shares), `spectrum_cycles_per_pixel`, `spectrum` (each )"
    R"(`cycles_per_pixel`, `power_8bit`, `noise_8bit`), `sharpest_px` (each `x_px`, `y_px`, `width_px`, )"
    R"(`height_px`), `sentences`, `seconds`; `report` |
| `check` | `prints`: each `picture`, `size`, `status`, `ending`, `sentence`, `findings`: each `name`, `severity`, )"
    R"(`sentence`, `way_out`, `option` (as typed, or `null`), `command` (the same), )"
    R"(`figure`, `limit`, `unit`, `where` (`x_px`, `y_px`, )"
    R"(`width_px`, `height_px` of the upright picture), `passable`; `plans`; `report` |
| `make` | `jobs`: each `picture`, `listed_at` (of a list: its name and line), `status`, `ending`, `sentence`, )"
    R"(`findings`, `files`; `order_sheets`; `recovered`. A file holds `file`, `width_px`, `height_px`, `ppi`, )"
    R"(`bytes`, `sha256`, `verified`, `ticket`, `order_note`, `ledger_id`, `plan`, `seconds`, `spilled_bytes`, )"
    R"(`decoder_bytes`, `colour`, `lossy`, `likeness` (as `enlarge`), `remarks`. Where one job made one file, its )"
    R"(keys stand at the top as well |
| `verify` | `files`: each `file`, `status`, `ending`, `sentence`, `matches`, `differences`, `ledger_id`, )"
    R"(`samples_compared`, `sha256`, `bytes` |
| `view` | `out`, `window` (`x_px`, `y_px`, `width_px`, `height_px`), `width_px`, `height_px`, `bits`, )"
    R"(`as_decoded` (the file is a JPEG, and these are its pixels as they decode), `made_file` (the JPEG that was )"
    R"(decoded; `null` where it was coded for this view), `notice`, `as_print` (with `--as print`: `basis` )"
    R"((`profile`, `measured`, `assumed`), `paper_lab`, `black_lab_against_paper`, `hatched`, `outside_gamut_share`, )"
    R"(`sentences`) |
| `light` | `rooms`: each `id`, `source` and what `--light` gives for one: `lux`, `room`, `screen_cd_m2`, )"
    R"(`paper_cd_m2`, `darker_stops`, `looks_as_bright` (of the screen's white, 1: as bright), `matching_lux`, )"
    R"(`density_of_black`, `merged_up_to_code`, `merged_up_to_code_changed` (sRGB, 0 to 255), `visible_steps` (each )"
    R"(`range`, `on_screen`, `matched`, `there`, `changed`), `changes`, `middle_stops`, `tones` (lightness L*). With )"
    R"(`--photograph`: `screen_at`, `paper_at`, `areas_found`, `brighter` (`screen`, `paper`, `neither`), )"
    R"(`screen_brighter_stops` with `_least` and `_most`, `lux` likewise; `sentences` in all |
| `enlarge` | `out`, `width_px`, `height_px`, `bits`, `channels`, `network` (`null`: by the filter; `name`, )"
    R"(`weights_sha256`, `doublings`, what it was told, `undone_blur_sigma_px`, `grain`), `likeness` (`null` where no )"
    R"(network enlarged a whole block of 16 px; `mean_difference_of_255`, `largest_block_difference_of_255`, )"
    R"(`block_side_px`, `decibels`, `compared_px`) |
| `shop list` | `shops`: each `id`, `name`, `media`, `open_questions`; `broken_shops` |
| `shop show` | `shop`: what its file says; what it does not say is `null` |
| `shop new` | `file` |
| `shop check` | `files`: each `file`, `status`, `ending`, `sentence`, `open_questions` |
| `shop questions` | `questions`: each `medium`, `key`, `text`; `letter` |
| `ledger list` | `records`: each `id`, `made_at`, `picture`, `shop`, `medium`, `size`, `quantity`, `file` |
| `ledger show` | the same of one record, and `picture_sha256`, `sha256`, `bytes`, `program_version`, `plan` |
| `ledger again` | `sameness` (`same-file`, `same-pixels`, `same-print`, `not-same`), `file`, )"
    R"(`largest_block_difference_de00`, `likeness`, `ledger_id`, `picture`, `seconds` |
| `test sheet` | `sheet` (its number), `file`, `guide`, `size`, `price_cents`, )"
    R"(`width_mm`, `height_mm`, `ppi`, `mirrored`, `part` )"
    R"((`x`, `y`, `width`, `height` in pixels of the upright picture), `window_px` (the same in the print's file), )"
    R"(`cells`: each `letter`, `x_mm`, `y_mm`, `width_mm`, `height_mm`, `shift` (`lightness`, `tint_a`, `tint_b` in )"
    R"(L\*, a\*, b\*, `contrast` as a share); `patches` and `greys`: each `name`, its place, `rgb` as sent (0 to 1), )"
    R"(`lab`; `print` and `plan` (of the print and of the sheet), `findings`, `remarks` |
| `test answer`, `test scan`, `test measure`, `test withdraw`, `test status` | `shop`, `medium`, `process`, )"
    R"(`by` (`nothing`, `eye`, `photograph`, `scan`), `sheets`, `sheets_made`, `correction_id`, `applied`, )"
    R"(`correction` (as `shift`, with `sd`), `curves` (at L\* 0, 5 … 100), `error_now_de00`, `error_de00`, )"
    R"(`error_after_next_de00`, `f50_cycles_per_mm`, `sheet_price_cents`, `stop`, `sentences`, `remarks` |
| `test status` without `--shop` and `--medium` | `test_sheets`: each `sheet`, `made_at`, `shop`, )"
    R"(`shop_name`, `medium`, `medium_name`, `process`, `size`, )"
    R"(`picture`, `file`, `guide`, `answers`, `measurements` (numbers of what counts) |
)";

}  // namespace

std::string option_sentence(const OptionInfo& option) {
    std::string text(option.meaning);
    if (!option.unit.empty()) text += " Unit: " + std::string(option.unit) + ".";
    if (const std::string range = range_text(option); !range.empty()) text += " Range: " + range + ".";
    if (!option.fallback.empty()) text += " Without it: " + std::string(option.fallback) + ".";
    return text;
}

std::string help_text(const VerbInfo* verb) {
    if (verb != nullptr) {
        std::string does(verb->does);
        does.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(does.front())));
        std::string text = "hangtrue " + usage(*verb) + " [options]\n\n" + wrapped(does + ".", 0) + "\n";
        if (!verb->more.empty()) text += wrapped(std::string(verb->more), 0) + "\n";
        return text + options_of(verb);
    }
    std::string text =
        "hangtrue VERB ... [options]\n\n" +
        wrapped(
            "Makes print files for print shops from finished pictures: each as its shop takes it, sharp for "
            "the distance at which it hangs, read back and verified, with a ticket and a record. Pictures "
            "are never changed, and nothing leaves this computer.",
            0) +
        "\n\nVerbs\n";
    for (const VerbInfo& row : verbs()) text += two_columns(usage(row), std::string(row.does));
    text += "  " + wrapped("`hangtrue VERB --help` says what a verb takes.", 2) + "\n";
    return text + options_of(nullptr) + statuses_text();
}

std::string markdown_text() {
    std::string text =
        "# The command line\n\n"
        "`hangtrue VERB … [options]`. This page is made from the program's own table of options (`hangtrue help "
        "--markdown`); a test holds it against the table.\n\n"
        "## Verbs\n\n| verb | does |\n| --- | --- |\n";
    for (const VerbInfo& verb : verbs()) {
        text += "| " + code_cell(usage(verb)) + " | " + cell(verb.does) + "." + (verb.more.empty() ? "" : " ") +
                cell(verb.more) + " |\n";
    }
    for (const GroupTitle& group : group_titles) {
        const bool everywhere = group.group == Group::everywhere;
        text += "\n## " + std::string(group.title) + "\n\n";
        text += everywhere ? "| option | unit | range | without it | meaning |\n| --- | --- | --- | --- | --- |\n"
                           : "| option | unit | range | without it | meaning | verbs |\n"
                             "| --- | --- | --- | --- | --- | --- |\n";
        for (const OptionInfo& option : options()) {
            if (option.group != group.group) continue;
            text += "| " + code_cell(option_usage(option)) + " | " + cell(option.unit) + " | " +
                    cell(range_text(option)) + " | " + cell(option.fallback) + " | " + cell(option.meaning) + " |";
            text += everywhere ? "\n" : " " + verbs_of(option) + " |\n";
        }
    }
    text += "\n## Exit status\n\n| status | `ending` | meaning |\n| --- | --- | --- |\n";
    for (const ExitStatusInfo& row : exit_statuses()) {
        text += "| " + std::to_string(static_cast<int>(row.status)) + " | " + code_cell(row.name) + " | " +
                cell(row.meaning) + " |\n";
    }
    text +=
        "\nSeveral jobs: each has its own status in the JSON; the program's is 5 if cancelled, else the largest of "
        "70, 6, 4, 3 and 2, else 1, else 0.\n";
    return text + std::string(json_section);
}

}  // namespace hangtrue::cli

// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/options.h"

#include <array>

#include "apps/cli/verbs.h"
#include "engine/base/units_text.h"

namespace hangtrue::cli {

namespace {

constexpr std::array<VerbInfo, 22> verb_table{{
    {Verb::sizes, "sizes", "PICTURE…", 1, any_number, "how large each picture goes on each medium",
     "For each size: the ppi that the picture itself brings, how far it must be enlarged, how sharp its detail is in "
     "the hand and on the wall, and what the crop takes away. A picture that was not measured before is read whole "
     "for that, a second or two for 60 megapixels; `--headers` leaves that out.",
     sizes},
    {Verb::detail, "detail", "PICTURE…", 1, any_number, "how fine the real structure of pictures is",
     "How many of its megapixels hold detail of their own, its noise, halos, JPEG damage and clipping, and whether it "
     "was enlarged before. Nothing is recorded.",
     detail},
    {Verb::check, "check", "PICTURE", 1, 1, "what would go wrong with a print",
     "Nothing is made but the `--report`. The status is 1 where `make` would refuse. docs/checks.md lists the checks.",
     check},
    {Verb::make, "make", "[PICTURE…]", 0, any_number, "print files, verified, with their tickets and records",
     "Each picture is made in each size. With `--list` the prints stand in a text file instead, one "
     "`[[print]]` each, with the same words. Each print is made or refused by itself.",
     make},
    {Verb::verify, "verify", "FILE…", 1, any_number, "reads print files again and holds them against their records",
     "The record is found in the ledger by the file's path, else by its content; `--plan` holds the "
     "file against a plan instead.",
     verify},
    {Verb::view, "view", "PICTURE", 1, 1, "the pixels that a print file would hold, as a PNG",
     "At scale 1 they are those of the file, exactly; of a JPEG as it decodes, which takes as long as making it "
     "unless it was made already. Nothing is recorded.",
     view},
    {Verb::enlarge, "enlarge", "IN OUT --factor F", 2, 2, "enlarging alone, for one file",
     "OUT is a PNG or a TIFF by its ending, with the depth, the channels and the profile of IN; neither sharpened nor "
     "dithered. Nothing is recorded.",
     enlarge},
    {Verb::light, "light", "", 0, 0, "what a room's light does to a print, and the change that answers it",
     "Without `--light`: what each of the rooms that have a name does. `--photograph` takes one photograph of the "
     "screen, white all over, on the left, and a sheet of the paper in the room's light on the right, and says which "
     "of them is brighter and what to turn. docs/light.md says what neither can know.",
     light},
    {Verb::shop_list, "shop list", "", 0, 0, "the shops and their media", "", shop_list},
    {Verb::shop_show, "shop show", "SHOP [MEDIUM]", 1, 2, "what is known of a shop or of one of its media", "",
     shop_show},
    {Verb::shop_new, "shop new", "NAME", 1, 1, "begins a shop's file, with comments, to be filled in",
     "The file stands in the data folder, under `shops`.", shop_new},
    {Verb::shop_check, "shop check", "[SHOP|FILE…]", 0, any_number, "holds shop files against the rules",
     "Without names: all shop files of the data folder.", shop_check},
    {Verb::shop_questions, "shop questions", "SHOP", 1, 1, "the letter that asks a shop for what it has not told yet",
     "", shop_questions},
    {Verb::ledger_list, "ledger list", "[SEARCH]", 0, 1, "what was made, newest first",
     "SEARCH is a part of the picture's, the shop's, the medium's or the size's name.", ledger_list},
    {Verb::ledger_show, "ledger show", "ID", 1, 1, "one record, with its whole plan", "", ledger_show},
    {Verb::ledger_again, "ledger again", "ID", 1, 1, "makes a print file again and says how alike it is",
     "A picture that has moved is found by its content.", ledger_again},
    {Verb::test_sheet, "test sheet", "PICTURE", 1, 1, "a small print file that shows how the shop prints",
     "The wish is that of the final print. The sheet is of the cheapest size that the same machine and material print: "
     "one part of the picture in several variants, greys, colours and marks. The page beside it says how to judge it.",
     test_sheet},
    {Verb::test_answer, "test answer", "SHEET", 1, 1, "what the eye saw on a printed test sheet",
     "SHEET is the number that stands on it. Each answer teaches; several may be given, one after the other.",
     test_answer},
    {Verb::test_scan, "test scan", "SHEET FILE", 2, 2, "reads a scan or a photograph of a printed test sheet",
     "A scan with the scanner's colour profile in the file is taken as measured; anything else is compared with the "
     "bare paper on it.",
     test_scan},
    {Verb::test_measure, "test measure", "SHEET FILE", 2, 2, "takes an instrument's values of a printed test sheet",
     "FILE is a table as CGATS.17 (ISO 28178) has it, the patches called by their names on the sheet.", test_measure},
    {Verb::test_withdraw, "test withdraw", "SHEET", 1, 1, "takes back what was read from a test sheet",
     "What was answered, scanned or measured of it counts no more; the ledger keeps it.", test_withdraw},
    {Verb::test_status, "test status", "", 0, 0, "what test sheets taught of a medium, and whether one more pays",
     "Without --shop and --medium: all sheets that were made, the last first.", test_status},
}};

constexpr VerbSet with_wish{Verb::check, Verb::make, Verb::view};
/// A sheet's cells are of the print that the wish asks for, but for what is learned from it.
constexpr VerbSet with_sheet{Verb::check, Verb::make, Verb::view, Verb::test_sheet};
constexpr VerbSet choosing_medium{Verb::sizes, Verb::check,      Verb::make,       Verb::view,
                                  Verb::light, Verb::test_sheet, Verb::test_status};
constexpr VerbSet with_light{Verb::check, Verb::make, Verb::view, Verb::light};
/// What asks from where a print is looked at.
constexpr VerbSet with_hanging{Verb::sizes, Verb::check, Verb::make, Verb::view, Verb::test_sheet};
constexpr std::string_view lengths = "mm, cm, m, in or ft";

constexpr std::array option_table{
    OptionInfo{"shop", "SHOP", "", "", "all of them, for `sizes`", "The shop's ID or name, as `shop list` says it.",
               Group::wish, choosing_medium},
    OptionInfo{"medium", "MEDIUM", "", "", "all of them, for `sizes`", "The medium's ID or name at that shop.",
               Group::wish, choosing_medium},
    OptionInfo{"size", "36x24in|A3", lengths, "a size of the medium, either side first; A0 to A6 by name", "",
               "The finished size, as it hangs; it follows the crop's orientation. `make` and `check` take it "
               "several times.",
               Group::wish, with_sheet, Kind::text, 0, 0, /*repeatable=*/true},
    OptionInfo{"quantity", "N", "prints", "1 to 9999", "1", "How many prints are ordered; one file serves them all.",
               Group::wish, with_wish},
    OptionInfo{"crop", "auto|auto@X,Y|X,Y,W,H", "X,Y of auto: shares 0 to 1; else px of the upright picture",
               "within the picture", "auto",
               "What of the picture is printed: the largest part of the right shape about the middle; the same "
               "about a point; or set by hand, fitted to the shape.",
               Group::wish, with_sheet},
    OptionInfo{"bleed", "auto|off", "", "", "auto", "Bleed as the medium asks for it, or none.", Group::wish,
               with_sheet},
    OptionInfo{"wrap", "round|mirror|#RRGGBB", "", "", "mirror; with a border its colour",
               "What folds round the bars of a canvas: the picture itself running on, the picture mirrored at "
               "the edge, or a colour (sRGB).",
               Group::wish, with_sheet},
    OptionInfo{"border", "T,R,B,L[:colour]", lengths, "inside the ordered size", "none",
               "A border of each side's own width (top, right, bottom, left) or of one for all; white, or its colour "
               "as #RRGGBB.",
               Group::wish, with_sheet},
    OptionInfo{"panels", "N", "", "1 to 5", "1", "Panels side by side, each of the size; numbered from the left.",
               Group::wish, with_sheet},
    OptionInfo{"gap", "20mm", lengths, "0 or more, with `--panels`", "0",
               "Between panels as they hang: the picture runs on behind it.", Group::wish, with_sheet},
    OptionInfo{"enlarge", "auto|fine|quick|filter", "", "", "auto: fine, under 1.1x the filter",
               "The way of enlarging: a trained network that restores detail, a smaller and faster one, or a filter.",
               Group::wish, VerbSet{Verb::check, Verb::make, Verb::view, Verb::enlarge, Verb::test_sheet}},
    OptionInfo{"grain", "keep|calm", "", "", "keep",
               "Where a network enlarges: the picture's grain put back as strong as it was, or left out.", Group::wish,
               VerbSet{Verb::check, Verb::make, Verb::view, Verb::enlarge, Verb::test_sheet}},
    OptionInfo{"sharpen", "auto|off|N%", "% of what is computed", "0% to 200%", "auto",
               "Output sharpening, computed from the medium, the picture and the distance.", Group::wish, with_sheet},
    OptionInfo{"distance", "2m", lengths, "10cm or more", "the print's diagonal, or the room's depth",
               "From where the print is looked at.", Group::wish, with_hanging},
    OptionInfo{"room", "hallway|study|living-room|gallery|3m", lengths, "30cm or more", "one with room enough",
               "How far one can step back from the wall: the named ones are 1.2 m, 2 m, 3.5 m and 8 m. No print is "
               "looked at from farther, unless `--distance` says so.",
               Group::wish, with_hanging},
    OptionInfo{"light", "LUX|ROOM", "lux", "off, 1 to 100000, or a room that `light` lists", "off",
               "The light that the print will hang in: the tones are changed a little, so that its shadows stay apart "
               "there.",
               Group::wish, with_light},
    OptionInfo{"screen-brightness", "N", "cd/m2", "10 to 2000, with `--light`", "120",
               "How bright the white is of the screen that the picture was judged by.", Group::wish, with_light},
    OptionInfo{"correction", "latest|none|ID", "", "", "latest",
               "Which of the corrections that test prints taught for this medium is applied.", Group::wish, with_wish},
    OptionInfo{"correction-since", "YYYY-MM-DD", "", "a day", "a year ago",
               "A correction learned before that day is a finding.", Group::wish, with_wish},
    OptionInfo{"intent", "relative|perceptual|saturation|absolute", "", "", "relative",
               "How colours outside the file space are brought into it.", Group::wish, with_sheet},
    OptionInfo{"black-point", "keep|off", "", "", "keep",
               "Whether the picture's black becomes the file space's black (black point compensation).", Group::wish,
               with_sheet},
    OptionInfo{"format", "auto|tiff|jpeg", "", "", "auto", "auto: TIFF where the shop takes it and it fits, else JPEG.",
               Group::wish, with_sheet},
    OptionInfo{"bits", "8|16", "bits a sample", "", "the deepest that the shop takes", "Depth of a TIFF.", Group::wish,
               with_sheet},
    OptionInfo{"compression", "none|lzw|deflate", "", "", "none where the shop takes it",
               "Compression of a TIFF; no pixel changes.", Group::wish, with_sheet},
    OptionInfo{"ppi", "N", "pixels per inch", "10 to 2400, within the medium's own", "the medium's wanted ppi",
               "Resolution of the file at print size.", Group::wish, with_sheet},

    OptionInfo{"list", "FILE", "", "", "", "The prints to make, as a text file (TOML, `format = 1`).", Group::file,
               VerbSet{Verb::make}},
    OptionInfo{"plan", "FILE", "", "", "", "A plan settled earlier, instead of a wish.", Group::file,
               VerbSet{Verb::make, Verb::view, Verb::verify}},
    OptionInfo{"save-plan", "FILE", "", "", "", "Keeps the settled plan as a file.", Group::file, VerbSet{Verb::make}},
    OptionInfo{"to", "FOLDER", "", "a folder that exists", "the current folder", "Where the files go.", Group::file,
               VerbSet{Verb::make, Verb::ledger_again, Verb::test_sheet}},
    OptionInfo{"headers", "", "", "", "", "Reads headers alone: at once, but nothing is told of sharpness.",
               Group::file, VerbSet{Verb::sizes}, Kind::flag},
    OptionInfo{
        "report", "PDF", "", "", "",
        "A page to keep: `detail`: a picture's sharpest parts, its spectrum, its figures; `check`: the marked picture "
        "and what was found.",
        Group::file, VerbSet{Verb::detail, Verb::check}},
    OptionInfo{
        "replace", "", "", "", "", "Takes the place of a file that has the name already.", Group::file,
        VerbSet{Verb::detail, Verb::check, Verb::make, Verb::view, Verb::enlarge, Verb::ledger_again, Verb::test_sheet},
        Kind::flag},
    OptionInfo{"anyway", "", "", "", "",
               "Passes findings that may be passed, never a shop's file rules; `ledger again`: keeps a file that "
               "is not the same print.",
               Group::file, VerbSet{Verb::make, Verb::check, Verb::ledger_again, Verb::test_sheet}, Kind::flag},
    OptionInfo{"window", "X,Y,W,H", "px of the file", "clipped to the file", "the whole file",
               "Which pixels: left, top, width, height.", Group::file, VerbSet{Verb::view}},
    OptionInfo{"panel", "N", "", "", "1", "Which panel, from the left.", Group::file, VerbSet{Verb::view}, Kind::whole,
               1, 5},
    OptionInfo{"scale", "S", "", "", "1", "Under 1: the window made smaller.", Group::file, VerbSet{Verb::view},
               Kind::real, 0.001, 1},
    OptionInfo{"as", "file|print", "", "", "file",
               "The pixels as the file holds them, in its space; or as they are printed, in sRGB (a soft proof).",
               Group::file, VerbSet{Verb::view}, Kind::choice},
    OptionInfo{"paper-white", "show|off", "", "", "show",
               "`--as print`: the paper's own white, darker than the screen's; off: the screen's white stands for it.",
               Group::file, VerbSet{Verb::view}, Kind::choice},
    OptionInfo{"paper-black", "show|off", "", "", "show",
               "`--as print`: the print's own black, lighter than the screen's; off: the screen's black stands for it.",
               Group::file, VerbSet{Verb::view}, Kind::choice},
    OptionInfo{"print-intent", "relative|perceptual|saturation|absolute", "", "", "relative",
               "`--as print` with a print profile: how the shop's machine brings the file's colours into the print.",
               Group::file, VerbSet{Verb::view}, Kind::choice},
    OptionInfo{"print-black-point", "keep|off", "", "", "keep",
               "`--as print` with a print profile: whether the file's black becomes the print's there.", Group::file,
               VerbSet{Verb::view}, Kind::choice},
    OptionInfo{"gamut", "hatch|off", "", "", "off",
               "`--as print` with a print profile: colours that the print cannot hold are hatched.", Group::file,
               VerbSet{Verb::view}, Kind::choice},
    OptionInfo{"out", "PNG", "", "", "", "The PNG to write.", Group::file, VerbSet{Verb::view}},
    OptionInfo{"factor", "F", "", "", "", "How many times as wide and as high; under 1 makes smaller.", Group::file,
               VerbSet{Verb::enlarge}, Kind::real, 0.001, 8},
    OptionInfo{"picture", "FILE", "", "", "where it was, else found by its content", "Where the picture is now.",
               Group::file, VerbSet{Verb::ledger_again}},
    OptionInfo{"most", "N", "records", "", "50", "How many records are listed.", Group::file,
               VerbSet{Verb::ledger_list}, Kind::whole, 1, 1000000},

    OptionInfo{"on", "10x8in", lengths, "a size of the medium, printed the same way", "the cheapest",
               "The size that the test sheet is printed at.", Group::file, VerbSet{Verb::test_sheet}},
    OptionInfo{"part", "X,Y", "px of the upright picture", "within the print", "the part that tells most",
               "The upper left corner of what the cells show.", Group::file, VerbSet{Verb::test_sheet}},
    OptionInfo{"cell", "E|E,F", "", "a letter of the sheet, or two for a choice between them", "",
               "The cell that looks most like the screen.", Group::file, VerbSet{Verb::test_answer}},
    OptionInfo{"second", "B", "", "a letter of the sheet", "", "The next best cell.", Group::file,
               VerbSet{Verb::test_answer}},
    OptionInfo{"all-too", "dark|light|green|magenta|warm|cool", "", "", "", "All cells are off in the same direction.",
               Group::file, VerbSet{Verb::test_answer}},
    OptionInfo{"grey", "G4", "", "a grey of the sheet", "",
               "The grey that has no tint beside the bare paper; needs no screen.", Group::file,
               VerbSet{Verb::test_answer}},
    OptionInfo{"screen-brightness", "N", "cd/m2", "", "", "How bright the screen's white is.", Group::file,
               VerbSet{Verb::test_answer}, Kind::real, 10, 2000},
    OptionInfo{"screen-profile", "FILE", "", "an ICC profile", "", "The screen's colour profile.", Group::file,
               VerbSet{Verb::test_answer}},
    OptionInfo{"light", "N", "lux", "", "", "How bright the light on the print was.", Group::file,
               VerbSet{Verb::test_answer}, Kind::real, 1, 100000},
    OptionInfo{"photograph", "", "", "", "", "FILE is a camera's, whose colours are not measured ones.", Group::file,
               VerbSet{Verb::test_scan}, Kind::flag},
    OptionInfo{"photograph", "FILE", "", "a picture file", "",
               "Screen and paper side by side, by one camera in one picture.", Group::file, VerbSet{Verb::light}},
    OptionInfo{"screen-at", "X,Y,W,H", "px of the photograph", "with `--paper-at`", "found",
               "Where the screen's white stands in the photograph.", Group::file, VerbSet{Verb::light}},
    OptionInfo{"paper-at", "X,Y,W,H", "px of the photograph", "with `--screen-at`", "found",
               "Where the paper stands in the photograph.", Group::file, VerbSet{Verb::light}},
    OptionInfo{"process", "NAME", "", "as the shop's file has it", "the only one there is",
               "Which machine and material.", Group::file, VerbSet{Verb::test_status}},
    OptionInfo{"data", "FOLDER", "", "", "the XDG data folder, $XDG_DATA_HOME/hangtrue",
               "Where shops and ledger are kept.", Group::everywhere, VerbSet::all()},
    OptionInfo{"models", "FOLDER", "", "", "the program's own", "Where the weights of the enlarging networks lie.",
               Group::everywhere, VerbSet::all()},
    OptionInfo{"units", "in|cm", "", "", "in", "How lengths are shown.", Group::everywhere, VerbSet::all(),
               Kind::choice},
    OptionInfo{"threads", "N", "threads", "", "one for each processor",
               "How many work at once; the files are the same for any number.", Group::everywhere, VerbSet::all(),
               Kind::whole, 1, 256},
    OptionInfo{"quiet", "", "", "", "", "No progress, not even on a terminal.", Group::everywhere, VerbSet::all(),
               Kind::flag},
    OptionInfo{"progress", "", "", "", "one line that is overprinted, on a terminal only",
               "Progress on standard error as plain lines where that is no terminal.", Group::everywhere,
               VerbSet::all(), Kind::flag},
    OptionInfo{"json", "", "", "", "",
               "One JSON document on standard output, and nothing else there; names of numbers carry their units.",
               Group::everywhere, VerbSet::all(), Kind::flag},
    OptionInfo{"version", "", "", "", "", "The program's version.", Group::everywhere, VerbSet::all(), Kind::flag},
    OptionInfo{"help", "", "", "", "", "What a verb does and takes.", Group::everywhere, VerbSet::all(), Kind::flag},
};

}  // namespace

std::span<const VerbInfo> verbs() { return verb_table; }

std::span<const OptionInfo> options() { return option_table; }

std::string range_text(const OptionInfo& option) {
    if (option.kind != Kind::whole && option.kind != Kind::real) return std::string(option.range);
    return base::number_text(option.least, 3) + " to " + base::number_text(option.most, 3);
}

}  // namespace hangtrue::cli

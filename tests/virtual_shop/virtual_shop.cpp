// SPDX-License-Identifier: Apache-2.0
// The virtual shop: a print shop, a scanner, a camera and somebody who looks, all through files. See README.md.

#include <CLI/CLI.hpp>

#include <algorithm>
#include <cmath>
#include <functional>
#include <iostream>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/base/progress.h"
#include "engine/colour/matrix_model.h"
#include "engine/raster/print_writer.h"
#include "tests/virtual_shop/devices.h"
#include "tests/virtual_shop/observer.h"
#include "tests/virtual_shop/sheet_layout.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;
using nlohmann::json;

struct Wish {
    std::string shop, file, corrected, print, to, like, boxes, layout, picture;
    std::uint64_t seed = 1;
    bool without_bias = false;
    bool is_json = false;
    bool asks_greys = false;
    bool tells_all = false;
    bool no_profile = false;
    double error = 1.5;
    double turned = 0;
    double ppi = 300;
    double megapixels = 20;
    bool has_own_curve = false;
    int bits = 16;
};

ColourTable table_of(const Shop& shop, const SentFile& file, Printer::With with) {
    return {Printer(shop, with), file.profile};
}

void open_shop(const Wish& wish) {
    const Shop shop = wish.like.empty() ? shop_of_seed(wish.seed) : read_shop(wish.like);
    const std::string text = shop_text(shop);
    base::Faults faults;
    base::write_whole_file(wish.to, std::as_bytes(std::span(text)), base::OutputFile::Existing::replace, faults);
}

void print_file(const Wish& wish) {
    const Shop shop = read_shop(wish.shop);
    const SentFile file = read_sent(wish.file);
    write_print(printed(file, shop, table_of(shop, file, Printer::With::bias)), wish.to);
}

void tell_colours(const Wish& wish) {
    const Shop shop = read_shop(wish.shop);
    const SentFile file = read_sent(wish.file);
    const auto table = table_of(shop, file, wish.without_bias ? Printer::With::no_bias : Printer::With::bias);
    const double scale = (file.ppi > 0 ? file.ppi : 300) / 25.4;
    json out = json::array();
    for (const auto& box : read_json(wish.boxes)) {
        const RectMm place = rect_of(box);
        const Lab lab = colour::lab_from_xyz(
            mean_in(file, table, {place.x * scale, place.y * scale, place.width * scale, place.height * scale}));
        json told = box;
        told["lab"] = {lab.lightness, lab.a, lab.b};
        out.push_back(told);
    }
    std::cout << out.dump(1) << '\n';
}

std::vector<Lab> labs_of(const std::vector<colour::Xyz>& values) {
    std::vector<Lab> out;
    for (const auto& xyz : values) out.push_back(colour::lab_from_xyz(xyz));
    return out;
}

void tell_greys(const Print& print, const SheetLayout& layout, const Printer& printer, const Wish& wish,
                Chance& chance) {
    std::vector<GreyPatch> patches;
    for (const auto& grey : layout.greys) {
        patches.push_back({grey.name, paper_relative(mean_in(print, grey.place), printer.paper())});
    }
    const std::string name = most_neutral(patches, wish.error, chance);
    if (wish.is_json) {
        std::cout << json{{"grey", name}}.dump(1) << '\n';
    } else {
        std::cout << name << '\n';
    }
}

void answer(const Wish& wish) {
    constexpr int blocks = 24;
    const Shop shop = read_shop(wish.shop);
    const Print print = read_print(wish.print);
    const SheetLayout layout = layout_of(read_json(wish.layout), wish.layout);
    Chance chance(wish.seed ^ 0x65796573ULL);
    if (wish.asks_greys) {
        tell_greys(print, layout, Printer(shop, Printer::With::bias), wish, chance);
        return;
    }
    const SentFile picture = read_sent(wish.picture);
    const auto wanted =
        labs_of(blocks_in(picture, table_of(shop, picture, Printer::With::no_bias), layout.part, blocks));
    std::vector<Cell> cells;
    for (const auto& cell : layout.cells) cells.push_back({cell.name, labs_of(blocks_in(print, cell.place, blocks))});
    const Answer given = answered(cells, wanted, wish.error, chance);
    if (wish.is_json) {
        json told{{"cell", given.cell}, {"second", given.second}, {"all", nullptr}};
        if (given.all) told["all"] = *given.all;
        if (wish.tells_all) {
            for (const auto& cell : cells) told["differences"][cell.letter] = mean_difference(cell.blocks, wanted);
        }
        std::cout << told.dump(1) << '\n';
    } else {
        std::cout << given.cell << '\n';
    }
}

void make_scan(const Wish& wish) {
    scan(read_print(wish.print), {wish.ppi, wish.seed, !wish.no_profile, wish.turned, {}, 1, wish.bits}, wish.to);
}

void make_photograph(const Wish& wish) {
    photograph(read_print(wish.print), {wish.seed, wish.megapixels, 1, 90, wish.has_own_curve}, wish.to);
}

/// What is printed, small and square, whatever the file's shape.
std::vector<Lab> small_print(const SentFile& file, const ColourTable& table, int side) {
    const base::RealRect whole{0, 0, static_cast<double>(file.size.width), static_cast<double>(file.size.height)};
    return labs_of(blocks_in(file, table, whole, side));
}

void compare(const Wish& wish) {
    constexpr int side = 480;
    constexpr int gap = 12;
    const Shop shop = read_shop(wish.shop);
    const SentFile plain = read_sent(wish.file), corrected = read_sent(wish.corrected);
    const std::array panels{small_print(plain, table_of(shop, plain, Printer::With::no_bias), side),
                            small_print(plain, table_of(shop, plain, Printer::With::bias), side),
                            small_print(corrected, table_of(shop, corrected, Printer::With::bias), side)};
    std::cout << json{{"uncorrected_de00", mean_difference(panels[1], panels[0])},
                      {"corrected_de00", mean_difference(panels[2], panels[0])}}
                     .dump(1)
              << '\n';
    const int height = side * plain.size.height / plain.size.width;
    const base::PixelSize size{3 * side + 2 * gap, height};
    std::vector<std::byte> rgb(static_cast<std::size_t>(size.width) * static_cast<std::size_t>(height) * 3,
                               std::byte{128});
    const colour::MatrixModel& srgb = *colour::Profile::srgb().matrix_model();
    const colour::Matrix3 to_rgb = colour::inverse(srgb.to_xyz);
    for (std::size_t panel = 0; panel < panels.size(); ++panel) {
        for (int y = 0; y < height; ++y) {
            for (int x = 0; x < side; ++x) {
                const auto block = static_cast<std::size_t>(y * side / height * side + x);
                const colour::Xyz xyz = colour::xyz_from_lab(panels[panel][block]);
                const auto light = colour::transformed(to_rgb, {xyz.x, xyz.y, xyz.z});
                const std::size_t at =
                    3 * static_cast<std::size_t>(y * size.width + static_cast<int>(panel) * (side + gap) + x);
                for (std::size_t c = 0; c < 3; ++c) {
                    const double code = std::clamp(srgb.curves[c].to_encoded(light[c]), 0.0, 1.0);
                    rgb[at + c] = static_cast<std::byte>(std::lround(255 * code));
                }
            }
        }
    }
    base::Faults faults;
    base::Progress progress;
    base::OutputFile out(wish.to, base::OutputFile::Existing::replace, faults);
    raster::PngWriter writer(out, {size, 3, 8, {}, {}});
    writer.append_rows(rgb);
    writer.finish();
    out.sync(progress);
    out.name_it();
}

int run(int argc, char** argv) {
    CLI::App app("The virtual shop: stands in for a print shop, a scanner, a camera and somebody who looks.");
    app.require_subcommand(1);
    Wish wish;
    std::function<void(const Wish&)> act;
    const auto verb = [&](const char* name, const char* about, void (*does)(const Wish&)) {
        auto* added = app.add_subcommand(name, about);
        added->callback([&act, does] { act = does; });
        return added;
    };
    const auto seed = [&](CLI::App* added) { added->add_option("--seed", wish.seed, "for what is left to chance"); };
    const auto to = [&](CLI::App* added) { added->add_option("--to", wish.to, "the file to write")->required(); };

    auto* opened = verb("open", "writes a shop, with all that it hides, as TOML", open_shop);
    auto* source = opened->add_option_group("source");
    source->add_option("--seed", wish.seed, "a shop as chance has it");
    source->add_option("--like", wish.like, "a TOML file that says some of it");
    source->require_option(1);
    to(opened);

    auto* sent = verb("print", "prints a file as the shop would", print_file);
    sent->add_option("shop", wish.shop)->required();
    sent->add_option("file", wish.file)->required();
    to(sent);

    auto* colours = verb("colours", "the printed Lab (D50, absolute) in boxes, for judging", tell_colours);
    colours->add_option("shop", wish.shop)->required();
    colours->add_option("file", wish.file)->required();
    colours->add_option("--boxes", wish.boxes, "JSON: a list of x_mm, y_mm, width_mm, height_mm")->required();
    colours->add_flag("--without-bias", wish.without_bias);

    auto* compared = verb("compare", "draws what was meant, printed uncorrected and printed corrected", compare);
    compared->add_option("shop", wish.shop)->required();
    compared->add_option("uncorrected", wish.file)->required();
    compared->add_option("corrected", wish.corrected)->required();
    to(compared);

    auto* scanned = verb("scan", "lays the print on a flat-bed scanner", make_scan);
    scanned->add_option("print", wish.print)->required();
    to(scanned);
    seed(scanned);
    scanned->add_option("--ppi", wish.ppi)->check(CLI::Range(50.0, 2400.0));
    scanned->add_option("--turned", wish.turned, "degrees clockwise");
    scanned->add_option("--bits", wish.bits)->check(CLI::IsMember({8, 16}));
    scanned->add_flag("--no-profile,!--with-profile", wish.no_profile, "own tint and curve, no profile in the file");

    auto* taken = verb("photograph", "takes a picture of the print with a hand-held camera", make_photograph);
    taken->add_option("print", wish.print)->required();
    to(taken);
    seed(taken);
    taken->add_option("--megapixels", wish.megapixels)->check(CLI::Range(1.0, 60.0));
    taken->add_flag("--own-curve", wish.has_own_curve, "gives the camera a tone curve of its own");

    auto* answered_verb = verb("answer", "what somebody says who compares the sheet with the picture", answer);
    answered_verb->add_option("shop", wish.shop)->required();
    answered_verb->add_option("print", wish.print)->required();
    answered_verb->add_option("--layout", wish.layout, "the sheet's layout, JSON")->required();
    auto* picture = answered_verb->add_option("--picture", wish.picture, "the picture of the cells");
    auto* greys = answered_verb->add_flag("--greys", wish.asks_greys, "asks which grey is neutral beside bare paper");
    picture->excludes(greys);
    answered_verb->add_option("--error", wish.error, "the eye's, dE00 (in a* and b* for greys)");
    seed(answered_verb);
    answered_verb->add_flag("--json", wish.is_json);
    answered_verb->add_flag("--all", wish.tells_all, "with --json: each cell's true difference");

    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? 0 : 2;
    }
    try {
        if (act == nullptr) return 2;
        if (answered_verb->parsed() && !wish.asks_greys && wish.picture.empty()) {
            std::cerr << "virtual_shop: answer needs --picture, or --greys\n";
            return 2;
        }
        act(wish);
        return 0;
    } catch (const base::WriteFailed& error) {
        std::cerr << "virtual_shop: " << error.what() << '\n';
        return 4;
    } catch (const std::exception& error) {
        std::cerr << "virtual_shop: " << error.what() << '\n';
        return 3;
    }
}

}  // namespace
}  // namespace hangtrue::virtual_shop

int main(int argc, char** argv) { return hangtrue::virtual_shop::run(argc, argv); }

// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/medium_file.h"

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "engine/base/units_text.h"
#include "engine/shops/money.h"
#include "engine/shops/shop_words.h"

namespace hangtrue::shops {
namespace {

using base::Millimetres;

// What no print shop goes beyond: further out it is a slip of the pen, better said than printed.
constexpr double least_ppi = 10;
constexpr double most_ppi = 2400;
constexpr Millimetres least_print_side{20};  // Both are told in print_size().
constexpr Millimetres most_print_side{20000};
constexpr Millimetres most_edge{300};
constexpr double most_tolerance = 0.2;
/// Files and finished sizes are told in rounded figures.
constexpr double same_length_mm = 1.0;

/// "700 x 500 mm (27.559 x 19.685 in)": a shop file may be written in either.
std::string in_both_units(base::SizeMm size) {
    return base::number_text(size.width.value, 2) + " x " + base::number_text(size.height.value, 2) + " mm (" +
           base::number_text(base::in_inches(size.width), 3) + " x " +
           base::number_text(base::in_inches(size.height), 3) + " in)";
}

std::string medium_id(const text::Item& item) {
    const std::string id = item.filled_string();
    constexpr std::string_view letters = "abcdefghijklmnopqrstuvwxyz0123456789-";
    if (id.find_first_not_of(letters) != std::string::npos || id.front() == '-') {
        item.fail(text::quoted(id) + " is no id: write small letters, digits and hyphens, as in \"brushed-metal\".");
    }
    return id;
}

PpiRange ppi_range(const text::Item& item) {
    PpiRange range;
    if (item.is_number()) {
        range.wanted.value = item.real(least_ppi, most_ppi);
        return range;
    }
    text::Table table = item.table();
    const auto wanted = table.required("wanted");
    range.wanted.value = wanted.real(least_ppi, most_ppi);
    if (const auto least = table.find("least")) {
        range.least = base::PixelsPerInch{least->real(least_ppi, most_ppi)};
        if (*range.least > range.wanted) least->fail("the least ppi is larger than the wanted one.");
    }
    if (const auto most = table.find("most")) {
        range.most = base::PixelsPerInch{most->real(least_ppi, most_ppi)};
        if (*range.most < range.wanted) most->fail("the most ppi is smaller than the wanted one.");
    }
    return range;
}

base::SizeMm print_size(const text::Item& item) {
    const base::SizeMm size = item.size();
    for (const Millimetres side : {size.width, size.height}) {
        if (side < least_print_side || side > most_print_side) {
            item.fail(text::quoted(item.string()) +
                      " is no size for a print: each side must be from 20 mm (0.787 in) to 20 m (65.6 ft).");
        }
    }
    return size;
}

Size read_size(text::Table& table) {
    Size size;
    size.name = table.required("name").filled_string();
    size.finished = print_size(table.required("finished"));
    if (const auto file = table.find("file")) {
        size.file = print_size(*file);
        const bool is_wide = size.finished.width > size.finished.height;
        const bool is_tall = size.finished.width < size.finished.height;
        if ((is_wide && size.file->width < size.file->height) || (is_tall && size.file->width > size.file->height)) {
            file->fail("the file's sides stand the other way round than the finished size's.");
        }
    }
    if (const auto process = table.find("process")) size.process = process->filled_string();
    if (const auto price = table.find("price")) size.price = read_price(*price);
    return size;
}

std::vector<Size> read_sizes(text::Table& medium) {
    std::vector<Size> sizes;
    for (text::Table& table : medium.tables("size")) {
        Size size = read_size(table);
        Medium so_far;
        so_far.sizes = sizes;
        if (const Size* same = find_size(so_far, size.finished)) {
            table.required("finished")
                .fail("this size is there already, as \"" + same->name +
                      "\". A size printed another way belongs to another medium.");
        }
        for (const Size& other : sizes) {
            if (other.name == size.name)
                table.required("name").fail("there are two sizes called " + text::quoted(size.name) + ".");
        }
        sizes.push_back(std::move(size));
    }
    return sizes;
}

FreeSizes read_free_sizes(text::Table table) {
    FreeSizes free;
    free.least_side = table.required("least_side").length(least_print_side, most_print_side);
    const auto short_side = table.required("most_short_side");
    free.most_short_side = short_side.length(least_print_side, most_print_side);
    const auto long_side = table.required("most_long_side");
    free.most_long_side = long_side.length(least_print_side, most_print_side);
    if (free.most_short_side < free.least_side) short_side.fail("\"most_short_side\" is less than \"least_side\".");
    if (free.most_long_side < free.most_short_side)
        long_side.fail("\"most_long_side\" is less than \"most_short_side\".");
    if (const auto process = table.find("process")) free.process = process->filled_string();
    if (const auto price = table.find("price_per_square_metre")) free.price_per_square_metre = read_price(*price);
    return free;
}

Bleed read_bleed(text::Table table) {
    Bleed bleed;
    const auto place = table.required("place");
    bleed.place = place.one_of(bleed_words);
    const auto every = table.find("every_side");
    if (every) bleed.widths = base::Edges<Millimetres>::all(every->length({}, most_edge));
    const auto side = [&](std::string_view key, Millimetres& width) {
        const auto item = table.find(key);
        if (item) width = item->length({}, most_edge);
        return item.has_value();
    };
    const bool has_top = side("top", bleed.widths.top);
    const bool has_right = side("right", bleed.widths.right);
    const bool has_bottom = side("bottom", bleed.widths.bottom);
    const bool has_left = side("left", bleed.widths.left);
    const bool has_any = every || has_top || has_right || has_bottom || has_left;
    if (bleed.place == BleedPlace::none) {
        if (has_any) place.fail("there is no bleed, but its width is given.");
        return bleed;
    }
    if (!every && !(has_top && has_right && has_bottom && has_left)) {
        place.fail(
            "the bleed's width is missing: write \"every_side\", or \"top\", \"right\", \"bottom\" and \"left\".");
    }
    if (bleed.widths == base::Edges<Millimetres>{})
        place.fail("the bleed is nothing on every side: write place = \"none\".");
    return bleed;
}

Wrap read_wrap(text::Table table) {
    Wrap wrap;
    const auto maker = table.find("maker");
    wrap.maker_told = maker.has_value();
    if (maker) wrap.maker = maker->one_of(wrap_maker_words);
    wrap.bar_depth = table.required("bar_depth").length({5}, {150});
    const auto fold = table.find("back_fold");
    wrap.back_fold_told = fold.has_value();
    if (fold) wrap.back_fold = fold->length({}, {150});
    if (const auto sources = table.find("made_from")) {
        const std::vector<std::string> known{"round", "mirror", "colour"};
        for (const text::Item& item : sources->items()) {
            const std::string& word = known[item.index_of_word(known)];
            if (std::find(wrap.made_from.begin(), wrap.made_from.end(), word) != wrap.made_from.end()) {
                item.fail(text::quoted(word) + " is there twice.");
            }
            wrap.made_from.push_back(word);
        }
        if (wrap.made_from.empty()) sources->fail("\"made_from\" is empty: leave it out while the shop has not told.");
    }
    if (const auto corners = table.find("corner_squares_cut")) wrap.corner_squares = corners->boolean();
    return wrap;
}

void read_colour(text::Table& table, Medium& medium) {
    if (const auto profile = table.find("print_profile")) {
        medium.print_profile = profile->filled_string();
        if (medium.print_profile.find('/') != std::string::npos) {
            profile->fail("\"print_profile\" is the name of a file beside this one, without a folder.");
        }
    }
    if (const auto space = table.find("file_space")) {
        medium.file_space = space->one_of(file_space_words);
        if (medium.file_space == FileSpace::print_profile && medium.print_profile.empty()) {
            space->fail("the file is to be in the print profile, but there is no \"print_profile\".");
        }
    }
}

void read_pixels(text::Table& table, Medium& medium) {
    medium.ppi = ppi_range(table.required("ppi"));
    if (const auto rule = table.find("pixels")) {
        medium.pixel_rule = rule->one_of(pixel_rule_words);
        medium.told.pixel_rule = true;
    }
    if (const auto tolerance = table.find("shape_tolerance")) {
        medium.shape_tolerance = tolerance->real(0, most_tolerance);
        medium.told.shape_tolerance = true;
        if (medium.pixel_rule == PixelRule::exact) tolerance->fail("pixels that must be exact have no tolerance.");
    }
}

void read_surface(text::Table& table, Medium& medium) {
    medium.blur = table.required("blur").one_of(blur_words);
    if (const auto f50 = table.find("measured_f50")) medium.measured_f50_cycles_per_mm = f50->real(0.2, 50);
    if (const auto base = table.find("base")) {
        medium.base = base->one_of(base_words);
        medium.told.base = true;
    }
    if (const auto finish = table.find("finish")) medium.finish = finish->filled_string();
    if (const auto mount = table.find("mount")) medium.mount = mount->filled_string();
    if (const auto mirrored = table.find("mirrored")) medium.mirrored = mirrored->boolean();
}

void read_edges(text::Table& table, Medium& medium) {
    if (auto bleed = table.find_table("bleed")) medium.bleed = read_bleed(*bleed);
    if (auto wrap = table.find_table("wrap")) medium.wrap = read_wrap(*wrap);
    if (const auto safe = table.find("safe_area")) medium.safe_area = safe->length({}, most_edge);
}

void check_sizes(text::Table& table, const Medium& medium) {
    const bool wrap_is_told = !medium.wrap || (medium.wrap->maker_told && medium.wrap->back_fold_told);
    const bool edges_are_told = (medium.bleed || medium.wrap) && wrap_is_told;
    std::vector<text::Table> tables = table.tables("size");
    for (std::size_t i = 0; i < tables.size(); ++i) {
        const Size& size = medium.sizes[i];
        if (size.file && edges_are_told) {
            const base::SizeMm expected = file_size(medium, size.finished);
            if (std::abs(size.file->width.value - expected.width.value) > same_length_mm ||
                std::abs(size.file->height.value - expected.height.value) > same_length_mm) {
                tables[i].required("file").fail(
                    "the file's size does not agree with the finished size and the bleed or wrap: they make " +
                    in_both_units(expected) + ".");
            }
        }
        const double shorter = std::min(size.finished.width.value, size.finished.height.value);
        const bool cuts_inside = medium.bleed && medium.bleed->place == BleedPlace::inside;
        const auto& widths = medium.bleed ? medium.bleed->widths : base::Edges<Millimetres>{};
        const double cut =
            cuts_inside ? std::max({widths.top.value, widths.right.value, widths.bottom.value, widths.left.value}) : 0;
        const double kept = std::max(cut, medium.safe_area.value_or(Millimetres{}).value);
        if (2 * kept >= shorter)
            tables[i].required("finished").fail("the bleed or safe area leaves nothing of this size.");
    }
}

/// "All the same" and two different names contradict each other.
void check_processes(text::Table& table, const Medium& medium) {
    std::vector<std::string> processes;
    for (const Size& size : medium.sizes) processes.push_back(size.process);
    if (medium.free_sizes) processes.push_back(medium.free_sizes->process);
    std::erase(processes, "");
    const bool differ = std::any_of(processes.begin(), processes.end(),
                                    [&](const auto& process) { return process != processes.front(); });
    if (differ && medium.same_process_for_all_sizes.value_or(false)) {
        table.required("same_process_for_all_sizes")
            .fail("the sizes name different processes, so they are not all printed the same way.");
    }
}

}  // namespace

Price read_price(const text::Item& item) {
    const auto price = parse_price(item.spelling());
    if (!price)
        item.fail(text::quoted(item.spelling()) + " is no price. Write it with a point and two decimals: \"24.90\".");
    return *price;
}

Medium read_medium(text::Table& table) {
    Medium medium;
    medium.id = medium_id(table.required("id"));
    medium.name = table.required("name").filled_string();
    read_pixels(table, medium);
    read_surface(table, medium);
    read_colour(table, medium);
    read_edges(table, medium);
    if (auto rules = table.find_table("file")) medium.rules = read_file_rules(*rules, medium.told.name_rule);
    if (const auto improvement = table.find("improvement_off")) medium.improvement_off = improvement->string();
    if (const auto same = table.find("same_process_for_all_sizes")) medium.same_process_for_all_sizes = same->boolean();
    if (const auto choices = table.find("order_choices")) medium.order_choices = choices->strings();
    medium.sizes = read_sizes(table);
    if (auto free = table.find_table("free_sizes")) medium.free_sizes = read_free_sizes(*free);
    if (medium.sizes.empty() && !medium.free_sizes) {
        table.fail("the medium " + text::quoted(medium.id) +
                   " has no size: add [[medium.size]] or [medium.free_sizes].");
    }
    check_sizes(table, medium);
    check_processes(table, medium);
    return medium;
}

}  // namespace hangtrue::shops

// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/edges.h"

#include <algorithm>
#include <cmath>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/plan/paper_size.h"
#include "engine/plan/words.h"

namespace hangtrue::plan {
namespace {

using base::Edges;
using base::InvalidWish;
using base::Millimetres;
using base::SizeMm;

/// Sides that differ by less are the same size: what inches written as centimetres may be off.
constexpr double size_tolerance_mm = 0.5;
/// A border must leave at least this much picture on each side.
constexpr Millimetres least_picture{10};

SizeMm turned(SizeMm size) { return {size.height, size.width}; }

bool is_lying(SizeMm size) { return size.width > size.height; }
bool is_square(SizeMm size) { return size.width == size.height; }

Edges<Millimetres> sum(const Edges<Millimetres>& a, const Edges<Millimetres>& b) {
    return {a.top + b.top, a.right + b.right, a.bottom + b.bottom, a.left + b.left};
}

SizeMm grown(SizeMm size, const Edges<Millimetres>& edges) {
    return {size.width + edges.left + edges.right, size.height + edges.top + edges.bottom};
}

SizeMm shrunk(SizeMm size, const Edges<Millimetres>& edges) {
    return {size.width - edges.left - edges.right, size.height - edges.top - edges.bottom};
}

bool any(const Edges<Millimetres>& edges) {
    return edges.top.value > 0 || edges.right.value > 0 || edges.bottom.value > 0 || edges.left.value > 0;
}

/// The difference between the file and the face, shared out between two sides in the proportion of
/// `first` and `second`; evenly where neither says anything.
std::pair<Millimetres, Millimetres> shared_out(Millimetres difference, Millimetres first, Millimetres second) {
    const Millimetres total = first + second;
    const double share = total.value > 0 ? first / total : 0.5;
    return {difference * share, difference * (1 - share)};
}

std::string sizes_offered(const shops::Medium& medium, base::ShownUnits units) {
    std::vector<std::string> words;
    for (const auto& size : medium.sizes) {
        words.push_back(size.name.empty() ? in_both_units(size.finished, units) : size.name);
    }
    std::string text;
    if (!words.empty()) text = "It offers " + listed(words) + ".";
    if (medium.free_sizes) {
        const auto& free_sizes = *medium.free_sizes;
        if (!text.empty()) text += ' ';
        text += "Sizes are cut to order from " + in_both_units(free_sizes.least_side, units) + " a side up to " +
                in_both_units(SizeMm{free_sizes.most_long_side, free_sizes.most_short_side}, units) + ".";
    }
    return text.empty() ? "Its shop file lists no sizes: add them there." : text;
}

/// The offered size whose sides differ least, for "did you mean".
const shops::Size* nearest_size(const shops::Medium& medium, SizeMm wanted) {
    const shops::Size* nearest = nullptr;
    double least = 0;
    const auto distance = [](SizeMm a, SizeMm b) {
        return std::abs(std::log(a.width / b.width)) + std::abs(std::log(a.height / b.height));
    };
    for (const auto& size : medium.sizes) {
        if (size.finished.width.value <= 0 || size.finished.height.value <= 0) continue;
        const double here = std::min(distance(size.finished, wanted), distance(turned(size.finished), wanted));
        if (nearest == nullptr || here < least) {
            nearest = &size;
            least = here;
        }
    }
    return nearest;
}

bool takes(const shops::FreeSizes& free_sizes, SizeMm wanted) {
    const double shorter = std::min(wanted.width.value, wanted.height.value);
    const double longer = std::max(wanted.width.value, wanted.height.value);
    return shorter >= free_sizes.least_side.value - size_tolerance_mm &&
           shorter <= free_sizes.most_short_side.value + size_tolerance_mm &&
           longer <= free_sizes.most_long_side.value + size_tolerance_mm;
}

std::string_view word_of(WrapFill fill) {
    switch (fill) {
        case WrapFill::round: return "round";
        case WrapFill::mirror: return "mirror";
        case WrapFill::colour: return "colour";
    }
    return "";
}

bool holds(const std::vector<std::string>& words, std::string_view word) {
    return std::find(words.begin(), words.end(), word) != words.end();
}

/// As the command line takes it.
std::string wish_word_of(const std::string& made_from) {
    return made_from == "colour" ? "a flat colour (#RRGGBB)" : made_from;
}

std::string possible_wraps(const std::vector<std::string>& made_from) {
    std::vector<std::string> words;
    for (const auto& word : made_from) words.push_back(wish_word_of(word));
    return listed(words);
}

bool has_border(const Wish& wish) { return wish.border && any(wish.border->widths); }

bool can_be_flat(const shops::Wrap& wrap) { return wrap.made_from.empty() || holds(wrap.made_from, "colour"); }

/// What fills the wrap, when the medium's wrap is the photographer's to make or to choose.
WrapWish wanted_wrap(const Wish& wish, const shops::Wrap& wrap) {
    if (wish.wrap) return *wish.wrap;
    // A border runs on round the bars: a picture that began again behind it would show a seam.
    if (has_border(wish) && can_be_flat(wrap)) return {WrapFill::colour, wish.border->colour};
    WrapWish result;  // Mirrored: nothing of the face is lost round the edge.
    if (!wrap.made_from.empty() && !holds(wrap.made_from, "mirror")) {
        result.fill = wrap.made_from.front() == "round" ? WrapFill::round : WrapFill::colour;
    }
    return result;
}

void refuse_impossible_wrap(const Wish& wish, const shops::Medium& medium) {
    if (!wish.wrap) return;
    if (!medium.wrap) {
        throw InvalidWish(in_quotes(medium.name) +
                          " has no edges that the picture could be wrapped round: leave --wrap out.");
    }
    const auto& wrap = *medium.wrap;
    if (wrap.made_from.empty() && wrap.maker == shops::WrapMaker::shop) {
        throw InvalidWish("The shop makes the wrap of " + in_quotes(medium.name) +
                          " itself and has not told from what: ask it, or leave --wrap out.");
    }
    if (!wrap.made_from.empty() && !holds(wrap.made_from, word_of(wish.wrap->fill))) {
        throw InvalidWish("The wrap of " + in_quotes(medium.name) + " cannot be made this way (" +
                          std::string(word_of(wish.wrap->fill)) + "). Possible: " + possible_wraps(wrap.made_from) +
                          ".");
    }
}

void refuse_impossible_border(const Wish& wish, SizeMm finished, base::ShownUnits units) {
    if (!wish.border) return;
    const auto& widths = wish.border->widths;
    for (const Millimetres width : {widths.top, widths.right, widths.bottom, widths.left}) {
        if (!(width.value >= 0) || !std::isfinite(width.value)) {
            throw InvalidWish("A border's width must be zero or more.");
        }
    }
    const SizeMm left = shrunk(finished, widths);
    if (left.width < least_picture || left.height < least_picture) {
        throw InvalidWish("The border leaves no picture on a print of " + in_both_units(finished, units) +
                          ": make the border narrower.");
    }
}

/// Border and wrap share one flat colour; a wrap made of the picture cannot run on from a border.
void refuse_border_against_wrap(const WrapWish& wrap, const BorderWish& border, const shops::Medium& medium) {
    const std::string colour = hex(border.colour);
    if (!can_be_flat(*medium.wrap)) {
        throw InvalidWish("The wrap of " + in_quotes(medium.name) + " is made from the picture alone (" +
                          possible_wraps(medium.wrap->made_from) +
                          "), and a border would end the picture before it: leave --border out.");
    }
    if (wrap.fill != WrapFill::colour) {
        throw InvalidWish("A border and a wrap made of the picture (--wrap " + std::string(word_of(wrap.fill)) +
                          ") contradict each other: the edge of the face would be the border. Leave --wrap out, "
                          "and the wrap takes the border's colour (--wrap " +
                          colour + "); or leave --border out.");
    }
    if (wrap.colour != border.colour) {
        throw InvalidWish("The border is " + colour + " and the wrap " + hex(wrap.colour) +
                          ", and they meet at the edge: leave --wrap out, or give it the border's colour (--wrap " +
                          colour + ").");
    }
}

void set_file_size(EdgePlan& edges, const Wish& wish, const shops::Medium& medium, const OrderedSize& size,
                   base::ShownUnits units) {
    const Edges<Millimetres> around = sum(edges.bleed, edges.wrap);
    if (!size.file) {
        edges.to_face = around;
        edges.file = grown(edges.finished, edges.to_face);
        return;
    }
    edges.file = *size.file;
    const Millimetres wider = edges.file.width - edges.finished.width;
    const Millimetres higher = edges.file.height - edges.finished.height;
    if (wider.value < -size_tolerance_mm || higher.value < -size_tolerance_mm) {
        throw InvalidWish("The shop file asks for a file of " + in_both_units(edges.file, units) + " for " +
                          in_quotes(size.name) + " on " + in_quotes(medium.name) +
                          ", which is smaller than what hangs: mend the size there.");
    }
    if (!wish.bleed && (wider.value > size_tolerance_mm || higher.value > size_tolerance_mm) && !medium.wrap) {
        throw InvalidWish("The shop wants a file of " + in_both_units(edges.file, units) + " for " +
                          in_quotes(size.name) + ", bleed included: leave --bleed off out.");
    }
    const auto [left, right] = shared_out(Millimetres{std::max(wider.value, 0.0)}, around.left, around.right);
    const auto [top, bottom] = shared_out(Millimetres{std::max(higher.value, 0.0)}, around.top, around.bottom);
    edges.to_face = {top, right, bottom, left};
    // What the shop adds beyond the face is all wrap where there is a wrap, else bleed.
    const bool wraps = any(edges.wrap);
    edges.wrap = wraps ? edges.to_face : Edges<Millimetres>{};
    edges.bleed = wraps ? Edges<Millimetres>{} : edges.to_face;
}

}  // namespace

OrderedSize turned(OrderedSize size) {
    size.ordered = turned(size.ordered);
    if (size.file) size.file = turned(*size.file);
    return size;
}

std::optional<std::int64_t> free_size_price(const shops::FreeSizes& free_sizes, SizeMm size) {
    if (!free_sizes.price_per_square_metre) return std::nullopt;
    const double square_metres = size.width.value * size.height.value / 1e6;
    return std::llround(square_metres * static_cast<double>(free_sizes.price_per_square_metre->cents));
}

OrderedSize ordered_size(const shops::Size& size) {
    OrderedSize result{.name = size.name,
                       .ordered = size.finished,
                       .file = size.file,
                       .process = size.process,
                       .price_cents = std::nullopt};
    if (size.price) result.price_cents = size.price->cents;
    // The shop may name its file lying and its print standing: the long sides belong together.
    if (result.file && !is_square(result.ordered) && !is_square(*result.file) &&
        is_lying(result.ordered) != is_lying(*result.file)) {
        result.file = turned(*result.file);
    }
    return result;
}

OrderedSize ordered_size(const shops::Medium& medium, SizeMm wanted, base::ShownUnits units) {
    if (!(wanted.width.value > 0) || !(wanted.height.value > 0) || !std::isfinite(wanted.width.value) ||
        !std::isfinite(wanted.height.value)) {
        throw InvalidWish("A size needs a width and a height above zero, such as 36x24in.");
    }
    if (const shops::Size* size = shops::find_size(medium, wanted)) {
        OrderedSize result = ordered_size(*size);
        if (!is_square(result.ordered) && is_lying(result.ordered) != is_lying(wanted)) result = turned(result);
        return result;
    }
    if (medium.free_sizes && takes(*medium.free_sizes, wanted)) {
        return {.name = base::size_text(wanted, base::ShownUnits::centimetres),
                .ordered = wanted,
                .file = std::nullopt,
                .process = medium.free_sizes->process,
                .price_cents = free_size_price(*medium.free_sizes, wanted)};
    }
    const auto paper = paper_name(wanted);
    std::string sentence = in_quotes(medium.name) + " is not offered in " + (paper ? *paper + ", " : "") +
                           in_both_units(wanted, units) + ".";
    const shops::Size* nearest = nearest_size(medium, wanted);
    if (nearest != nullptr && medium.sizes.size() > 1) sentence += " The nearest size is " + nearest->name + ".";
    throw InvalidWish(sentence + " " + sizes_offered(medium, units));
}

EdgePlan edges_of(const Wish& wish, const shops::Medium& medium, const OrderedSize& size, base::ShownUnits units) {
    EdgePlan edges;
    refuse_impossible_wrap(wish, medium);

    edges.finished = size.ordered;
    const auto place = medium.bleed && wish.bleed ? medium.bleed->place : shops::BleedPlace::none;
    if (place != shops::BleedPlace::none) edges.bleed = medium.bleed->widths;

    const bool photographer_wraps = medium.wrap && medium.wrap->maker == shops::WrapMaker::photographer;
    std::optional<WrapWish> wrap;
    if (photographer_wraps) {
        wrap = wanted_wrap(wish, *medium.wrap);
        edges.wrap = Edges<Millimetres>::all(medium.wrap->bar_depth + medium.wrap->back_fold);
    } else if (wish.wrap) {
        edges.order_choices.push_back("Wrap: " + std::string(word_of(wish.wrap->fill)) +
                                      (wish.wrap->fill == WrapFill::colour ? " " + hex(wish.wrap->colour) : ""));
    }

    edges.wrap_made = wrap ? wrap : wish.wrap;
    if (has_border(wish)) edges.border_made = wish.border;

    if (place == shops::BleedPlace::inside) {
        // The ordered size is the file's; what hangs is what the shop leaves of it.
        edges.finished = shrunk(size.ordered, edges.bleed);
        if (edges.finished.width < least_picture || edges.finished.height < least_picture) {
            throw InvalidWish("The bleed of " + in_quotes(medium.name) + " leaves nothing of a print of " +
                              in_both_units(size.ordered, units) + ": choose a larger size.");
        }
    }
    set_file_size(edges, wish, medium, size, units);
    refuse_impossible_border(wish, edges.finished, units);

    if (has_border(wish)) {
        if (wrap) refuse_border_against_wrap(*wrap, *wish.border, medium);
        edges.border = wish.border->widths;
        edges.fill_colour = wish.border->colour;
    } else if (wrap && wrap->fill == WrapFill::colour) {
        edges.fill_colour = wrap->colour;
    }
    if (wrap && wrap->fill == WrapFill::mirror) edges.fill = Fill::mirror;

    // A side with a border ends the picture there; a wrap that the picture does not run round ends
    // it at the face; bleed is the picture itself, running on.
    const bool ends_at_face = wrap && wrap->fill != WrapFill::round;
    const auto to_image = [ends_at_face](Millimetres border, Millimetres to_face) {
        if (border.value > 0) return to_face + border;
        return ends_at_face ? to_face : Millimetres{};
    };
    edges.to_image = {to_image(edges.border.top, edges.to_face.top), to_image(edges.border.right, edges.to_face.right),
                      to_image(edges.border.bottom, edges.to_face.bottom),
                      to_image(edges.border.left, edges.to_face.left)};
    return edges;
}

}  // namespace hangtrue::plan

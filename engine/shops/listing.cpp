// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/listing.h"

#include <functional>
#include <map>
#include <optional>

#include "engine/shops/money.h"
#include "engine/shops/shop_words.h"

namespace hangtrue::shops {
namespace {

constexpr std::string_view not_told = "not told";

std::string ppi_text(base::PixelsPerInch ppi) { return base::number_text(ppi.value, 1); }

/// Bleeds and bars are an eighth of an inch or a few millimetres: finer than sizes are shown.
std::string edge_text(base::Millimetres width, base::ShownUnits units) {
    return units == base::ShownUnits::inches ? base::number_text(base::in_inches(width), 3) + " in"
                                             : base::number_text(width.value, 1) + " mm";
}

std::string joined(const std::vector<std::string>& words) {
    std::string text;
    for (const std::string& word : words) text.append(text.empty() ? "" : ", ").append(word);
    return text;
}

/// "TIFF or JPEG", "none, LZW or deflate".
std::string alternatives(const std::vector<std::string>& words) {
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i) {
        text.append(i == 0 ? "" : i + 1 == words.size() ? " or " : ", ").append(words[i]);
    }
    return text;
}

std::string trade_word(const std::string& word) {
    static const std::map<std::string, std::string, std::less<>> words{
        {"tiff", "TIFF"}, {"jpeg", "JPEG"}, {"none", "none"}, {"lzw", "LZW"}, {"deflate", "deflate"}};
    const auto found = words.find(word);
    return found == words.end() ? word : found->second;
}

std::vector<std::string> trade_words(std::vector<std::string> words) {
    for (std::string& word : words) word = trade_word(word);
    return words;
}

std::string_view space_words(FileSpace space) {
    switch (space) {
        case FileSpace::srgb: return "sRGB";
        case FileSpace::adobe_rgb: return "Adobe RGB";
        case FileSpace::print_profile: return "that of the print profile";
    }
    return {};
}

std::string_view base_in_words(Base base) {
    switch (base) {
        case Base::white: return "white";
        case Base::bare_metal: return "bare metal: the brightest tone is the metal's";
        case Base::clear: return "clear: what lies behind shows through";
    }
    return {};
}

std::string_view blur_in_words(BlurClass blur) {
    switch (blur) {
        case BlurClass::silver_halide: return "as photographic paper";
        case BlurClass::inkjet_gloss: return "as inkjet on glossy paper";
        case BlurClass::inkjet_matte: return "as inkjet on matte paper";
        case BlurClass::inkjet_rag: return "as inkjet on cotton rag";
        case BlurClass::canvas: return "as canvas";
        case BlurClass::latex_poster: return "as a latex poster";
        case BlurClass::metal: return "as metal";
        case BlurClass::acrylic_mount: return "as photographic paper behind acrylic";
        case BlurClass::press_book: return "as a printed book";
    }
    return {};
}

std::string ppi_words(const PpiRange& ppi) {
    std::string text = ppi_text(ppi.wanted);
    if (ppi.least) text.append(", at least ").append(ppi_text(*ppi.least));
    if (ppi.most) text.append(", at most ").append(ppi_text(*ppi.most));
    return text;
}

std::string pixel_words(const Medium& medium) {
    if (medium.pixel_rule == PixelRule::exact) return "exactly as many as the size has";
    std::string text = "the shape must fit";
    if (medium.told.shape_tolerance) {
        text.append(" within ").append(base::number_text(medium.shape_tolerance * 100, 2)).append(" %");
    }
    return text;
}

std::string bleed_words_of(const Bleed& bleed, base::ShownUnits units) {
    if (bleed.place == BleedPlace::none) return "none";
    const auto& widths = bleed.widths;
    std::string text;
    if (widths == base::Edges<base::Millimetres>::all(widths.top)) {
        text = edge_text(widths.top, units) + " on each side";
    } else {
        for (const base::Millimetres width : {widths.top, widths.right, widths.bottom, widths.left}) {
            text.append(text.empty() ? "" : ", ").append(edge_text(width, units));
        }
        text += " (top, right, bottom, left)";
    }
    return text + (bleed.place == BleedPlace::outside ? ", added to the ordered size" : ", cut from the ordered size");
}

std::string wrap_words(const Wrap& wrap, base::ShownUnits units) {
    std::string text = "bars of " + edge_text(wrap.bar_depth, units);
    if (wrap.back_fold_told) text.append(", ").append(edge_text(wrap.back_fold, units)).append(" folded to the back");
    if (wrap.maker_told)
        text += wrap.maker == WrapMaker::shop ? ", edges made by the shop" : ", edges made by the photographer";
    if (!wrap.made_from.empty()) text.append(" (").append(joined(wrap.made_from)).append(")");
    return text;
}

std::string format_words(const FileRules& rules) {
    std::string text = alternatives(trade_words(rules.formats));
    if (rules.tiff_bits) {
        std::vector<std::string> bits;
        for (const int depth : *rules.tiff_bits) bits.push_back(std::to_string(depth));
        text.append("; TIFF with ").append(alternatives(bits)).append(" bits");
    }
    if (rules.tiff_compressions) {
        text.append("; TIFF compression ").append(alternatives(trade_words(*rules.tiff_compressions)));
    }
    if (rules.big_tiff) text += *rules.big_tiff ? "; BigTIFF" : "; no BigTIFF";
    return text;
}

std::string limit_words(const FileRules& rules) {
    std::vector<std::string> limits;
    if (rules.most_bytes) limits.push_back(base::bytes_text(*rules.most_bytes));
    if (rules.most_pixels) limits.push_back(base::count_text(*rules.most_pixels) + " pixels");
    if (rules.most_side_px) limits.push_back(base::count_text(*rules.most_side_px) + " px a side");
    return joined(limits);
}

class Facts {
  public:
    void add(std::string label, std::string value) {
        const bool is_told = !value.empty();
        m_facts.push_back({std::move(label), is_told ? std::move(value) : std::string(not_told), is_told});
    }
    std::vector<Fact> take() && { return std::move(m_facts); }

  private:
    std::vector<Fact> m_facts;
};

std::string price_or_nothing(const std::optional<Price>& price) { return price ? price_text(*price) : std::string(); }

}  // namespace

std::vector<Fact> facts(const Medium& medium, base::ShownUnits units) {
    Facts facts;
    facts.add("ppi", ppi_words(medium.ppi));
    facts.add("pixels", medium.told.pixel_rule ? pixel_words(medium) : "");
    facts.add("file space", medium.file_space ? std::string(space_words(*medium.file_space)) : "");
    facts.add("print profile", medium.print_profile);
    facts.add("formats", format_words(medium.rules));
    facts.add("largest file", limit_words(medium.rules));
    facts.add("file name", medium.told.name_rule && medium.rules.name_rule.empty() ? "any" : medium.rules.name_rule);
    if (medium.wrap) {
        facts.add("wrap", wrap_words(*medium.wrap, units));
    } else {
        facts.add("bleed", medium.bleed ? bleed_words_of(*medium.bleed, units) : "");
    }
    facts.add("safe area", medium.safe_area ? edge_text(*medium.safe_area, units) : "");
    facts.add("base", medium.told.base ? std::string(base_in_words(medium.base)) : "");
    facts.add("finish", medium.finish.value_or(""));
    facts.add("mount", medium.mount.value_or(""));
    facts.add("mirrored", !medium.mirrored ? "" : *medium.mirrored ? "yes" : "no");
    facts.add("sharpness", std::string(blur_in_words(medium.blur)) + ": half the contrast is left at " +
                               base::number_text(medium.f50_cycles_per_mm(), 2) + " line pairs a mm (" +
                               (medium.measured_f50_cycles_per_mm ? "measured)" : "estimated)"));
    facts.add("automatic improvement", !medium.improvement_off           ? ""
                                       : medium.improvement_off->empty() ? "none"
                                                                         : *medium.improvement_off);
    facts.add("on the order form", joined(medium.order_choices));
    return std::move(facts).take();
}

std::vector<PriceLine> price_list(const Medium& medium, base::ShownUnits units) {
    std::vector<PriceLine> lines;
    for (const Size& size : medium.sizes) {
        lines.push_back({size.name, base::size_text(size.finished, units),
                         size.file ? base::size_text(*size.file, units) : "", size.process,
                         price_or_nothing(size.price)});
    }
    if (medium.free_sizes) {
        const FreeSizes& free = *medium.free_sizes;
        lines.push_back({"free size",
                         base::length_text(free.least_side, units) + " to " +
                             base::size_text({free.most_long_side, free.most_short_side}, units),
                         "", free.process, price_or_nothing(free.price_per_square_metre)});
    }
    return lines;
}

}  // namespace hangtrue::shops

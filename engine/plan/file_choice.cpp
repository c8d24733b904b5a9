// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/file_choice.h"

#include <algorithm>
#include <array>
#include <optional>
#include <vector>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/plan/words.h"

namespace hangtrue::plan {
namespace {

using base::InvalidWish;
using raster::FileFormat;
using raster::TiffCompression;

constexpr std::array<std::string_view, 3> compression_words{"none", "lzw", "deflate"};

bool holds(const std::vector<std::string>& words, std::string_view word) {
    return std::find(words.begin(), words.end(), word) != words.end();
}

std::string upper_case(std::string text) {
    for (char& letter : text) {
        if (letter >= 'a' && letter <= 'z') letter = static_cast<char>(letter - 'a' + 'A');
    }
    return text;
}

std::string formats_taken(const shops::FileRules& rules) {
    std::vector<std::string> words;
    for (const auto& format : rules.formats) words.push_back(upper_case(format));
    return listed(words);
}

std::string bits_taken(const std::vector<int>& bits) {
    std::vector<std::string> words;
    for (const int value : bits) words.push_back(std::to_string(value));
    return listed(words);
}

TiffCompression compression_named(std::string_view word) {
    const auto found = std::find(compression_words.begin(), compression_words.end(), word);
    if (found == compression_words.end()) {
        throw InvalidWish("There is no TIFF compression " + in_quotes(word) + ": none, lzw or deflate.");
    }
    return static_cast<TiffCompression>(found - compression_words.begin());
}

/// What the wish's words ask, each held against the shop's rules.
void refuse_what_the_shop_does_not_take(const Wish& wish, const shops::Medium& medium) {
    const auto& rules = medium.rules;
    const std::string on = " for " + in_quotes(medium.name);
    const bool wants_jpeg = wish.format == FormatWish::jpeg;
    if (wish.bits && *wish.bits != 8 && *wish.bits != 16) {
        throw InvalidWish("A print file has 8 or 16 bits, not " + std::to_string(*wish.bits) + ".");
    }
    if (wish.compression) compression_named(*wish.compression);
    if (wants_jpeg && wish.bits == 16) {
        throw InvalidWish("A JPEG has 8 bits: ask for TIFF, or leave the 16 bits out.");
    }
    if (wants_jpeg && wish.compression && *wish.compression != "none") {
        throw InvalidWish("TIFF compression (" + *wish.compression + ") and a JPEG contradict each other.");
    }
    if (!rules.formats.empty()) {
        const bool takes_tiff = holds(rules.formats, "tiff");
        if (wants_jpeg && !holds(rules.formats, "jpeg")) {
            throw InvalidWish("The shop takes no JPEG" + on + ", only " + formats_taken(rules) + ".");
        }
        if (wish.format == FormatWish::tiff && !takes_tiff) {
            throw InvalidWish("The shop takes no TIFF" + on + ", only " + formats_taken(rules) + ".");
        }
        if (!takes_tiff && (wish.bits == 16 || (wish.compression && *wish.compression != "none"))) {
            throw InvalidWish("16 bits and compression need a TIFF, which the shop does not take" + on + ": only " +
                              formats_taken(rules) + ".");
        }
    }
    if (wants_jpeg) return;
    if (wish.bits && rules.tiff_bits && !rules.tiff_bits->empty() &&
        std::find(rules.tiff_bits->begin(), rules.tiff_bits->end(), *wish.bits) == rules.tiff_bits->end()) {
        throw InvalidWish("The shop takes no TIFF of " + std::to_string(*wish.bits) + " bits" + on + ", only of " +
                          bits_taken(*rules.tiff_bits) + ".");
    }
    if (wish.compression && rules.tiff_compressions && !rules.tiff_compressions->empty() &&
        !holds(*rules.tiff_compressions, *wish.compression)) {
        throw InvalidWish("The shop takes no TIFF compressed with " + in_quotes(*wish.compression) + on + ", only " +
                          listed(*rules.tiff_compressions) + ".");
    }
}

TiffCompression chosen_compression(const Wish& wish, const shops::FileRules& rules) {
    if (wish.compression) return compression_named(*wish.compression);
    if (!rules.tiff_compressions || rules.tiff_compressions->empty()) return TiffCompression::none;
    for (const std::string_view word : {"none", "lzw", "deflate"}) {
        if (holds(*rules.tiff_compressions, word)) return compression_named(word);
    }
    return TiffCompression::none;
}

/// The depths that the wish allows and the shop takes, the deepest first.
std::vector<int> possible_bits(const Wish& wish, const shops::FileRules& rules) {
    if (wish.bits) return {*wish.bits};
    std::vector<int> bits{8};
    if (rules.tiff_bits && !rules.tiff_bits->empty()) bits = *rules.tiff_bits;
    std::sort(bits.rbegin(), bits.rend());
    return bits;
}

bool fits_classic(std::int64_t bytes) { return bytes <= raster::classic_tiff_limit; }

bool jpeg_is_possible(base::PixelSize size) {
    return size.width <= most_jpeg_side_px && size.height <= most_jpeg_side_px;
}

[[noreturn]] void refuse_long_jpeg(base::PixelSize size) {
    throw InvalidWish("A JPEG ends at " + std::to_string(most_jpeg_side_px) + " pixels a side; this print has " +
                      px_text(size) + ". Ask for TIFF where the shop takes it, a lower --ppi or a smaller size.");
}

[[noreturn]] void refuse_past_classic(const PlannedFile& file, const raster::PrintTags& tags,
                                      const shops::Medium& medium, bool jpeg_is_open) {
    PlannedFile shallow = file;
    shallow.bits = 8;
    std::vector<std::string> ways;
    const auto& bits = medium.rules.tiff_bits;
    const bool takes_8 = !bits || bits->empty() || std::find(bits->begin(), bits->end(), 8) != bits->end();
    if (file.bits == 16 && takes_8 && fits_classic(tiff_bytes(shallow, tags))) ways.emplace_back("8 bits (--bits 8)");
    if (jpeg_is_open) ways.emplace_back("JPEG (--format jpeg)");
    ways.emplace_back("a lower --ppi");
    ways.emplace_back("a smaller size");
    throw InvalidWish("This TIFF would have " + base::bytes_text(tiff_bytes(file, tags)) +
                      ", and a TIFF ends at 4.29 GB. Ways out: " + listed(ways) +
                      "; or BigTIFF, if the shop says that it takes it (big_tiff = true in its file).");
}

/// Whether the file cannot but keep to the shop's limit.
bool surely_fits(const PlannedFile& file, const raster::PrintTags& tags) {
    return !file.most_bytes || tiff_bytes(file, tags) <= *file.most_bytes;
}

std::string tiff_reason(const PlannedFile& file, const shops::FileRules& rules, const Wish& wish, int deepest,
                        bool to_fit) {
    std::string text = wish.format == FormatWish::tiff ? "TIFF, as asked" : "TIFF, because the shop takes it";
    text += "; " + std::to_string(file.bits) + " bits";
    if (wish.bits) {
        text += ", as asked";
    } else if (!rules.tiff_bits || rules.tiff_bits->empty()) {
        text += ", because the shop has not said that it takes 16";
    } else if (file.bits < deepest) {
        text += ", because with " + std::to_string(deepest) + " the file would be too large";
    } else {
        text += ", the most that it takes";
    }
    if (file.compression != TiffCompression::none) {
        text += "; compressed (" + std::string(compression_words[static_cast<std::size_t>(file.compression)]) + ")";
        if (to_fit) text += ", because without compression it would be larger than the shop takes";
    }
    if (file.big_tiff) text += "; BigTIFF, because it is larger than 4.29 GB";
    return text + ".";
}

struct TiffChoice {
    PlannedFile file;
    bool fits_classic_or_big = false;
    bool fits_limit = false;
};

/// The deepest TIFF that fits; where none does, the shallowest.
TiffChoice best_tiff(const Wish& wish, const shops::Medium& medium, const raster::PrintTags& tags, PlannedFile file) {
    const auto& rules = medium.rules;
    const auto depths = possible_bits(wish, rules);
    file.format = FileFormat::tiff;
    file.compression = chosen_compression(wish, rules);
    TiffChoice choice;
    for (const int bits : depths) {
        file.bits = bits;
        file.big_tiff = false;
        std::int64_t bytes = tiff_bytes(file, tags);
        if (!fits_classic(bytes) && rules.big_tiff.value_or(false)) {
            file.big_tiff = true;
            bytes = tiff_bytes(file, tags);
        }
        choice.file = file;
        choice.fits_classic_or_big = file.big_tiff || fits_classic(bytes);
        choice.fits_limit = choice.fits_classic_or_big && (!rules.most_bytes || bytes <= *rules.most_bytes);
        if (choice.fits_limit) break;
    }
    choice.file.format_reason = tiff_reason(choice.file, rules, wish, depths.front(), false);
    return choice;
}

/// A TIFF that is over the limit without compression may come out within it compressed: what it really has is held
/// against the limit once it is written.
PlannedFile compressed_to_fit(const Wish& wish, const shops::FileRules& rules, const raster::PrintTags& tags,
                              PlannedFile file) {
    const bool may_choose = !wish.compression && rules.tiff_compressions;
    if (!may_choose || file.compression != TiffCompression::none || surely_fits(file, tags)) {
        return file;
    }
    // The smaller one first.
    for (const std::string_view word : {"deflate", "lzw"}) {
        if (!holds(*rules.tiff_compressions, word)) continue;
        file.compression = compression_named(word);
        if (!file.big_tiff && !fits_classic(tiff_bytes(file, tags))) {
            file.compression = TiffCompression::none;  // at worst it would be no classic TIFF any more
            continue;
        }
        file.format_reason = tiff_reason(file, rules, wish, possible_bits(wish, rules).front(), true);
        return file;
    }
    return file;
}

}  // namespace

raster::PrintTags size_tags(base::PixelSize size, int bits, base::PixelsPerInch ppi, std::int64_t profile_bytes,
                            const std::string& copyright, const std::string& author) {
    return {.size = size,
            .bits = bits,
            .ppi = ppi,
            .icc_profile = std::vector<std::byte>(static_cast<std::size_t>(std::max<std::int64_t>(profile_bytes, 0))),
            .copyright = copyright,
            .author = author};
}

std::int64_t tiff_bytes(const PlannedFile& file, raster::PrintTags tags) {
    tags.bits = file.bits;
    raster::TiffForm form;
    form.compression = file.compression;
    form.big = file.big_tiff;
    return raster::tiff_bytes_at_most(tags, form);
}

PlannedFile chosen_file(const Wish& wish, const shops::Medium& medium, const raster::PrintTags& tags) {
    const auto& rules = medium.rules;
    refuse_what_the_shop_does_not_take(wish, medium);
    PlannedFile file;
    file.most_bytes = rules.most_bytes;
    file.embed_profile = rules.embed_profile.value_or(true);

    const bool told = !rules.formats.empty();
    const bool takes_tiff = holds(rules.formats, "tiff");
    const bool takes_jpeg = holds(rules.formats, "jpeg");
    if (told && !takes_tiff && !takes_jpeg) {
        throw InvalidWish("The shop takes only " + formats_taken(rules) + " for " + in_quotes(medium.name) +
                          ", and Hangtrue writes TIFF and JPEG.");
    }
    const bool must_be_tiff = wish.format == FormatWish::tiff || (told && !takes_jpeg) || wish.bits == 16 ||
                              (wish.compression && *wish.compression != "none");
    const bool may_be_tiff = must_be_tiff || (wish.format == FormatWish::automatic && takes_tiff);

    const char* why_jpeg = wish.format == FormatWish::jpeg ? "JPEG, as asked."
                           : told                          ? "JPEG, because the shop takes no TIFF."
                                  : "JPEG, because the shop has not said which files it takes, and all take JPEG.";
    if (may_be_tiff) {
        const TiffChoice tiff = best_tiff(wish, medium, tags, file);
        if (tiff.fits_limit) return tiff.file;
        if (must_be_tiff && tiff.fits_classic_or_big) {
            return compressed_to_fit(wish, rules, tags, tiff.file);
        }
        const bool jpeg_is_open = (!told || takes_jpeg) && jpeg_is_possible(tags.size);
        if (!tiff.fits_classic_or_big && (must_be_tiff || !jpeg_is_open)) {
            refuse_past_classic(tiff.file, tags, medium, jpeg_is_open);
        }
        // Where JPEG cannot be either, the TIFF is planned and the check of its bytes stops it.
        if (!jpeg_is_open) return compressed_to_fit(wish, rules, tags, tiff.file);
        why_jpeg = tiff.fits_classic_or_big ? "JPEG, because a TIFF would be larger than the shop takes."
                                            : "JPEG, because a TIFF would be larger than the 4.29 GB where TIFF ends.";
    }
    if (!jpeg_is_possible(tags.size)) refuse_long_jpeg(tags.size);
    file.format = FileFormat::jpeg;
    file.bits = 8;
    file.format_reason = why_jpeg;
    return file;
}

}  // namespace hangtrue::plan

// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <charconv>

#include "engine/base/nearest.h"
#include "engine/shops/medium_file.h"

namespace hangtrue::shops {
namespace {

/// Known words, each once, at least one.
std::vector<std::string> words(const text::Item& list, const std::vector<std::string>& known) {
    std::vector<std::string> found;
    for (const text::Item& item : list.items()) {
        const std::string& word = known[item.index_of_word(known)];
        if (std::find(found.begin(), found.end(), word) != found.end())
            item.fail(text::quoted(word) + " is there twice.");
        found.push_back(word);
    }
    if (found.empty()) list.fail("this list is empty: leave it out while the shop has not told.");
    return found;
}

std::vector<int> tiff_bits(const text::Item& list) {
    std::vector<int> bits;
    for (const text::Item& item : list.items()) {
        const auto value = static_cast<int>(item.integer(1, 64));
        if (value != 8 && value != 16)
            item.fail("a TIFF is written with 8 or 16 bits a channel, not " + std::to_string(value) + ".");
        if (std::find(bits.begin(), bits.end(), value) != bits.end())
            item.fail(std::to_string(value) + " is there twice.");
        bits.push_back(value);
    }
    if (bits.empty()) list.fail("this list is empty: leave it out while the shop has not told.");
    return bits;
}

/// "500 MB" (as shops count: 1,000,000 bytes), "2 GiB", or a bare number of bytes.
std::int64_t bytes(const text::Item& item) {
    struct Unit {
        std::string_view name;
        double bytes;
    };
    constexpr Unit units[] = {{"B", 1},    {"kB", 1e3},     {"KB", 1e3},        {"MB", 1e6},
                              {"GB", 1e9}, {"KiB", 1024.0}, {"MiB", 1048576.0}, {"GiB", 1073741824.0}};
    constexpr double most = 1e15;
    if (item.is_number()) return item.integer(1000, static_cast<std::int64_t>(most));
    const std::string written = item.string();
    double value = 0;
    const auto [end, status] =
        std::from_chars(written.data(), written.data() + written.size(), value, std::chars_format::fixed);
    std::string_view rest(end, static_cast<std::size_t>(written.data() + written.size() - end));
    while (rest.starts_with(' ')) rest.remove_prefix(1);
    if (status == std::errc{}) {
        for (const Unit& unit : units) {
            const double result = value * unit.bytes;
            if (rest == unit.name && result >= 1000 && result <= most) return static_cast<std::int64_t>(result);
        }
    }
    item.fail(text::quoted(written) + " is no size of a file. Write it with its unit: \"500 MB\", \"2 GB\".");
}

std::string name_rule(const text::Item& item, bool ascii) {
    const std::string rule = item.string();
    const auto& known = name_rule_words();
    for (std::size_t i = 0; i < rule.size(); ++i) {
        const auto code = static_cast<unsigned char>(rule[i]);
        if (code < 0x20 || code == 0x7f || rule[i] == '/' || rule[i] == '\\')
            item.fail("a file's name can hold no slash and no control character.");
        if (code >= 0x80 && ascii)
            item.fail("the rule itself has a letter outside ASCII, which the shop does not take.");
        if (rule[i] == '}') item.fail("a \"}\" without its \"{\".");
        if (rule[i] != '{') continue;
        const std::size_t close = rule.find('}', i);
        if (close == std::string::npos) item.fail("a \"{\" without its \"}\".");
        const std::string word = rule.substr(i + 1, close - i - 1);
        if (std::find(known.begin(), known.end(), word) == known.end()) {
            const auto nearest = base::nearest_word(word, known);
            item.fail(
                "a name knows no {" + word + "}. " +
                (nearest ? "Did you mean {" + *nearest + "}?" : "Write " + text::list_of_words(known) + " in braces."));
        }
        i = close;
    }
    return rule;
}

}  // namespace

FileRules read_file_rules(text::Table& table, bool& name_rule_told) {
    FileRules rules;
    if (const auto item = table.find("formats")) rules.formats = words(*item, {"tiff", "jpeg"});
    if (const auto item = table.find("tiff_bits")) rules.tiff_bits = tiff_bits(*item);
    if (const auto item = table.find("tiff_compressions"))
        rules.tiff_compressions = words(*item, {"none", "lzw", "deflate"});
    if (const auto item = table.find("big_tiff")) rules.big_tiff = item->boolean();
    const bool is_jpeg_only =
        !rules.formats.empty() && std::find(rules.formats.begin(), rules.formats.end(), "tiff") == rules.formats.end();
    for (const std::string_view key : {"tiff_bits", "tiff_compressions", "big_tiff"}) {
        const auto item = table.find(key);
        if (item && is_jpeg_only) item->fail(text::quoted(key) + " is about TIFF, which the shop does not take.");
    }
    if (const auto item = table.find("most_bytes")) rules.most_bytes = bytes(*item);
    if (const auto item = table.find("most_pixels")) rules.most_pixels = item->integer(1000, 1'000'000'000'000);
    if (const auto item = table.find("most_side_px"))
        rules.most_side_px = static_cast<int>(item->integer(100, 10'000'000));
    if (const auto item = table.find("embed_profile")) rules.embed_profile = item->boolean();
    if (const auto item = table.find("alpha")) rules.alpha = item->boolean();
    if (const auto item = table.find("ascii_names")) rules.ascii_names = item->boolean();
    if (const auto item = table.find("most_name_length"))
        rules.most_name_length = static_cast<int>(item->integer(8, 255));
    if (const auto item = table.find("name_rule")) {
        rules.name_rule = name_rule(*item, rules.ascii_names.value_or(false));
        name_rule_told = true;
    }
    return rules;
}

}  // namespace hangtrue::shops

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/kept_wishes.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <system_error>

#include "engine/base/output_file.h"
#include "engine/jobs/look.h"
#include "engine/jobs/make.h"
#include "engine/text/document.h"
#include "engine/text/writer.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t largest_wish = 64 * 1024;

fs::path wish_file(const base::Sha256& content, const Context& context) {
    return context.data_folder / "wishes" / (content.hex() + ".toml");
}

double area(base::SizeMm size) { return size.width.value * size.height.value; }

}  // namespace

std::string plain_number(double value) {
    char text[64];
    const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed).ptr;
    return {text, end};
}

std::string size_word(base::SizeMm size) {
    return plain_number(size.width.value) + "x" + plain_number(size.height.value) + "mm";
}

WishWords first_words(const fs::path& picture, const std::string& preferred_shop, const std::string& preferred_medium,
                      Context& context) {
    const shops::ShopFolder folder = known_shops(context);
    const shops::Shop* shop = nullptr;
    const shops::Medium* medium = nullptr;
    for (const shops::Shop& known : folder.shops) {
        for (const shops::Medium& offered : known.media) {
            const bool is_preferred = known.id == preferred_shop && offered.id == preferred_medium;
            if (medium != nullptr && !is_preferred) continue;
            shop = &known;
            medium = &offered;
        }
    }
    if (medium == nullptr) return {};
    const PictureSizes found = sizes_by_headers({picture}, shop->id, medium->id, context).front();
    if (found.ending != Ending::done) throw base::UnreadableInput(found.sentence);
    const plan::MediumSizes& offered = found.media.front();
    if (offered.rows.empty()) return {};
    const plan::SizeRow& row = offered.rows.at(offered.largest_without_enlarging.value_or(0));
    return {{"shop", shop->id}, {"medium", medium->id}, {"size", size_word(row.size)}};
}

WishWords words_on(WishWords words, const shops::Shop& shop, const shops::Medium& medium) {
    words["shop"] = shop.id;
    words["medium"] = medium.id;
    for (const char* own : {"ppi", "correction", "format", "bits", "compression"}) words.erase(own);
    if (!medium.wrap) words.erase("wrap");
    if (!medium.bleed) words.erase("bleed");
    const base::SizeMm wanted = words.contains("size") ? wish_of({{"size", words["size"]}}).size : base::SizeMm{};
    if (shops::find_size(medium, wanted) != nullptr || shops::takes_free_size(medium, wanted)) return words;
    words.erase("size");
    const auto nearest = std::min_element(medium.sizes.begin(), medium.sizes.end(), [&](const auto& a, const auto& b) {
        return std::abs(area(a.finished) - area(wanted)) < std::abs(area(b.finished) - area(wanted));
    });
    if (nearest != medium.sizes.end()) words["size"] = size_word(nearest->finished);
    return words;
}

plan::Wish wish_of(const WishWords& words) {
    plan::Wish wish;
    for (const auto& [word, value] : words) set_wish_word(wish, word, value);
    return wish;
}

void keep_wish(const base::Sha256& content, const std::string& picture_name, const WishWords& words, Context& context) {
    const fs::path file = wish_file(content, context);
    fs::create_directories(file.parent_path());
    text::Writer writer(1);
    writer.value("picture", picture_name).table({"wish"});
    for (const auto& [word, value] : words) writer.value(word, value);
    base::write_whole_file(file, std::as_bytes(std::span(writer.text())), base::OutputFile::Existing::replace,
                           context.faults);
}

std::optional<WishWords> kept_wish(const base::Sha256& content, const Context& context) {
    const fs::path file = wish_file(content, context);
    std::error_code ignored;
    if (!fs::exists(file, ignored)) return std::nullopt;
    const text::Document document = text::Document::parse(base::read_whole_file(file, largest_wish), file.string(), 1);
    text::Table root = document.root();
    root.find("picture");
    WishWords words;
    if (auto table = root.find_table("wish")) {
        for (const std::string& word : wish_words()) {
            if (const auto item = table->find(word)) words[word] = item->string();
        }
    }
    document.refuse_unknown_keys();
    return words;
}

}  // namespace hangtrue::jobs

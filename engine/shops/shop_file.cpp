// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/shop_file.h"

#include <algorithm>
#include <cmath>

#include "engine/base/error.h"
#include "engine/base/nearest.h"
#include "engine/base/output_file.h"
#include "engine/shops/medium_file.h"
#include "engine/shops/money.h"
#include "engine/text/document.h"

namespace hangtrue::shops {
namespace {

constexpr std::int64_t most_bytes = 1000 * 1000;

std::string currency(const text::Item& item) {
    const std::string code = item.string();
    const bool is_code = code.size() == 3 && std::all_of(code.begin(), code.end(), [](char c) {
                             return c >= 'A' && c <= 'Z';
                         });
    if (!is_code)
        item.fail(text::quoted(code) +
                  " is no currency. Write its three letters: \"EUR\", \"USD\".");
    return code;
}

std::vector<Medium> media(text::Table& root) {
    std::vector<Medium> result;
    for (text::Table& table : root.tables("medium")) {
        Medium medium = read_medium(table);
        for (const Medium& other : result) {
            if (other.id == medium.id)
                table.required("id").fail("there are two media with the id " +
                                          text::quoted(medium.id) + ".");
            if (other.name == medium.name)
                table.required("name").fail("there are two media called " +
                                            text::quoted(medium.name) + ".");
        }
        result.push_back(std::move(medium));
    }
    return result;
}

/// The one of `things` that is meant, or a sentence that helps.
template <typename Thing>
const Thing& named(const std::vector<Thing>& things, std::string_view wanted,
                   const std::string& nothing, const std::string& where) {
    std::vector<std::string> known;
    for (const Thing& thing : things) {
        if (thing.id == wanted || thing.name == wanted) return thing;
        known.push_back(thing.id);
    }
    std::string what = nothing + " " + text::quoted(wanted) + where + ".";
    if (const auto nearest = base::nearest_word(wanted, known))
        throw base::InvalidWish(what + " Did you mean " + text::quoted(*nearest) + "?");
    std::vector<std::string> names;
    for (const Thing& thing : things) names.push_back(thing.name);
    if (const auto nearest = base::nearest_word(wanted, names))
        throw base::InvalidWish(what + " Did you mean " + text::quoted(*nearest) + "?");
    if (known.empty()) throw base::InvalidWish(what + " There is none at all yet.");
    throw base::InvalidWish(what + " There is " + text::list_of_words(known) + ".");
}

}  // namespace

Shop shop_from_text(std::string_view text, const std::string& file_name) {
    const text::Document document = text::Document::parse(text, file_name, shop_file_format);
    text::Table root = document.root();
    Shop shop;
    shop.id = std::filesystem::path(file_name).stem().string();
    shop.name = root.required("name").filled_string();
    shop.currency = currency(root.required("currency"));
    if (const auto item = root.find("smallest_order")) shop.smallest_order = read_price(*item);
    if (const auto item = root.find("postage")) shop.postage = read_price(*item);
    if (const auto item = root.find("days")) shop.days = static_cast<int>(item->integer(0, 365));
    if (const auto item = root.find("contact")) shop.contact = item->string();
    if (const auto item = root.find("order_page")) shop.order_page = item->string();
    shop.media = media(root);
    document.refuse_unknown_keys();
    if (shop.media.empty())
        root.fail("the shop has no medium yet: begin one with a line [[medium]].");
    return shop;
}

Shop shop_from_file(const std::filesystem::path& file) {
    Shop shop = shop_from_text(base::read_whole_file(file, most_bytes), file.string());
    return shop;
}

std::vector<Shop> shops_in(const std::filesystem::path& folder) {
    std::vector<Shop> shops;
    std::error_code status;
    if (!std::filesystem::exists(folder, status)) return shops;
    std::vector<std::filesystem::path> files;
    std::filesystem::directory_iterator entries(folder, status);
    if (status)
        throw base::UnreadableInput("The folder of shops " + folder.string() +
                                    " cannot be read: " + status.message() + ".");
    for (const auto& entry : entries) {
        if (entry.path().extension() == ".toml" &&
            !entry.path().filename().string().starts_with('.'))
            files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    for (const auto& file : files) shops.push_back(shop_from_file(file));
    std::stable_sort(shops.begin(), shops.end(),
                     [](const Shop& a, const Shop& b) { return a.name < b.name; });
    return shops;
}

const Shop& shop_named(const std::vector<Shop>& shops, std::string_view id_or_name) {
    return named(shops, id_or_name, "There is no shop", "");
}

const Medium& medium_named(const Shop& shop, std::string_view id_or_name) {
    return named(shop.media, id_or_name, "There is no medium", " at " + shop.name);
}

}  // namespace hangtrue::shops

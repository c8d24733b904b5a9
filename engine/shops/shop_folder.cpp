// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/shop_folder.h"

#include <algorithm>

#include "engine/base/error.h"
#include "engine/base/nearest.h"
#include "engine/shops/shop_file.h"
#include "engine/text/document.h"
#include "engine/text/letters.h"

namespace hangtrue::shops {
namespace {

/// The one of `things` that is meant, or a sentence that helps.
template <typename Thing>
const Thing& named(const std::vector<Thing>& things, std::string_view wanted, const std::string& nothing,
                   const std::string& where, const std::string& none_at_all) {
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
    if (known.empty()) throw base::InvalidWish(what + " " + none_at_all);
    throw base::InvalidWish(what + " There is " + text::list_of_words(known) + ".");
}

}  // namespace

bool is_shop_file(const std::filesystem::path& file) {
    return file.extension() == ".toml" && !file.filename().string().starts_with('.');
}

ShopFolder shops_in(const std::filesystem::path& folder) {
    ShopFolder found;
    std::error_code status;
    if (!std::filesystem::exists(folder, status)) return found;
    std::vector<std::filesystem::path> files;
    std::filesystem::directory_iterator entries(folder, status);
    if (status)
        throw base::UnreadableInput("The folder of shops " + folder.string() + " cannot be read: " + status.message() +
                                    ".");
    for (const auto& entry : entries) {
        if (is_shop_file(entry.path())) files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    for (const auto& file : files) {
        try {
            found.shops.push_back(shop_from_file(file));
        } catch (const base::UnreadableInput& error) {
            found.broken.push_back({file, error.what()});
        }
    }
    std::stable_sort(found.shops.begin(), found.shops.end(),
                     [](const Shop& a, const Shop& b) { return a.name < b.name; });
    return found;
}

const Shop* find_shop(const ShopFolder& folder, std::string_view id_or_name) {
    for (const Shop& shop : folder.shops) {
        if (shop.id == id_or_name || shop.name == id_or_name) return &shop;
    }
    for (const BrokenShopFile& broken : folder.broken) {
        // What a broken file calls its shop is not known: `shop new` made the file's name of it.
        const std::string stem = broken.file.stem().string();
        if (stem == id_or_name || stem == text::id_of(id_or_name)) throw base::UnreadableInput(broken.sentence);
    }
    return nullptr;
}

const Shop& shop_named(const ShopFolder& folder, std::string_view id_or_name) {
    if (const Shop* shop = find_shop(folder, id_or_name)) return *shop;
    return named(folder.shops, id_or_name, "There is no shop", "", "There is none at all yet.");
}

const Medium& medium_named(const Shop& shop, std::string_view id_or_name) {
    return named(shop.media, id_or_name, "There is no medium", " at " + shop.name,
                 "Its shop file has none yet: begin one there with a line [[medium]].");
}

}  // namespace hangtrue::shops

// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/shop_file.h"

#include <algorithm>
#include <cmath>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/shops/medium_file.h"
#include "engine/shops/money.h"
#include "engine/text/document.h"

namespace hangtrue::shops {
namespace {

constexpr std::int64_t most_bytes = 1000 * 1000;

std::string currency(const text::Item& item) {
    const std::string code = item.string();
    const bool is_code =
        code.size() == 3 && std::all_of(code.begin(), code.end(), [](char c) { return c >= 'A' && c <= 'Z'; });
    if (!is_code) item.fail(text::quoted(code) + " is no currency. Write its three letters: \"EUR\", \"USD\".");
    return code;
}

std::vector<Medium> media(text::Table& root) {
    std::vector<Medium> result;
    for (text::Table& table : root.tables("medium")) {
        Medium medium = read_medium(table);
        for (const Medium& other : result) {
            if (other.id == medium.id)
                table.required("id").fail("there are two media with the id " + text::quoted(medium.id) + ".");
            if (other.name == medium.name)
                table.required("name").fail("there are two media called " + text::quoted(medium.name) + ".");
        }
        result.push_back(std::move(medium));
    }
    return result;
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
    return shop;
}

Shop shop_from_file(const std::filesystem::path& file) {
    Shop shop = shop_from_text(base::read_whole_file(file, most_bytes), file.string());
    return shop;
}

}  // namespace hangtrue::shops

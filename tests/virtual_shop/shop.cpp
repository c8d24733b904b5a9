// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/shop.h"

#include <cmath>
#include <numbers>
#include <vector>

#include "engine/base/output_file.h"
#include "engine/text/document.h"
#include "engine/text/writer.h"

namespace hangtrue::virtual_shop {
namespace {

constexpr const char* conditions[] = {"FOGRA39L", "FOGRA29L", "TR006"};

constexpr text::Word<Intent> intents[] = {{"relative-colorimetric", Intent::relative_colorimetric},
                                          {"perceptual", Intent::perceptual}};

std::array<double, 3> three(const text::Item& item) {
    const auto items = item.items();
    if (items.size() != 3) item.fail("three numbers are needed: changes of L*, a* and b*");
    return {items[0].real(-20, 20), items[1].real(-20, 20), items[2].real(-20, 20)};
}

std::vector<double> list_of(const std::array<double, 3>& values) { return {values.begin(), values.end()}; }

}  // namespace

// SplitMix64 (Steele, Lea, Flood 2014).
std::uint64_t Chance::bits() {
    m_state += 0x9e3779b97f4a7c15ULL;
    std::uint64_t z = m_state;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
}

double Chance::between(double least, double most) {
    return least + (most - least) * static_cast<double>(bits() >> 11) * 0x1p-53;
}

double Chance::normal(double sd) {
    const double radius = std::sqrt(-2 * std::log(1 - between(0, 1)));  // Box and Muller.
    return sd * radius * std::cos(2 * std::numbers::pi * between(0, 1));
}

Shop shop_of_seed(std::uint64_t seed) {
    Chance chance(seed);
    Shop shop;
    shop.seed = seed;
    shop.condition = conditions[chance.bits() % 3];
    shop.intent = chance.bits() % 2 == 0 ? Intent::relative_colorimetric : Intent::perceptual;
    shop.ink_limit = chance.between(260, 340);
    shop.paper = {chance.between(-1, 0.5), chance.between(-0.7, 0.7), chance.between(-1.5, 1.5)};
    // Half of the contrast left at 2.5 to 5.5 cycles a millimetre, from canvas to glossy paper. A Gaussian's standard
    // deviation is sqrt(ln 2 / 2) / pi over that.
    shop.blur_mm = std::sqrt(std::numbers::ln2 / 2) / std::numbers::pi / chance.between(2.5, 5.5);
    shop.grain_sd = chance.between(0.2, 1.2);
    shop.grain_mm = chance.between(0.05, 0.15);
    const bool is_without_bias = chance.between(0, 1) < 0.2;
    Bias bias;
    bias.lightness = chance.between(-8, 8);
    bias.tint_a = chance.between(-6, 6);
    bias.tint_b = chance.between(-6, 6);
    bias.contrast = chance.between(-0.15, 0.15);
    // Of the four shops in five that have a bias, so that it is one in five and one in ten of all.
    const double form = chance.between(0, 1);
    if (form < 0.125) {
        bias.kink_at = chance.between(0.15, 0.85);
        bias.kink_height = chance.between(-0.05, 0.05);
        bias.kink_width = chance.between(0.08, 0.14);
    } else if (form < 0.25) {
        bias.crushed_below = chance.between(0.15, 0.35);
    }
    if (chance.between(0, 1) < 0.125) {
        // 2 dE in any direction, lightness included.
        const double up = chance.between(-1, 1), turn = chance.between(0, 2 * std::numbers::pi);
        const double flat = std::sqrt(1 - up * up);
        bias.paper = {-2 * std::abs(up), 2 * flat * std::cos(turn), 2 * flat * std::sin(turn)};
    }
    if (!is_without_bias) shop.bias = bias;
    return shop;
}

Shop shop_of_text(const std::string& text, const std::string& file_name) {
    const auto document = text::Document::parse(text, file_name, 1);
    text::Table root = document.root();
    Shop shop;
    const auto real = [](text::Table& table, const char* key, double least, double most, double& value) {
        if (const auto item = table.find(key)) value = item->real(least, most);
    };
    if (const auto item = root.find("condition")) shop.condition = item->filled_string();
    if (const auto item = root.find("intent")) shop.intent = item->one_of(intents);
    real(root, "ink_limit", 150, 400, shop.ink_limit);
    if (const auto item = root.find("paper")) shop.paper = three(*item);
    real(root, "blur_mm", 0, 1, shop.blur_mm);
    real(root, "grain_sd", 0, 10, shop.grain_sd);
    real(root, "grain_mm", 0.02, 2, shop.grain_mm);
    if (const auto item = root.find("seed")) shop.seed = static_cast<std::uint64_t>(item->integer(0, INT64_MAX));
    if (auto table = root.find_table("bias")) {
        Bias& bias = shop.bias;
        real(*table, "lightness", -20, 20, bias.lightness);
        real(*table, "tint_a", -20, 20, bias.tint_a);
        real(*table, "tint_b", -20, 20, bias.tint_b);
        real(*table, "contrast", -0.5, 0.5, bias.contrast);
        real(*table, "kink_at", 0, 1, bias.kink_at);
        real(*table, "kink_height", -0.1, 0.1, bias.kink_height);
        real(*table, "kink_width", 0.01, 1, bias.kink_width);
        real(*table, "crushed_below", 0, 1, bias.crushed_below);
        if (const auto item = table->find("paper")) bias.paper = three(*item);
    }
    document.refuse_unknown_keys();
    return shop;
}

Shop read_shop(const std::filesystem::path& file) {
    return shop_of_text(base::read_whole_file(file, 1'000'000), file.string());
}

std::string shop_text(const Shop& shop) {
    text::Writer out(1);
    out.value("condition", shop.condition);
    for (const auto& word : intents) {
        if (word.value == shop.intent) out.value("intent", std::string(word.word));
    }
    out.value("ink_limit", shop.ink_limit).value("paper", list_of(shop.paper)).value("blur_mm", shop.blur_mm);
    out.value("grain_sd", shop.grain_sd).value("grain_mm", shop.grain_mm);
    out.value("seed", static_cast<std::int64_t>(shop.seed)).blank();
    const Bias& bias = shop.bias;
    out.table({"bias"});
    out.value("lightness", bias.lightness).value("tint_a", bias.tint_a).value("tint_b", bias.tint_b);
    out.value("contrast", bias.contrast).value("kink_at", bias.kink_at).value("kink_height", bias.kink_height);
    out.value("kink_width", bias.kink_width).value("crushed_below", bias.crushed_below);
    out.value("paper", list_of(bias.paper));
    return out.text();
}

}  // namespace hangtrue::virtual_shop

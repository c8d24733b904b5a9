// SPDX-License-Identifier: Apache-2.0
#include "benchmarks/bench_shop.h"

#include <cstdlib>
#include <fstream>
#include <stdexcept>

#include "tests/support/shop_text.h"

namespace hangtrue::benchmarks {
namespace {

namespace fs = std::filesystem;

/// All at 300 ppi.
support::ShopMedium medium(const std::string& id, const std::string& file, const support::ShopSize& size) {
    support::ShopMedium medium;
    medium.id = id;
    medium.name = id;
    medium.ppi = "{ wanted = 300 }";
    medium.file = "formats = [\"tiff\"]\n" + file;
    medium.sizes = {size};
    return medium;
}

std::string bench_shop() {
    const support::ShopSize print{"40 x 26.67 in", "1016 x 677.333333333 mm", ""};
    const support::ShopSize card{"4 x 2.67 in", "101.6 x 67.733333333 mm", ""};
    const support::ShopSize wall{"120 x 93.33 in", "3048 x 2370.666666667 mm", ""};
    return support::shop_text(
        "Tallow Yard", "",
        {medium("paper", "tiff_bits = [16]\n", print), medium("card", "tiff_bits = [16]\n", card),
         medium("wall-8", "tiff_bits = [8]\n", wall), medium("wall-16", "tiff_bits = [16]\nbig_tiff = true\n", wall)});
}

constexpr const char* wall_size = "3048x2370.666666667mm";

}  // namespace

BenchFolder::BenchFolder() {
    std::string name = (fs::temp_directory_path() / "hangtrue-bench-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    m_path = name;
}

BenchFolder::~BenchFolder() {
    std::error_code ignored;  // Nothing more can be done about it here.
    fs::remove_all(m_path, ignored);
}

fs::path BenchFolder::fresh_data(const std::string& name) const {
    const fs::path data = m_path / name;
    fs::remove_all(data);
    fs::create_directories(data / "shops");
    std::ofstream(data / "shops" / (std::string(bench_shop_id) + ".toml")) << bench_shop();
    return data;
}

BenchMedium paper() { return {"paper", "1016x677.333333333mm"}; }
BenchMedium card() { return {"card", "101.6x67.733333333mm"}; }
BenchMedium wall_8_bits() { return {"wall-8", wall_size}; }
BenchMedium wall_16_bits() { return {"wall-16", wall_size}; }

}  // namespace hangtrue::benchmarks

// SPDX-License-Identifier: Apache-2.0
#include "benchmarks/bench_shop.h"

#include <cstdlib>
#include <fstream>
#include <stdexcept>

namespace hangtrue::benchmarks {
namespace {

namespace fs = std::filesystem;

/// 12000x8000 and 36000x28000 pixels at 300 ppi.
constexpr const char* shop_text = R"(format = 1
name = "Tallow Yard"
currency = "EUR"

[[medium]]
id = "paper"
name = "Paper"
blur = "inkjet-gloss"
ppi = { wanted = 300 }
file_space = "srgb"
[medium.file]
formats = ["tiff"]
tiff_bits = [16]
[[medium.size]]
name = "40 x 26.67 in"
finished = "1016 x 677.333333333 mm"

[[medium]]
id = "wall-8"
name = "Wall, 8 bits"
blur = "inkjet-gloss"
ppi = { wanted = 300 }
file_space = "srgb"
[medium.file]
formats = ["tiff"]
tiff_bits = [8]
[[medium.size]]
name = "120 x 93.33 in"
finished = "3048 x 2370.666666667 mm"

[[medium]]
id = "wall-16"
name = "Wall, 16 bits"
blur = "inkjet-gloss"
ppi = { wanted = 300 }
file_space = "srgb"
[medium.file]
formats = ["tiff"]
tiff_bits = [16]
big_tiff = true
[[medium.size]]
name = "120 x 93.33 in"
finished = "3048 x 2370.666666667 mm"
)";

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
    std::ofstream(data / "shops" / (std::string(bench_shop_id) + ".toml")) << shop_text;
    return data;
}

BenchMedium paper() { return {"paper", "1016x677.333333333mm"}; }
BenchMedium wall_8_bits() { return {"wall-8", wall_size}; }
BenchMedium wall_16_bits() { return {"wall-16", wall_size}; }

}  // namespace hangtrue::benchmarks

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The invented shop: all that is hidden from whoever sends it a file.

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>

#include "engine/colour/difference.h"

namespace hangtrue::virtual_shop {

/// How the printer departs from its own print condition. All zero: not at all.
struct Bias {
    double lightness = 0;  ///< What happens to the mid grey, L* 50 on its paper: change of L*, a* and b*.
    double tint_a = 0;
    double tint_b = 0;
    double contrast = 0;  ///< Slope at the mid grey, less 1.
    /// A kink in the tone curve, in lightness from black (0) to paper (1): where, how high, how wide to either side.
    double kink_at = 0;
    double kink_height = 0;
    double kink_width = 0.1;
    double crushed_below = 0;       ///< Shadows under this are pressed towards black; 0: none are.
    std::array<double, 3> paper{};  ///< Today's paper against the usual one: change of L*, a*, b*.
    friend bool operator==(const Bias&, const Bias&) = default;
};

enum class Intent { relative_colorimetric, perceptual };

struct Shop {
    std::string condition = "FOGRA39L";
    Intent intent = Intent::relative_colorimetric;
    double ink_limit = 300;         ///< Per cent.
    std::array<double, 3> paper{};  ///< Its usual paper against the condition's: change of L*, a*, b*.
    double blur_mm = 0.037;         ///< Standard deviation of a Gaussian, on the paper.
    double grain_sd = 0;            ///< Of L*, in the middle tones.
    double grain_mm = 0.1;          ///< Standard deviation of a grain's shape.
    std::uint64_t seed = 1;         ///< Of its grain.
    Bias bias;
    friend bool operator==(const Shop&, const Shop&) = default;
};

/// A shop as chance has it: any print condition, one in five without any bias, one in five with a kink or crushed
/// shadows, one in ten on other paper.
Shop shop_of_seed(std::uint64_t seed);

/// Reads and writes `format = 1`; what is not said is as in Shop above. Throws UnreadableInput.
Shop shop_of_text(const std::string& text, const std::string& file_name);
Shop read_shop(const std::filesystem::path& file);
std::string shop_text(const Shop& shop);

/// Even and normal chance, the same on every machine for one seed.
class Chance {
  public:
    explicit Chance(std::uint64_t seed) : m_state(seed * 0x9e3779b97f4a7c15ULL + 0x1234567) {}
    std::uint64_t bits();
    double between(double least, double most);
    double normal(double sd);

  private:
    std::uint64_t m_state;
};

}  // namespace hangtrue::virtual_shop

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The outside of an ICC profile (ICC.1:2010, clause 7): header, tag table, simple tag types. Every offset
/// is checked before it is used. Thread-safe.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/colour/tone_curve.h"

namespace hangtrue::colour {

/// Four letters as ICC signatures are: signature("RGB ").
constexpr std::uint32_t signature(const char (&text)[5]) {
    std::uint32_t value = 0;
    for (int i = 0; i < 4; ++i) {
        value = (value << 8) | static_cast<std::uint8_t>(text[i]);
    }
    return value;
}

struct IccTag {
    std::uint32_t name = 0;
    std::span<const std::byte> bytes;
};

struct IccView {
    int major_version = 0;
    std::uint32_t profile_class = 0;
    std::uint32_t colour_space = 0;
    std::uint32_t connection_space = 0;
    std::vector<IccTag> tags;

    std::span<const std::byte> tag(std::uint32_t name) const;  ///< Empty where there is none.
};

/// Nothing where the bytes are no whole profile. The view points into `bytes`.
std::optional<IccView> parse_icc(std::span<const std::byte> bytes);

/// XYZType; nothing where the bytes are of another type.
std::optional<std::array<double, 3>> parse_xyz(std::span<const std::byte> tag);

/// curveType or parametricCurveType; nothing where it is neither, or cannot be inverted.
std::optional<ToneCurve> parse_curve(std::span<const std::byte> tag);

/// Writes version 2 profiles, the same bytes each time (fixed date, no profile ID).
class IccWriter {
  public:
    void add_text_description(std::uint32_t name, const std::string& text);
    void add_text(std::uint32_t name, const std::string& text);
    void add_xyz(std::uint32_t name, std::array<double, 3> xyz);
    void add_gamma(std::span<const std::uint32_t> names, double gamma);
    void add_table(std::span<const std::uint32_t> names, std::span<const std::uint16_t> table);
    /// lut16Type, three channels to three, that changes nothing.
    void add_identity_lut(std::span<const std::uint32_t> names);
    std::vector<std::byte> finish(std::uint32_t profile_class, std::uint32_t colour_space,
                                  std::uint32_t connection_space) const;

  private:
    struct Element {
        std::vector<std::uint32_t> names;  ///< Tags that share these bytes.
        std::vector<std::byte> bytes;
    };
    std::vector<Element> m_elements;
};

}  // namespace hangtrue::colour

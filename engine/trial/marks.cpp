// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/marks.h"

#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>

#include <cassert>
#include <memory>

#include "engine/trial/sheet.h"

namespace hangtrue::trial {

namespace {

constexpr int codes_a_corner = 146;
constexpr int code_modules = 6;
constexpr int ring = (mark_modules - code_modules) / 2;

std::shared_ptr<const apriltag_family_t> family() {
    static const std::shared_ptr<const apriltag_family_t> shared(
        tag36h11_create(), [](const apriltag_family_t* one) { tag36h11_destroy(const_cast<apriltag_family_t*>(one)); });
    return shared;
}

}  // namespace

std::array<int, 4> codes_of(std::int64_t sheet_number) {
    std::int64_t rest = sheet_number % (most_sheet_number + 1);
    std::array<int, 4> codes{};
    for (std::size_t corner = 0; corner < codes.size(); ++corner) {
        codes[corner] = static_cast<int>(corner) * codes_a_corner + static_cast<int>(rest % codes_a_corner);
        rest /= codes_a_corner;
    }
    return codes;
}

std::int64_t number_of(const std::array<int, 4>& codes) {
    std::int64_t number = 0;
    for (std::size_t corner = codes.size(); corner-- > 0;) {
        number = number * codes_a_corner + codes[corner] % codes_a_corner;
    }
    return number;
}

MarkModules mark_modules_of(int code) {
    const auto tags = family();
    assert(code >= 0 && static_cast<std::uint32_t>(code) < tags->ncodes);
    MarkModules white{};
    for (auto& row : white) row.fill(true);
    for (int y = 1; y < mark_modules - 1; ++y) {
        for (int x = 1; x < mark_modules - 1; ++x) {
            white[static_cast<std::size_t>(y)][static_cast<std::size_t>(x)] = false;
        }
    }
    const std::uint64_t bits = tags->codes[code];
    for (std::uint32_t i = 0; i < tags->nbits; ++i) {
        // The family counts its bits from the black ring's corner inwards, the first the highest.
        const bool is_white = (bits >> (tags->nbits - 1 - i) & 1U) != 0;
        white[tags->bit_y[i] + 1][tags->bit_x[i] + 1] = is_white;
    }
    return white;
}

}  // namespace hangtrue::trial

// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/sheet_rows.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstring>

#include "engine/trial/marks.h"
#include "tests/trial/ground.h"

namespace hangtrue::trial {
namespace {

Sheet numbered_sheet() {
    Sheet sheet = *laid_out_in_srgb(ground_of({base::inches(7), base::inches(5)}, {200}));
    const auto codes = codes_of(20261126);
    for (std::size_t i = 0; i < codes.size(); ++i) sheet.marks[i].code = codes[i];
    return sheet;
}

/// Each cell's samples say which cell and pixel they are.
std::vector<std::vector<std::byte>> told_cells(const Sheet& sheet, int bits) {
    std::vector<std::vector<std::byte>> cells;
    for (std::size_t c = 0; c < sheet.cells.size(); ++c) {
        const base::PixelRect rect = sheet.cells[c].rect;
        std::vector<std::byte> samples(static_cast<std::size_t>(rect.width) * static_cast<std::size_t>(rect.height) *
                                       3 * static_cast<std::size_t>(bits / 8));
        for (std::size_t i = 0; i < samples.size(); ++i) samples[i] = static_cast<std::byte>((i * 31 + c * 7) & 0xff);
        cells.push_back(std::move(samples));
    }
    return cells;
}

struct Filled {
    Sheet sheet = numbered_sheet();
    int bits;
    std::vector<std::byte> samples;

    explicit Filled(int depth) : bits(depth) {
        const SheetRows rows(sheet, bits, told_cells(sheet, bits));
        samples.resize(row_bytes() * static_cast<std::size_t>(sheet.size.height));
        rows.fill(0, sheet.size.height, samples);
    }
    std::size_t pixel_bytes() const { return static_cast<std::size_t>(3 * bits / 8); }
    std::size_t row_bytes() const { return pixel_bytes() * static_cast<std::size_t>(sheet.size.width); }
    std::array<double, 3> at(int x, int y) const {
        const std::byte* pixel =
            samples.data() + static_cast<std::size_t>(y) * row_bytes() + static_cast<std::size_t>(x) * pixel_bytes();
        std::array<double, 3> rgb{};
        for (std::size_t c = 0; c < 3; ++c) {
            if (bits == 8) {
                rgb[c] = std::to_integer<int>(pixel[c]) / 255.0;
            } else {
                std::uint16_t code = 0;
                std::memcpy(&code, pixel + 2 * c, 2);
                rgb[c] = code / 65535.0;
            }
        }
        return rgb;
    }
};

class sheet_rows : public testing::TestWithParam<int> {};

TEST_P(sheet_rows, hold_each_patch_exactly_and_each_cell_sample_for_sample) {
    const Filled filled(GetParam());
    for (const Patch& patch : filled.sheet.patches) {
        for (const auto& [x, y] :
             {std::pair{patch.rect.x, patch.rect.y}, std::pair{patch.rect.right() - 1, patch.rect.bottom() - 1}}) {
            for (std::size_t c = 0; c < 3; ++c) EXPECT_NEAR(filled.at(x, y)[c], patch.rgb[c], 1e-6) << patch.name;
        }
    }
    const auto cells = told_cells(filled.sheet, filled.bits);
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const base::PixelRect rect = filled.sheet.cells[i].rect;
        const std::size_t row = filled.pixel_bytes() * static_cast<std::size_t>(rect.width);
        for (int y = 0; y < rect.height; ++y) {
            const std::byte* there = filled.samples.data() + static_cast<std::size_t>(rect.y + y) * filled.row_bytes() +
                                     static_cast<std::size_t>(rect.x) * filled.pixel_bytes();
            ASSERT_EQ(std::memcmp(there, cells[i].data() + static_cast<std::size_t>(y) * row, row), 0) << i;
        }
    }
}

TEST_P(sheet_rows, are_the_same_in_pieces_of_any_height) {
    const Filled whole(GetParam());
    const SheetRows rows(whole.sheet, whole.bits, told_cells(whole.sheet, whole.bits));
    for (const int height : {13, 300}) {
        std::vector<std::byte> piece;
        for (int y = 0; y < whole.sheet.size.height; y += height) {
            const int count = std::min(height, whole.sheet.size.height - y);
            piece.resize(whole.row_bytes() * static_cast<std::size_t>(count));
            rows.fill(y, count, piece);
            ASSERT_EQ(std::memcmp(piece.data(), whole.samples.data() + static_cast<std::size_t>(y) * whole.row_bytes(),
                                  piece.size()),
                      0);
        }
    }
}

TEST_P(sheet_rows, draw_the_marks_module_by_module_on_white) {
    const Filled filled(GetParam());
    for (const Mark& mark : filled.sheet.marks) {
        const MarkModules modules = mark_modules_of(mark.code);
        const double module = static_cast<double>(mark.rect.width) / mark_modules;
        for (int y = 0; y < mark_modules; ++y) {
            for (int x = 0; x < mark_modules; ++x) {
                const auto rgb = filled.at(mark.rect.x + static_cast<int>((x + 0.5) * module),
                                           mark.rect.y + static_cast<int>((y + 0.5) * module));
                EXPECT_EQ(rgb[0], modules[static_cast<std::size_t>(y)][static_cast<std::size_t>(x)] ? 1 : 0);
            }
        }
    }
    EXPECT_EQ(filled.at(0, 0), (std::array<double, 3>{1, 1, 1}));
}

TEST_P(sheet_rows, write_a_letter_above_each_cell) {
    const Filled filled(GetParam());
    for (const Caption& caption : filled.sheet.captions) {
        if (caption.text.size() != 1) continue;
        double ink = 0;
        for (int y = caption.rect.y; y < caption.rect.bottom(); ++y) {
            for (int x = caption.rect.x; x < caption.rect.right(); ++x) ink += 1 - filled.at(x, y)[0];
        }
        EXPECT_GT(ink, 20) << caption.text;
    }
}

INSTANTIATE_TEST_SUITE_P(bits, sheet_rows, testing::Values(8, 16));

}  // namespace
}  // namespace hangtrue::trial

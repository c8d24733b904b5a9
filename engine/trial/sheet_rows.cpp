// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/sheet_rows.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstring>
#include <numbers>
#include <utility>

#include "engine/drawing/lettering.h"
#include "engine/trial/marks.h"

namespace hangtrue::trial {

namespace {

using base::PixelRect;

/// Rows of a file under way: sets pixels of rectangles that may lie partly or wholly elsewhere.
class Rows {
  public:
    Rows(int first, int count, base::PixelSize file, int bits, std::span<std::byte> out)
        : m_part{0, first, file.width, count}, m_bits(bits), m_out(out) {}

    /// `colour(x, y)` gives R, G, B (0..1) of a pixel, counted from the rectangle's upper left corner.
    template <typename Colour>
    void paint(PixelRect rect, Colour&& colour) {
        const PixelRect seen = base::intersection(rect, m_part);
        for (int y = seen.y; y < seen.bottom(); ++y) {
            for (int x = seen.x; x < seen.right(); ++x) set(x, y, colour(x - rect.x, y - rect.y));
        }
    }

    void copy(PixelRect rect, std::span<const std::byte> samples) {
        const PixelRect seen = base::intersection(rect, m_part);
        const std::size_t row_bytes = pixel_bytes() * static_cast<std::size_t>(rect.width);
        for (int y = seen.y; y < seen.bottom(); ++y) {
            const std::size_t from = static_cast<std::size_t>(y - rect.y) * row_bytes +
                                     static_cast<std::size_t>(seen.x - rect.x) * pixel_bytes();
            std::memcpy(at(seen.x, y), samples.data() + from, static_cast<std::size_t>(seen.width) * pixel_bytes());
        }
    }

  private:
    std::size_t pixel_bytes() const { return static_cast<std::size_t>(3 * m_bits / 8); }
    std::byte* at(int x, int y) const {
        return m_out.data() + (static_cast<std::size_t>(y - m_part.y) * static_cast<std::size_t>(m_part.width) +
                               static_cast<std::size_t>(x)) *
                                  pixel_bytes();
    }
    void set(int x, int y, const std::array<float, 3>& rgb) const {
        std::byte* const pixel = at(x, y);
        for (std::size_t channel = 0; channel < 3; ++channel) {
            if (m_bits == 8) {
                pixel[channel] = static_cast<std::byte>(std::lround(255 * rgb[channel]));
            } else {
                const auto code = static_cast<std::uint16_t>(std::lround(65535 * rgb[channel]));
                std::memcpy(pixel + 2 * channel, &code, sizeof code);
            }
        }
    }

    PixelRect m_part;
    int m_bits;
    std::span<std::byte> m_out;
};

std::array<float, 3> neutral(float value) { return {value, value, value}; }

void paint_mark(Rows& rows, const Mark& mark) {
    const MarkModules modules = mark_modules_of(mark.code);
    const int module = mark.rect.width / mark_modules;
    rows.paint(mark.rect, [&](int x, int y) {
        const auto row = static_cast<std::size_t>(std::min(y / module, mark_modules - 1));
        const auto column = static_cast<std::size_t>(std::min(x / module, mark_modules - 1));
        return neutral(modules[row][column] ? 1.0F : 0.0F);
    });
}

/// Hard: over the rows of a slanted edge its steps make up what mixed pixels would, and in light itself.
void paint_edge(Rows& rows, const SlantedEdge& edge) {
    // Clockwise: a vertical edge leans to the left on its way down, a horizontal one falls on its way to the right.
    const double slope = std::tan(edge.degrees * std::numbers::pi / 180) * (edge.is_vertical ? -1 : 1);
    const double middle_x = edge.rect.width / 2.0;
    const double middle_y = edge.rect.height / 2.0;
    rows.paint(edge.rect, [&](int x, int y) {
        const double across = edge.is_vertical ? x + 0.5 - middle_x : y + 0.5 - middle_y;
        const double along = edge.is_vertical ? y + 0.5 - middle_y : x + 0.5 - middle_x;
        return neutral(across < slope * along ? edge.dark : edge.light);
    });
}

}  // namespace

SheetRows::SheetRows(const Sheet& sheet, int bits, std::vector<std::vector<std::byte>> cells)
    : m_sheet(sheet), m_bits(bits), m_cells(std::move(cells)) {
    assert(m_cells.size() == m_sheet.cells.size());
    for (const Caption& caption : m_sheet.captions) {
        m_letterings.push_back(
            {caption.rect, drawing::lettering({caption.rect.width, caption.rect.height}, caption.text)});
    }
}

void SheetRows::fill(int first, int count, std::span<std::byte> out) const {
    Rows rows(first, count, m_sheet.size, m_bits, out);
    rows.paint({0, 0, m_sheet.size.width, m_sheet.size.height}, [](int, int) { return neutral(1); });
    for (const Patch& patch : m_sheet.patches) rows.paint(patch.rect, [&](int, int) { return patch.rgb; });
    for (const Mark& mark : m_sheet.marks) paint_mark(rows, mark);
    for (const SlantedEdge& edge : m_sheet.edges) paint_edge(rows, edge);
    for (const Lines& lines : m_sheet.lines) {
        rows.paint(lines.rect, [&](int x, int y) {
            return neutral((lines.are_vertical ? x : y) / lines.width_px % 2 == 0 ? 0.0F : 1.0F);
        });
    }
    for (const Lettering& lettering : m_letterings) {
        rows.paint(lettering.rect, [&](int x, int y) {
            const auto at = static_cast<std::size_t>(y) * static_cast<std::size_t>(lettering.rect.width) +
                            static_cast<std::size_t>(x);
            return neutral(1 - static_cast<float>(lettering.ink[at]) / 255);
        });
    }
    for (std::size_t i = 0; i < m_cells.size(); ++i) rows.copy(m_sheet.cells[i].rect, m_cells[i]);
}

}  // namespace hangtrue::trial

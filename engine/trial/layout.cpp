// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/layout.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "engine/trial/marks.h"

namespace hangtrue::trial {

namespace {

using base::Millimetres;
using base::PixelRect;
using colour::Lab;

constexpr std::string_view letters = "ABCDEFGHJKLMNPQRSTUV";  // No I, no O: they are digits to many.
static_assert(letters.size() == most_cells);

constexpr Millimetres gap{1.5};
constexpr Millimetres caption_height{4.5};
constexpr Millimetres label_height{2.4};
constexpr Millimetres largest_cell{100};
constexpr Millimetres edge_side{12};
constexpr Millimetres least_module{1};  // A hand-held camera sees the whole sheet on a few thousand pixels.

int px(Millimetres length, base::PixelsPerInch ppi) { return static_cast<int>(std::ceil(base::pixels(length, ppi))); }

/// At least three pixels, and twice the medium's blur: its full width at half maximum, 2.355 sigma, were it Gaussian.
int module_px(const Ground& ground) {
    const double sigma_mm = std::sqrt(std::numbers::ln2 / 2) / (std::numbers::pi * ground.f50_cycles_per_mm);
    const Millimetres blur{2.355 * sigma_mm};
    return std::max({3, px(2 * blur, ground.ppi), px(least_module, ground.ppi)});
}

/// Even steps of L*, black and white among them, every 5.
std::vector<Lab> wedge() {
    std::vector<Lab> greys;
    for (int lightness = 0; lightness <= 100; lightness += 5) greys.push_back({static_cast<double>(lightness), 0, 0});
    return greys;
}

/// Greys with a tint, in two rings about neutral: which of them looks like the paper?
std::vector<Lab> near_greys() {
    constexpr double lightness = 60;
    std::vector<Lab> greys{{lightness, 0, 0}};
    for (const auto& [chroma, count] : {std::pair{3.0, 6}, std::pair{6.5, 10}}) {
        for (int i = 0; i < count; ++i) {
            const double hue = 2 * std::numbers::pi * (i + (count == 6 ? 0.0 : 0.5)) / count;
            greys.push_back({lightness, chroma * std::cos(hue), chroma * std::sin(hue)});
        }
    }
    // Mixed, so that no place on the sheet says which is neutral: 7 and 17 have no common divisor.
    std::vector<Lab> mixed;
    for (std::size_t i = 0; i < greys.size(); ++i) mixed.push_back(greys[(7 * i + 5) % greys.size()]);
    return mixed;
}

/// Eight hues, darker, middle and lighter, and four that memory knows twice: skin, sky, grass and earth.
std::vector<Lab> colours() {
    std::vector<Lab> result;
    constexpr int hues = 8;
    for (const auto& [lightness, chroma] : {std::pair{32.0, 22.0}, std::pair{52.0, 34.0}, std::pair{72.0, 24.0}}) {
        for (int i = 0; i < hues; ++i) {
            const double hue = 2 * std::numbers::pi * (i + 0.25) / hues;
            result.push_back({lightness, chroma * std::cos(hue), chroma * std::sin(hue)});
        }
    }
    for (const Lab memory : {Lab{66, 17, 18}, Lab{40, 13, 15}, Lab{62, -5, -22}, Lab{80, -3, -11}, Lab{43, -16, 25},
                             Lab{58, -18, 34}, Lab{35, 8, 14}, Lab{55, 10, 24}}) {
        result.push_back(memory);
    }
    return result;
}

/// Lays patches side by side, and goes on in the next row where one is full.
class Rows {
  public:
    Rows(PixelRect room, int spacing) : m_room(room), m_spacing(spacing), m_x(room.x), m_y(room.y) {}

    PixelRect next(int width, int height) {
        if (m_x + width > m_room.right()) new_row();
        const PixelRect rect{m_x, m_y, width, height};
        m_x += width + m_spacing;
        m_row_height = std::max(m_row_height, height);
        return rect;
    }
    void new_row() {
        if (m_x == m_room.x) return;
        m_x = m_room.x;
        m_y += m_row_height + m_spacing;
        m_row_height = 0;
    }
    int bottom() const { return m_y + m_row_height; }

  private:
    PixelRect m_room;
    int m_spacing;
    int m_x;
    int m_y;
    int m_row_height = 0;
};

class Layout {
  public:
    Layout(const Ground& ground, int levels, const LabOf& lab_of, const RgbOf& rgb_of)
        : m_ground(ground), m_levels(levels), m_lab_of(lab_of), m_rgb_of(rgb_of), m_gap(px(gap, ground.ppi)) {
        m_sheet.size = ground.file;
        m_sheet.ppi = ground.ppi;
    }

    std::optional<Sheet> laid_out() {
        const PixelRect safe = m_ground.safe;
        const int mark = mark_modules * module_px(m_ground);
        const int edge = px(edge_side, m_ground.ppi);
        const int band = std::max(mark, edge);
        if (safe.width < 2 * mark + 3 * edge || safe.height < 2 * band + px(least_cell, m_ground.ppi))
            return std::nullopt;
        m_sheet.marks = {Mark{0, {safe.x, safe.y, mark, mark}}, Mark{0, {safe.right() - mark, safe.y, mark, mark}},
                         Mark{0, {safe.right() - mark, safe.bottom() - mark, mark, mark}},
                         Mark{0, {safe.x, safe.bottom() - mark, mark, mark}}};
        const PixelRect between_upper{safe.x + mark + m_gap, safe.y, safe.width - 2 * (mark + m_gap), band};
        const PixelRect between_lower{between_upper.x, safe.bottom() - band, between_upper.width, band};
        const int upper_edges = 2 * (edge + m_gap);
        add_edges({between_upper.right() - upper_edges + m_gap, between_upper.y, upper_edges, band}, edge);
        add_edges_and_lines(between_lower, edge);
        const int top = add_patches({between_upper.x, between_upper.y, between_upper.width - upper_edges, band}, safe);
        const int cells_top = std::max(top, safe.y + mark) + 2 * m_gap;
        const PixelRect room{safe.x, cells_top, safe.width, safe.bottom() - band - m_gap - cells_top};
        if (!add_cells(room)) return std::nullopt;
        return std::move(m_sheet);
    }

  private:
    std::array<float, 3> code_of(const Lab& lab) const {
        std::array<float, 3> rgb = m_rgb_of(lab).value_or(std::array<float, 3>{});
        const float levels = static_cast<float>(m_levels);
        for (float& channel : rgb) channel = std::round(std::clamp(channel, 0.0F, 1.0F) * levels) / levels;
        return rgb;
    }

    void add(Rows& rows, Patch::Kind kind, std::string_view prefix, const std::vector<Lab>& wanted) {
        const int side = px(m_ground.least_patch, m_ground.ppi);
        int number = 0;
        for (Lab lab : wanted) {
            // A smaller file space holds the hue, less strong.
            while (!m_rgb_of(lab) && std::hypot(lab.a, lab.b) > 1) {
                lab.a *= 0.95;
                lab.b *= 0.95;
            }
            Patch patch;
            patch.name = std::string(prefix) + std::to_string(++number);
            patch.kind = kind;
            patch.rect = place(rows, side, kind == Patch::Kind::near_grey ? patch.name : "");
            patch.rgb = code_of(lab);
            patch.lab = m_lab_of(patch.rgb);
            m_sheet.patches.push_back(std::move(patch));
        }
    }

    /// A patch that is asked for by name has it above.
    PixelRect place(Rows& rows, int side, const std::string& name) {
        if (name.empty()) return rows.next(side, side);
        const int label = px(label_height, m_ground.ppi);
        const PixelRect whole = rows.next(side, label + side);
        m_sheet.captions.push_back({{whole.x, whole.y, side, label}, name});
        return {whole.x, whole.y + label, side, side};
    }

    /// The wedge begins between the upper marks; the rest follows below. Returns where the patches end.
    int add_patches(PixelRect between, PixelRect safe) {
        Rows beside(between, m_gap / 2);
        add(beside, Patch::Kind::grey, "W", wedge());
        const int below = std::max(beside.bottom(), safe.y + m_sheet.marks[0].rect.height) + m_gap;
        Rows rows({safe.x, below, safe.width, safe.height}, m_gap / 2);
        add(rows, Patch::Kind::near_grey, "G", near_greys());
        rows.new_row();
        add(rows, Patch::Kind::colour, "P", colours());
        return rows.bottom();
    }

    /// One of each direction; those above and below tell whether the sheet lay flat.
    int add_edges(PixelRect room, int side) {
        const float dark = code_of({35, 0, 0})[0];
        const float light = code_of({75, 0, 0})[0];
        int x = room.x;
        for (const bool is_vertical : {true, false}) {
            m_sheet.edges.push_back({{x, room.y, side, side}, 5, is_vertical, dark, light});
            x += side + m_gap;
        }
        return x;
    }

    void add_edges_and_lines(PixelRect room, int side) {
        const int x = add_edges(room, side);
        Rows rows({x, room.y, room.right() - x, room.height}, m_gap);
        const int widest = std::max(4, px(Millimetres{0.4}, m_ground.ppi));
        for (int width = 1; width <= widest; width *= 2) {
            for (const bool are_vertical : {true, false}) {
                const PixelRect rect = rows.next(side / 2, side / 2);
                if (rect.bottom() > room.bottom()) return;
                m_sheet.lines.push_back({rect, width, are_vertical});
            }
        }
        const PixelRect words = rows.next(3 * side, px(caption_height, m_ground.ppi));
        if (words.right() <= room.right() && words.bottom() <= room.bottom()) m_sheet.captions.push_back({words, ""});
    }

    /// As many cells as have room, up to `most_cells`, as large as they may then be.
    bool add_cells(PixelRect room) {
        const int label = px(caption_height, m_ground.ppi);
        const int least = px(least_cell, m_ground.ppi);
        const auto fits = [&](int side) {
            const int across = (room.width + m_gap) / (side + m_gap);
            const int down = (room.height + m_gap) / (side + label + m_gap);
            return std::max(0, across) * std::max(0, down);
        };
        if (fits(least) < least_cells) return false;
        const int count = std::min(fits(least), most_cells);
        int side = least;
        while (side < px(largest_cell, m_ground.ppi) && fits(side + 1) >= count) ++side;
        const int across = (room.width + m_gap) / (side + m_gap);
        // What is left over stands between the columns.
        const int step = across > 1 ? (room.width - side) / (across - 1) : 0;
        for (int i = 0; i < count; ++i) {
            const int x = room.x + i % across * std::min(step, side + 3 * m_gap);
            const int y = room.y + i / across * (side + label + m_gap);
            const char letter = letters[static_cast<std::size_t>(i)];
            m_sheet.captions.push_back({{x, y, side, label}, std::string(1, letter)});
            m_sheet.cells.push_back({letter, {x, y + label, side, side}, {}});
        }
        return true;
    }

    const Ground& m_ground;
    int m_levels;
    const LabOf& m_lab_of;
    const RgbOf& m_rgb_of;
    int m_gap;
    Sheet m_sheet;
};

}  // namespace

std::optional<Sheet> laid_out(const Ground& ground, int levels, const LabOf& lab_of, const RgbOf& rgb_of) {
    return Layout(ground, levels, lab_of, rgb_of).laid_out();
}

}  // namespace hangtrue::trial

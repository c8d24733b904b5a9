// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Pages of text, plain shapes and small pictures: PDF for paper, PNG for the screen, from one drawing.
///
/// Lengths are millimetres from the page's upper left corner, x to the right and y downwards; text sizes are points
/// (1/72 in). Text is UTF-8; bytes that are none are shown as replacement marks, line breaks and control characters
/// as spaces. Set in Inter where it is installed, else in the system's sans serif. The same calls give the same
/// bytes on the same machine. One thread at a time per object; objects of different threads do not meet.

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/units.h"

namespace hangtrue::drawing {

inline constexpr base::SizeMm a4{{210}, {297}};

/// sRGB and opacity, each 0..1.
struct Colour {
    double red = 0, green = 0, blue = 0;
    double opacity = 1;
};
constexpr Colour grey(double value, double opacity = 1) { return {value, value, value, opacity}; }

struct Box {
    double x = 0, y = 0, width = 0, height = 0;  ///< mm
    constexpr double right() const { return x + width; }
    constexpr double bottom() const { return y + height; }
};

enum class Weight { regular, medium, semibold };
enum class Align { left, centre, right };
/// Figures as the font likes them; of one width, for tables; the same with a zero that is no O, for checksums.
enum class Figures { proportional, tabular, code };

struct TextStyle {
    double size_pt = 9;
    Weight weight = Weight::regular;
    Colour colour{};
    Align align = Align::left;
    double leading = 0.22;  ///< Between lines, as a share of the size, beyond the font's own line height.
    int most_lines = 0;     ///< More are cut, the last ending in an ellipsis; 0: as many as it takes.
    Figures figures = Figures::proportional;
    double tracking_pt = 0;  ///< Added between letters.
};

class Canvas {
  public:
    /// A document; `created` is "YYYY-MM-DD…" or empty, and is all that its metadata say of time.
    static Canvas pdf(base::SizeMm page, const std::string& title, const std::string& author, std::string_view created);
    /// One picture, white at first. Both throw WriteFailed where no font is installed.
    static Canvas png(base::SizeMm page, base::PixelsPerInch ppi);
    ~Canvas();
    Canvas(Canvas&&) noexcept;
    Canvas& operator=(Canvas&&) noexcept;

    /// Ends this page and begins another of the same size. PDF alone.
    void next_page();

    /// The height that `text` takes when wrapped in `width`: at words, and inside a word that is longer than a line.
    double height_of(std::string_view text, double width_mm, const TextStyle& style) const;
    /// The width of `text` on one line.
    double width_of(std::string_view text, const TextStyle& style) const;
    /// Draws `text` with its upper left corner (whatever its alignment) there; returns its height.
    double text(double x_mm, double y_mm, double width_mm, std::string_view text, const TextStyle& style);

    void fill(const Box& box, const Colour& colour);
    /// From `top` to `bottom`, evenly in the encoded values.
    void fill(const Box& box, const Colour& top, const Colour& bottom);
    /// All of `box` but `hole`, which lies inside.
    void fill_around(const Box& box, const Box& hole, const Colour& colour);
    /// The line's middle runs along the box.
    void outline(const Box& box, const Colour& colour, double thickness_mm);
    void line(double x0_mm, double y0_mm, double x1_mm, double y1_mm, const Colour& colour, double thickness_mm);

    /// Interleaved 8-bit sRGB, stretched over `box`; `rgb` holds 3 values a pixel.
    void picture(const Box& box, base::PixelSize size, std::span<const std::uint8_t> rgb);

    /// The whole document or picture as the bytes of its file. Nothing may be drawn after. Throws WriteFailed where
    /// something could not be drawn.
    std::vector<std::byte> finish();
    /// A picture's pixels instead of its file: 8-bit grey (the mean of the three channels), row by row.
    std::vector<std::uint8_t> finish_as_grey();

  private:
    struct State;
    explicit Canvas(std::unique_ptr<State> state);
    std::unique_ptr<State> m_state;
};

}  // namespace hangtrue::drawing

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the pages share: neutral greys, type sizes, and a sheet on which a layout may first be measured, then drawn.
/// Private to engine/report.

#include <string_view>

#include "engine/drawing/canvas.h"
#include "engine/report/small_picture.h"

namespace hangtrue::report {

inline constexpr drawing::Colour ink = drawing::grey(0.09);
inline constexpr drawing::Colour soft_ink = drawing::grey(0.40);
inline constexpr drawing::Colour hairline = drawing::grey(0.74);
inline constexpr drawing::Colour tint = drawing::grey(0.955);

inline constexpr drawing::TextStyle body{.size_pt = 9, .colour = ink, .leading = 0.18};
inline constexpr drawing::TextStyle strong{
    .size_pt = 9, .weight = drawing::Weight::medium, .colour = ink, .leading = 0.18};
inline constexpr drawing::TextStyle quiet{.size_pt = 8, .colour = soft_ink, .leading = 0.15};
inline constexpr drawing::TextStyle heading{.size_pt = 9.5, .weight = drawing::Weight::semibold, .colour = ink};

/// The line over a page, and its name below.
inline constexpr drawing::TextStyle page_label{
    .size_pt = 7.5, .weight = drawing::Weight::medium, .colour = soft_ink, .most_lines = 1, .tracking_pt = 0.5};
inline constexpr drawing::TextStyle page_title{
    .size_pt = 22, .weight = drawing::Weight::semibold, .colour = ink, .leading = 0, .most_lines = 1};

/// `style` aligned to the right, cut after `lines`, …
constexpr drawing::TextStyle aligned(drawing::TextStyle style, drawing::Align align) {
    style.align = align;
    return style;
}
constexpr drawing::TextStyle cut_after(drawing::TextStyle style, int lines) {
    style.most_lines = lines;
    return style;
}

/// Texts at a common scale; while it does not draw, it only tells heights.
class Sheet {
  public:
    Sheet(drawing::Canvas& canvas, double text_scale, bool draws)
        : m_canvas(canvas), m_text_scale(text_scale), m_draws(draws) {}

    /// The height of the text, drawn or not.
    double text(double x, double y, double width, std::string_view text, drawing::TextStyle style) {
        style.size_pt *= m_text_scale;
        style.tracking_pt *= m_text_scale;
        return m_draws ? m_canvas.text(x, y, width, text, style) : m_canvas.height_of(text, width, style);
    }
    double height_of(double width, std::string_view text, drawing::TextStyle style) const {
        style.size_pt *= m_text_scale;
        return m_canvas.height_of(text, width, style);
    }
    void fill(const drawing::Box& box, const drawing::Colour& colour) {
        if (m_draws) m_canvas.fill(box, colour);
    }
    void outline(const drawing::Box& box, const drawing::Colour& colour, double thickness_mm) {
        if (m_draws) m_canvas.outline(box, colour, thickness_mm);
    }
    void rule(double x, double y, double width, const drawing::Colour& colour, double thickness_mm) {
        if (m_draws) m_canvas.line(x, y, x + width, y, colour, thickness_mm);
    }
    void picture(const drawing::Box& box, const SmallPicture& picture) {
        if (m_draws) m_canvas.picture(box, picture.size, picture.rgb);
    }
    void fill_around(const drawing::Box& box, const drawing::Box& hole, const drawing::Colour& colour) {
        if (m_draws) m_canvas.fill_around(box, hole, colour);
    }
    /// A gap or another length that shrinks with the text.
    double scaled(double mm) const { return mm * m_text_scale; }

  private:
    drawing::Canvas& m_canvas;
    double m_text_scale;
    bool m_draws;
};

}  // namespace hangtrue::report

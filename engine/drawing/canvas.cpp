// SPDX-License-Identifier: Apache-2.0
#include "engine/drawing/canvas.h"

#include <cairo-pdf.h>
#include <cairo.h>
#include <pango/pangocairo.h>

#include <cassert>
#include <cmath>
#include <utility>

#include "engine/base/error.h"

namespace hangtrue::drawing {
namespace {

constexpr double points_per_mm = 72 / base::millimetres_per_inch;
constexpr const char* families = "Inter, Noto Sans, DejaVu Sans, Sans";

template <typename T, void (*release)(T*)>
struct Releasing {
    void operator()(T* object) const noexcept { release(object); }
};
void release_object(void* object) { g_object_unref(object); }

using Surface = std::unique_ptr<cairo_surface_t, Releasing<cairo_surface_t, cairo_surface_destroy>>;
using Pen = std::unique_ptr<cairo_t, Releasing<cairo_t, cairo_destroy>>;
using Pattern = std::unique_ptr<cairo_pattern_t, Releasing<cairo_pattern_t, cairo_pattern_destroy>>;
using Font = std::unique_ptr<PangoFontDescription, Releasing<PangoFontDescription, pango_font_description_free>>;
using Attributes = std::unique_ptr<PangoAttrList, Releasing<PangoAttrList, pango_attr_list_unref>>;
using FontOptions = std::unique_ptr<cairo_font_options_t, Releasing<cairo_font_options_t, cairo_font_options_destroy>>;

struct ReleasingObject {
    void operator()(void* object) const noexcept { release_object(object); }
};
using FontMap = std::unique_ptr<PangoFontMap, ReleasingObject>;
using Context = std::unique_ptr<PangoContext, ReleasingObject>;
using Layout = std::unique_ptr<PangoLayout, ReleasingObject>;

/// cairo calls this from C: nothing may be thrown through it.
cairo_status_t append_bytes(void* closure, const unsigned char* data, unsigned int length) noexcept {
    try {
        auto& bytes = *static_cast<std::vector<std::byte>*>(closure);
        const auto* const first = reinterpret_cast<const std::byte*>(data);
        bytes.insert(bytes.end(), first, first + length);
        return CAIRO_STATUS_SUCCESS;
    } catch (...) {
        return CAIRO_STATUS_NO_MEMORY;
    }
}

/// One valid line of UTF-8.
std::string cleaned(std::string_view text) {
    text = text.substr(0, text.find('\0'));
    const std::unique_ptr<char, Releasing<void, g_free>> valid(
        g_utf8_make_valid(text.data(), static_cast<gssize>(text.size())));
    std::string line(valid.get());
    for (char& letter : line) {
        if (static_cast<unsigned char>(letter) < 0x20 || letter == 0x7f) letter = ' ';
    }
    return line;
}

PangoWeight pango_weight(Weight weight) {
    switch (weight) {
        case Weight::regular: return PANGO_WEIGHT_NORMAL;
        case Weight::medium: return PANGO_WEIGHT_MEDIUM;
        case Weight::semibold: return PANGO_WEIGHT_SEMIBOLD;
    }
    return PANGO_WEIGHT_NORMAL;
}

PangoAlignment pango_alignment(Align align) {
    switch (align) {
        case Align::left: return PANGO_ALIGN_LEFT;
        case Align::centre: return PANGO_ALIGN_CENTER;
        case Align::right: return PANGO_ALIGN_RIGHT;
    }
    return PANGO_ALIGN_LEFT;
}

/// Without contextual forms: Inter would show the "x" of a file name's "36x24in" as a multiplication sign.
const char* features_of(Figures figures) {
    switch (figures) {
        case Figures::proportional: return "calt=0";
        case Figures::tabular: return "calt=0, tnum=1";
        case Figures::code: return "calt=0, tnum=1, zero=1";
    }
    return "calt=0";
}

int pango_units(double points) { return static_cast<int>(std::lround(points * PANGO_SCALE)); }

bool is_date(std::string_view text) {
    if (text.size() < 10) return false;
    for (std::size_t i = 0; i < 10; ++i) {
        const bool wants_dash = i == 4 || i == 7;
        if (wants_dash ? text[i] != '-' : (text[i] < '0' || text[i] > '9')) return false;
    }
    return true;
}

}  // namespace

struct Canvas::State {
    // Before the surface, which writes into it until it is finished.
    std::vector<std::byte> bytes;
    bool is_pdf = false;
    Surface surface;
    Pen pen;
    FontMap fonts;
    Context context;

    /// Draws in points from here on, whatever the surface's own units.
    void begin(cairo_surface_t* made, double units_per_point) {
        surface.reset(made);
        pen.reset(cairo_create(made));
        cairo_scale(pen.get(), units_per_point, units_per_point);
        fonts.reset(pango_cairo_font_map_new());
        context.reset(pango_font_map_create_context(fonts.get()));
        // Unhinted, so that text takes the same room on paper and on every screen.
        const FontOptions options(cairo_font_options_create());
        cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
        cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
        cairo_font_options_set_antialias(options.get(), CAIRO_ANTIALIAS_GRAY);
        pango_cairo_context_set_font_options(context.get(), options.get());
        pango_context_set_round_glyph_positions(context.get(), FALSE);
        pango_cairo_update_context(pen.get(), context.get());
        refuse_without_fonts();
    }

    /// Pango draws nothing at all where it finds no font: a ticket without a word on it.
    void refuse_without_fonts() const {
        const Layout layout = layout_of("printed as it is 0123456789", -1, {});
        if (pango_layout_get_unknown_glyphs_count(layout.get()) > 0) {
            throw base::WriteFailed(
                "No page with text can be drawn: no font is installed. Install the package fonts-inter.");
        }
    }

    Layout layout_of(std::string_view text, double width_mm, const TextStyle& style) const {
        Layout layout(pango_layout_new(context.get()));
        const std::string line = cleaned(text);
        pango_layout_set_text(layout.get(), line.data(), static_cast<int>(line.size()));
        const Font font(pango_font_description_new());
        pango_font_description_set_family_static(font.get(), families);
        pango_font_description_set_weight(font.get(), pango_weight(style.weight));
        pango_font_description_set_absolute_size(font.get(), style.size_pt * PANGO_SCALE);
        pango_layout_set_font_description(layout.get(), font.get());
        pango_layout_set_alignment(layout.get(), pango_alignment(style.align));
        pango_layout_set_spacing(layout.get(), pango_units(style.size_pt * style.leading));
        const Attributes attributes(pango_attr_list_new());
        pango_attr_list_insert(attributes.get(), pango_attr_font_features_new(features_of(style.figures)));
        if (style.tracking_pt != 0) {
            pango_attr_list_insert(attributes.get(), pango_attr_letter_spacing_new(pango_units(style.tracking_pt)));
        }
        pango_layout_set_attributes(layout.get(), attributes.get());
        if (width_mm >= 0) {
            pango_layout_set_width(layout.get(), pango_units(width_mm * points_per_mm));
            pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
            if (style.most_lines > 0) {
                pango_layout_set_height(layout.get(), -style.most_lines);
                pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
            }
        }
        return layout;
    }

    void set(const Colour& colour) const {
        cairo_set_source_rgba(pen.get(), colour.red, colour.green, colour.blue, colour.opacity);
    }

    void add(const Box& box) const {
        cairo_rectangle(pen.get(), box.x * points_per_mm, box.y * points_per_mm, box.width * points_per_mm,
                        box.height * points_per_mm);
    }
};

Canvas::Canvas(std::unique_ptr<State> state) : m_state(std::move(state)) {}
Canvas::~Canvas() = default;
Canvas::Canvas(Canvas&&) noexcept = default;
Canvas& Canvas::operator=(Canvas&&) noexcept = default;

Canvas Canvas::pdf(base::SizeMm page, const std::string& title, const std::string& author, std::string_view created) {
    auto state = std::make_unique<State>();
    state->is_pdf = true;
    cairo_surface_t* const surface = cairo_pdf_surface_create_for_stream(
        append_bytes, &state->bytes, page.width.value * points_per_mm, page.height.value * points_per_mm);
    state->begin(surface, 1);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, cleaned(title).c_str());
    if (!author.empty()) cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, cleaned(author).c_str());
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Hangtrue");
    // Without a date given, cairo writes the moment: the same page would have other bytes a second later.
    const std::string date = is_date(created) ? std::string(created.substr(0, 10)) : "2000-01-01";
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, (date + "T00:00:00Z").c_str());
    return Canvas(std::move(state));
}

Canvas Canvas::png(base::SizeMm page, base::PixelsPerInch ppi) {
    auto state = std::make_unique<State>();
    const auto side = [&](base::Millimetres length) {
        return static_cast<int>(std::lround(base::pixels(length, ppi)));
    };
    state->begin(cairo_image_surface_create(CAIRO_FORMAT_RGB24, side(page.width), side(page.height)), ppi.value / 72);
    cairo_set_source_rgb(state->pen.get(), 1, 1, 1);
    cairo_paint(state->pen.get());
    return Canvas(std::move(state));
}

void Canvas::next_page() {
    assert(m_state->is_pdf);
    cairo_show_page(m_state->pen.get());
}

double Canvas::height_of(std::string_view text, double width_mm, const TextStyle& style) const {
    const Layout layout = m_state->layout_of(text, width_mm, style);
    int height = 0;
    pango_layout_get_size(layout.get(), nullptr, &height);
    return height / static_cast<double>(PANGO_SCALE) / points_per_mm;
}

double Canvas::width_of(std::string_view text, const TextStyle& style) const {
    const Layout layout = m_state->layout_of(text, -1, style);
    int width = 0;
    pango_layout_get_size(layout.get(), &width, nullptr);
    return width / static_cast<double>(PANGO_SCALE) / points_per_mm;
}

double Canvas::text(double x_mm, double y_mm, double width_mm, std::string_view text, const TextStyle& style) {
    const Layout layout = m_state->layout_of(text, width_mm, style);
    m_state->set(style.colour);
    cairo_move_to(m_state->pen.get(), x_mm * points_per_mm, y_mm * points_per_mm);
    pango_cairo_show_layout(m_state->pen.get(), layout.get());
    int height = 0;
    pango_layout_get_size(layout.get(), nullptr, &height);
    return height / static_cast<double>(PANGO_SCALE) / points_per_mm;
}

void Canvas::fill(const Box& box, const Colour& colour) {
    m_state->set(colour);
    m_state->add(box);
    cairo_fill(m_state->pen.get());
}

void Canvas::fill(const Box& box, const Colour& top, const Colour& bottom) {
    const Pattern pattern(cairo_pattern_create_linear(0, box.y * points_per_mm, 0, box.bottom() * points_per_mm));
    cairo_pattern_add_color_stop_rgba(pattern.get(), 0, top.red, top.green, top.blue, top.opacity);
    cairo_pattern_add_color_stop_rgba(pattern.get(), 1, bottom.red, bottom.green, bottom.blue, bottom.opacity);
    cairo_set_source(m_state->pen.get(), pattern.get());
    m_state->add(box);
    cairo_fill(m_state->pen.get());
}

void Canvas::fill_around(const Box& box, const Box& hole, const Colour& colour) {
    m_state->set(colour);
    m_state->add(box);
    m_state->add(hole);
    cairo_set_fill_rule(m_state->pen.get(), CAIRO_FILL_RULE_EVEN_ODD);
    cairo_fill(m_state->pen.get());
    cairo_set_fill_rule(m_state->pen.get(), CAIRO_FILL_RULE_WINDING);
}

void Canvas::outline(const Box& box, const Colour& colour, double thickness_mm) {
    m_state->set(colour);
    cairo_set_line_width(m_state->pen.get(), thickness_mm * points_per_mm);
    m_state->add(box);
    cairo_stroke(m_state->pen.get());
}

void Canvas::line(double x0_mm, double y0_mm, double x1_mm, double y1_mm, const Colour& colour, double thickness_mm) {
    m_state->set(colour);
    cairo_set_line_width(m_state->pen.get(), thickness_mm * points_per_mm);
    cairo_move_to(m_state->pen.get(), x0_mm * points_per_mm, y0_mm * points_per_mm);
    cairo_line_to(m_state->pen.get(), x1_mm * points_per_mm, y1_mm * points_per_mm);
    cairo_stroke(m_state->pen.get());
}

void Canvas::picture(const Box& box, base::PixelSize size, std::span<const std::uint8_t> rgb) {
    assert(size.width > 0 && size.height > 0 && std::cmp_equal(rgb.size(), size.count() * 3));
    const Surface image(cairo_image_surface_create(CAIRO_FORMAT_RGB24, size.width, size.height));
    unsigned char* const pixels = cairo_image_surface_get_data(image.get());
    if (pixels == nullptr) throw base::WriteFailed("A small picture could not be drawn: there is too little memory.");
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(image.get()));
    for (std::size_t y = 0; y < static_cast<std::size_t>(size.height); ++y) {
        // Rows are aligned to four bytes; a pixel is a native-endian word 0x00RRGGBB.
        auto* const row = reinterpret_cast<std::uint32_t*>(pixels + y * stride);
        const auto* const source = rgb.data() + y * static_cast<std::size_t>(size.width) * 3;
        for (std::size_t x = 0; x < static_cast<std::size_t>(size.width); ++x) {
            row[x] = std::uint32_t{source[3 * x]} << 16 | std::uint32_t{source[3 * x + 1]} << 8 | source[3 * x + 2];
        }
    }
    cairo_surface_mark_dirty(image.get());
    cairo_t* const pen = m_state->pen.get();
    cairo_save(pen);
    m_state->add(box);
    cairo_clip(pen);
    cairo_translate(pen, box.x * points_per_mm, box.y * points_per_mm);
    cairo_scale(pen, box.width * points_per_mm / size.width, box.height * points_per_mm / size.height);
    cairo_set_source_surface(pen, image.get(), 0, 0);
    // GOOD averages when reducing; PAD keeps the page's white from mixing into the outermost pixels.
    cairo_pattern_set_filter(cairo_get_source(pen), CAIRO_FILTER_GOOD);
    cairo_pattern_set_extend(cairo_get_source(pen), CAIRO_EXTEND_PAD);
    cairo_paint(pen);
    cairo_restore(pen);
}

std::vector<std::byte> Canvas::finish() {
    const auto check = [](cairo_status_t status) {
        if (status != CAIRO_STATUS_SUCCESS) {
            throw base::WriteFailed(std::string("A page could not be drawn: ") + cairo_status_to_string(status) + ".");
        }
    };
    check(cairo_status(m_state->pen.get()));
    if (m_state->is_pdf) {
        cairo_show_page(m_state->pen.get());
        cairo_surface_finish(m_state->surface.get());
    } else {
        check(cairo_surface_write_to_png_stream(m_state->surface.get(), append_bytes, &m_state->bytes));
    }
    check(cairo_surface_status(m_state->surface.get()));
    return std::move(m_state->bytes);
}

std::vector<std::uint8_t> Canvas::finish_as_grey() {
    assert(!m_state->is_pdf);
    cairo_surface_t* const surface = m_state->surface.get();
    cairo_surface_flush(surface);
    if (cairo_status(m_state->pen.get()) != CAIRO_STATUS_SUCCESS) {
        throw base::WriteFailed("A page could not be drawn.");
    }
    const int width = cairo_image_surface_get_width(surface);
    const int height = cairo_image_surface_get_height(surface);
    std::vector<std::uint8_t> grey;
    grey.reserve(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    for (int y = 0; y < height; ++y) {
        const unsigned char* pixel =
            cairo_image_surface_get_data(surface) + std::ptrdiff_t{y} * cairo_image_surface_get_stride(surface);
        for (int x = 0; x < width; ++x, pixel += 4) {
            // Four bytes a pixel, the three colours the lower ones on this machine (little-endian).
            grey.push_back(static_cast<std::uint8_t>((pixel[0] + pixel[1] + pixel[2] + 1) / 3));
        }
    }
    return grey;
}

}  // namespace hangtrue::drawing

#if defined(__SANITIZE_ADDRESS__)
// fontconfig keeps its first thread's default settings until the process ends: 288 bytes, once.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() { return "leak:libfontconfig\n"; }
#endif

// SPDX-License-Identifier: Apache-2.0
#include "engine/report/detail_page.h"

#include <algorithm>
#include <cmath>

#include "engine/base/units_text.h"
#include "engine/report/page_style.h"
#include "engine/report/words.h"

namespace hangtrue::report {
namespace {

using drawing::Align;
using drawing::Box;
using drawing::Canvas;
using drawing::TextStyle;

constexpr double left = 20;
constexpr double width = 170;
constexpr double top = 16;
constexpr double most_picture_height = 96;
constexpr double plot_height = 52;
constexpr double gap = 12;
constexpr double faintest = 0.1;  // Of 255 steps: what the plot begins with.
constexpr double spectrum_width = 104;
constexpr double noise_width = width - spectrum_width - gap;

constexpr TextStyle figure{.size_pt = 7, .colour = soft_ink, .most_lines = 1, .figures = drawing::Figures::tabular};
constexpr TextStyle mark{.size_pt = 8, .weight = drawing::Weight::medium, .colour = ink, .most_lines = 1};

/// The picture with its sharpest parts outlined; the height it takes.
double draw_picture(Canvas& canvas, const DetailPage& page, double y) {
    const auto pixels_high = static_cast<double>(page.picture.size.height);
    const auto pixels_wide = static_cast<double>(page.picture.size.width);
    const double scale = std::min(width / pixels_wide, most_picture_height / pixels_high);
    const Box box{left, y, pixels_wide * scale, pixels_high * scale};
    canvas.picture(box, page.picture.size, page.picture.rgb);
    for (const base::RealRect& part : page.sharpest) {
        const Box place{box.x + part.x * box.width, box.y + part.y * box.height, part.width * box.width,
                        part.height * box.height};
        canvas.outline(place, drawing::grey(1), 0.9);
        canvas.outline(place, ink, 0.3);
    }
    return box.height;
}

/// Strength (the root of the power) over frequency, in steps of ten.
void draw_spectrum(Canvas& canvas, const DetailPage& page, double y) {
    canvas.text(left, y, spectrum_width, "Structure and noise, from coarse to fine", heading);
    const Box plot{left + 10, y + 7, spectrum_width - 10, plot_height};
    const auto strength = [](double power) { return std::max(std::sqrt(std::max(power, 0.0)), faintest); };
    double least = 1e9;
    double most = 1;
    for (const auto& point : page.spectrum) {
        for (const double power : {point.power, point.noise}) {
            least = std::min(least, strength(power));
            most = std::max(most, strength(power));
        }
    }
    const double low = std::floor(std::log10(least));
    const double high = std::max(std::ceil(std::log10(most)), low + 1);
    const auto across = [&](double frequency) { return plot.x + frequency / 0.5 * plot.width; };
    const auto up = [&](double power) {
        const double share = (std::log10(strength(power)) - low) / (high - low);
        return plot.bottom() - std::clamp(share, 0.0, 1.0) * plot.height;
    };
    for (double decade = low; decade <= high; ++decade) {
        const double line_y = plot.bottom() - (decade - low) / (high - low) * plot.height;
        canvas.line(plot.x, line_y, plot.right(), line_y, hairline, 0.12);
        canvas.text(left, line_y - 1.5, 9, base::number_text(std::pow(10, decade), 3), aligned(figure, Align::right));
    }
    for (const double frequency : {0.0, 0.1, 0.2, 0.3, 0.4, 0.5}) {
        canvas.line(across(frequency), plot.bottom(), across(frequency), plot.bottom() + 1, hairline, 0.12);
        canvas.text(across(frequency) - 6, plot.bottom() + 1.4, 12, base::number_text(frequency, 1),
                    aligned(figure, Align::centre));
    }
    for (std::size_t i = 1; i < page.spectrum.size(); ++i) {
        const auto& a = page.spectrum[i - 1];
        const auto& b = page.spectrum[i];
        canvas.line(across(a.cycles_per_px), up(a.noise), across(b.cycles_per_px), up(b.noise), drawing::grey(0.55),
                    0.35);
        canvas.line(across(a.cycles_per_px), up(a.power), across(b.cycles_per_px), up(b.power), ink, 0.5);
    }
    if (page.cycles_per_px > 0) {
        const double x = across(page.cycles_per_px);
        canvas.line(x, plot.y, x, plot.bottom(), ink, 0.25);
        const bool to_left = page.cycles_per_px > 0.25;
        canvas.text(to_left ? x - 41 : x + 1, plot.y + 0.5, 40,
                    base::number_text(page.cycles_per_px, 2) + " cycles a pixel",
                    aligned(mark, to_left ? Align::right : Align::left));
    }
    canvas.text(
        left, plot.bottom() + 6, spectrum_width,
        "Dark: how strong structure is in the sharpest parts (of 255 steps), by cycles a pixel. Grey: what of it is "
        "noise. Structure counts as far as it stands above.",
        quiet);
}

void draw_noise(Canvas& canvas, const DetailPage& page, double y) {
    const double x0 = left + spectrum_width + gap;
    canvas.text(x0, y, noise_width, "Noise by brightness", heading);
    const Box plot{x0 + 6, y + 7, noise_width - 6, plot_height};
    double most = 1;
    for (const auto& point : page.noise) most = std::max(most, std::ceil(point.sd_8bit));
    const double step = most > 4 ? std::ceil(most / 4) : (most > 1 ? 1 : 0.5);
    for (double value = 0; value <= most + 1e-9; value += step) {
        const double line_y = plot.bottom() - value / most * plot.height;
        canvas.line(plot.x, line_y, plot.right(), line_y, hairline, 0.12);
        canvas.text(x0, line_y - 1.5, 4.6, base::number_text(value, 1), aligned(figure, Align::right));
    }
    const double bar = plot.width / 8 * 0.6;
    for (const auto& point : page.noise) {
        const double height = point.sd_8bit / most * plot.height;
        const double x = plot.x + point.luminance / 255 * plot.width;
        canvas.fill({x - bar / 2, plot.bottom() - std::max(height, 0.3), bar, std::max(height, 0.3)},
                    drawing::grey(0.45));
    }
    canvas.text(plot.x, plot.bottom() + 1.4, plot.width / 2, "dark", figure);
    canvas.text(plot.x + plot.width / 2, plot.bottom() + 1.4, plot.width / 2, "light", aligned(figure, Align::right));
    canvas.text(x0, plot.bottom() + 6, noise_width, "Standard deviation, of 255 steps.", quiet);
}

void draw_page(Canvas& canvas, const DetailPage& detail) {
    Sheet page(canvas, 1, /*draws=*/true);
    page.text(left, top, width / 2, "Detail", page_label);
    page.text(left + width / 2, top, width / 2, date_words(detail.made_on), aligned(page_label, Align::right));
    page.rule(left, top + 5, width, ink, 0.3);
    double y = top + 10;
    y += page.text(left, y, width, detail.picture_name, page_title) + 1;
    y += page.text(left, y, width,
                   detail.file_name + ", " + std::to_string(detail.pixels.width) + " x " +
                       std::to_string(detail.pixels.height) + " px",
                   cut_after(quiet, 1)) +
         5;
    if (detail.picture.size.width > 0) {
        y += draw_picture(canvas, detail, y) + 1.5;
        if (!detail.sharpest.empty())
            y += page.text(left, y, width, "Outlined: the sharpest parts, which the figures rest on.", quiet);
        y += 5;
    }
    for (std::size_t i = 0; i < detail.sentences.size(); ++i)
        y += page.text(left, y, width, detail.sentences[i], i == 0 ? strong : body) + 1.4;
    y += 4;
    if (!detail.spectrum.empty()) draw_spectrum(canvas, detail, y);
    if (detail.noise.size() > 1) draw_noise(canvas, detail, y);
}

}  // namespace

void write_detail_pages(const std::vector<DetailPage>& pages, const std::filesystem::path& name,
                        base::OutputFile::Existing existing, base::Faults& faults) {
    Canvas canvas = Canvas::pdf(drawing::a4, "Detail", "", pages.front().made_on);
    for (std::size_t i = 0; i < pages.size(); ++i) {
        if (i > 0) canvas.next_page();
        draw_page(canvas, pages[i]);
    }
    base::write_whole_file(name, canvas.finish(), existing, faults);
}

}  // namespace hangtrue::report

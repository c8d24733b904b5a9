// SPDX-License-Identifier: Apache-2.0
#include "engine/report/ticket.h"

#include <algorithm>
#include <array>
#include <utility>

#include "engine/base/units_text.h"
#include "engine/report/page_style.h"
#include "engine/report/ticket_page.h"
#include "engine/report/words.h"

namespace hangtrue::report {
namespace {

using drawing::Align;
using drawing::Box;
using drawing::Colour;
using drawing::TextStyle;

constexpr double page_left = 20;
constexpr double page_width = 170;
constexpr double page_top = 16;
constexpr double column_gap = 9;
constexpr double column_width = (page_width - column_gap) / 2;
constexpr double right_column = page_left + column_width + column_gap;

/// How much a layout gives way to long texts. The last one is bounded: it fits whatever the texts are.
struct Fit {
    double text_scale;
    double picture_height;
    int title_lines, value_lines, item_lines, paragraph_lines;
    std::size_t most_choices;
};
constexpr std::array<Fit, 7> fits = {{
    {1.00, 78, 2, 4, 4, 12, 40},
    {0.95, 70, 2, 4, 3, 10, 40},
    {0.90, 62, 2, 3, 3, 9, 40},
    {0.85, 56, 2, 3, 2, 8, 30},
    {0.80, 50, 2, 2, 2, 7, 26},
    {0.75, 44, 1, 2, 1, 6, 24},
    {0.70, 38, 1, 2, 1, 5, 20},
}};

class TicketPage {
  public:
    TicketPage(drawing::Canvas& canvas, const Ticket& ticket, const Fit& fit, bool draws)
        : m_sheet(canvas, fit.text_scale, draws), m_ticket(ticket), m_fit(fit) {}

    /// Where the text ends.
    double lay_out() {
        add_head();
        add_picture_and_facts();
        add_promise();
        add_file();
        add_order();
        add_work();
        add_foot();
        return m_y;
    }

  private:
    void add_head() {
        std::string record = date_words(m_ticket.made_on);
        if (m_ticket.ledger_id > 0)
            record = "Record " + std::to_string(m_ticket.ledger_id) + (record.empty() ? "" : ", ") + record;
        m_sheet.text(page_left, page_top, page_width / 2, "Ticket for the print shop", page_label);
        m_sheet.text(page_left + page_width / 2, page_top, page_width / 2, record, aligned(page_label, Align::right));
        m_sheet.rule(page_left, page_top + 5, page_width, ink, 0.3);
        m_y = page_top + 5 + m_sheet.scaled(5);
        m_y +=
            m_sheet.text(page_left, m_y, page_width, m_ticket.picture_name, cut_after(page_title, m_fit.title_lines));
        m_y += m_sheet.scaled(1);
        constexpr TextStyle subtitle{.size_pt = 11.5, .colour = soft_ink};
        m_y += m_sheet.text(page_left, m_y, page_width, what_it_is(), cut_after(subtitle, m_fit.title_lines));
        m_y += m_sheet.scaled(6);
    }

    std::string what_it_is() const {
        std::string text = m_ticket.finished_size;
        if (!m_ticket.medium_name.empty()) text += " on " + m_ticket.medium_name;
        if (!m_ticket.shop_name.empty()) text += ", " + m_ticket.shop_name;
        return text;
    }

    void add_picture_and_facts() {
        const double picture_end = add_picture();
        const double facts_end = add_facts();
        m_y = std::max(picture_end, facts_end) + m_sheet.scaled(6.5);
    }

    double add_picture() {
        const auto& picture = m_ticket.picture;
        if (picture.size.width <= 0 || picture.size.height <= 0) return m_y;
        const double scale = std::min(column_width / picture.size.width, m_fit.picture_height / picture.size.height);
        const Box whole{page_left, m_y, picture.size.width * scale, picture.size.height * scale};
        m_sheet.picture(whole, picture);
        const double left = std::clamp(m_ticket.crop.x, 0.0, 1.0);
        const double top = std::clamp(m_ticket.crop.y, 0.0, 1.0);
        const double right = std::clamp(m_ticket.crop.x + m_ticket.crop.width, left, 1.0);
        const double bottom = std::clamp(m_ticket.crop.y + m_ticket.crop.height, top, 1.0);
        const Box crop{whole.x + left * whole.width, whole.y + top * whole.height, (right - left) * whole.width,
                       (bottom - top) * whole.height};
        // Outside is paler and the line round the crop is dark on light: seen on any picture, with or without colour.
        m_sheet.fill_around(whole, crop, drawing::grey(1, 0.72));
        const bool is_whole = crop.width > 0.999 * whole.width && crop.height > 0.999 * whole.height;
        if (!is_whole) m_sheet.outline(crop, drawing::grey(1), 0.9);
        m_sheet.outline(crop, ink, is_whole ? 0.15 : 0.4);
        const std::string caption = is_whole ? "The whole picture is printed." : "The outlined part is printed.";
        return whole.bottom() + 1.6 + m_sheet.text(page_left, whole.bottom() + 1.6, column_width, caption, quiet);
    }

    double add_facts() {
        double y = m_y - m_sheet.scaled(0.6);
        constexpr double label_width = 24;
        const auto add = [&](const char* label, const std::string& value) {
            if (value.empty()) return;
            const double label_height = m_sheet.text(right_column, y + m_sheet.scaled(0.35), label_width, label, quiet);
            const double height = m_sheet.text(right_column + label_width, y, column_width - label_width, value,
                                               cut_after(strong, m_fit.value_lines));
            y += std::max(height, label_height) + m_sheet.scaled(1.4);
            m_sheet.rule(right_column, y, column_width, hairline, 0.12);
            y += m_sheet.scaled(1.4);
        };
        add("Quantity", counted(m_ticket.quantity, "print", "prints"));
        if (m_ticket.panels > 1) {
            add("Panel",
                std::to_string(m_ticket.panel) + " of " + std::to_string(m_ticket.panels) + ", counted from the left");
        }
        add("Finished size", m_ticket.finished_size);
        if (m_ticket.file_size != m_ticket.finished_size) add("File covers", m_ticket.file_size);
        add("On the form", m_ticket.size_name);
        add("Process", m_ticket.process);
        add("Resolution", base::number_text(m_ticket.ppi, 2) + " ppi");
        add("Pixels", base::count_text(m_ticket.pixels.width) + " x " + base::count_text(m_ticket.pixels.height));
        add("Edges", m_ticket.edges);
        return y;
    }

    void add_promise() {
        constexpr TextStyle loud{.size_pt = 13, .weight = drawing::Weight::semibold, .colour = ink};
        const std::string_view advice =
            "Please switch off every automatic correction. Should anything not fit, ask before printing.";
        std::string words = promise;
        words.front() = 'P';
        words += ".";
        const double inset = 5;
        const double width = page_width - 2 * inset;
        const double height = m_sheet.scaled(4) + m_sheet.height_of(width, words, loud) + m_sheet.scaled(0.8) +
                              m_sheet.height_of(width, advice, quiet) + m_sheet.scaled(4);
        m_sheet.fill({page_left, m_y, page_width, height}, tint);
        m_sheet.fill({page_left, m_y, 1.2, height}, ink);
        double y = m_y + m_sheet.scaled(4);
        y += m_sheet.text(page_left + inset, y, width, words, loud) + m_sheet.scaled(0.8);
        m_sheet.text(page_left + inset, y, width, advice, quiet);
        m_y += height + m_sheet.scaled(6.5);
    }

    void add_file() {
        m_y += m_sheet.text(page_left, m_y, page_width, "The file", heading) + m_sheet.scaled(1.6);
        constexpr TextStyle name{.size_pt = 10.5, .weight = drawing::Weight::medium, .colour = ink};
        m_y += m_sheet.text(page_left, m_y, page_width, m_ticket.file_name, cut_after(name, 2)) + m_sheet.scaled(0.8);
        std::string facts;
        for (const std::string& fact :
             {m_ticket.format, m_ticket.colour_space,
              base::bytes_text(m_ticket.bytes) + " (" + base::count_text(m_ticket.bytes) + " bytes)"}) {
            if (!facts.empty() && !fact.empty()) facts += " \u00b7 ";
            facts += fact;
        }
        m_y += m_sheet.text(page_left, m_y, page_width, facts, cut_after(body, 2)) + m_sheet.scaled(2);
        m_y = add_checksum() + m_sheet.scaled(6.5);
    }

    /// Two rows of eight groups of eight: compared by eye, group by group.
    double add_checksum() {
        constexpr TextStyle figures{
            .size_pt = 8.5, .colour = ink, .most_lines = 1, .figures = drawing::Figures::code, .tracking_pt = 0.3};
        constexpr double label_width = 22;
        constexpr std::size_t group = 8, groups_a_row = 8;
        constexpr double group_width = (page_width - label_width) / groups_a_row;
        m_sheet.text(page_left, m_y + m_sheet.scaled(0.1), label_width, "SHA-256", quiet);
        double y = m_y;
        for (std::size_t first = 0; first < m_ticket.sha256.size() && first < 64; first += group * groups_a_row) {
            double height = 0;
            for (std::size_t i = 0; i < groups_a_row && first + i * group < m_ticket.sha256.size(); ++i) {
                height = m_sheet.text(page_left + label_width + static_cast<double>(i) * group_width, y, group_width,
                                      std::string_view(m_ticket.sha256).substr(first + i * group, group), figures);
            }
            y += height + m_sheet.scaled(0.8);
        }
        return y;
    }

    void add_order() {
        const bool has_choices = !m_ticket.order_choices.empty();
        const double note_x = has_choices ? right_column : page_left;
        const double note_end = add_note(note_x, has_choices ? column_width : page_width);
        const double choices_end = has_choices ? add_choices() : m_y;
        m_y = std::max(note_end, choices_end) + m_sheet.scaled(6.5);
    }

    double add_note(double x, double width) {
        const std::string note = order_note(m_ticket);
        const std::string count =
            std::to_string(character_count(note)) + " of " + std::to_string(most_note_characters) + " characters";
        double y = m_y;
        m_sheet.text(x, y + m_sheet.scaled(0.4), width, count, aligned(quiet, Align::right));
        y += m_sheet.text(x, y, width, "Note for the order form", heading) + m_sheet.scaled(1.6);
        const double inset = 3;
        const double height = m_sheet.height_of(width - 2 * inset, note, body) + 2 * inset;
        m_sheet.outline({x, y, width, height}, ink, 0.25);
        m_sheet.text(x + inset, y + inset, width - 2 * inset, note, body);
        return y + height;
    }

    double add_choices() {
        double y = m_y + m_sheet.text(page_left, m_y, column_width, "To choose on the order form", heading) +
                   m_sheet.scaled(1.6);
        return add_list(page_left, y, m_ticket.order_choices, m_fit.most_choices);
    }

    /// Items, each with an empty box to tick.
    double add_list(double x, double y, const std::vector<std::string>& items, std::size_t most) {
        const double indent = m_sheet.scaled(5);
        const std::size_t shown = items.size() <= most ? items.size() : most - 1;
        const auto add = [&](std::string_view text, const TextStyle& style) {
            y += m_sheet.text(x + indent, y, column_width - indent, text, style) + m_sheet.scaled(1.2);
        };
        for (std::size_t i = 0; i < shown; ++i) {
            const double side = m_sheet.scaled(2.5);
            m_sheet.outline({x + 0.15, y + m_sheet.scaled(0.75), side, side}, ink, 0.22);
            add(items[i], cut_after(body, m_fit.item_lines));
        }
        if (shown < items.size()) {
            add("and " + std::to_string(items.size() - shown) + " more: see the record in the ledger", quiet);
        }
        return y - m_sheet.scaled(1.2);
    }

    /// What was done to the pixels, side by side.
    void add_work() {
        double x = page_left;
        double end = m_y;
        const auto add = [&](std::string_view title, const std::string& words) {
            if (words.empty()) return;
            double y = m_y + m_sheet.text(x, m_y, column_width, title, heading) + m_sheet.scaled(1.6);
            y += m_sheet.text(x, y, column_width, words, cut_after(body, m_fit.paragraph_lines));
            end = std::max(end, y);
            x = right_column;
        };
        add("Sharpening in the file", m_ticket.sharpening);
        add("Enlarging", m_ticket.enlarging);
        if (!m_ticket.correction.empty() || !m_ticket.light.empty()) {
            if (end > m_y) m_y = end + m_sheet.scaled(2.4);
            x = page_left;
            add("Correction in the file", m_ticket.correction);
            add("Made for the light", m_ticket.light);
        }
        m_y = end;
    }

    void add_foot() {
        std::string words;
        const auto add = [&](const std::string& text) {
            if (text.empty()) return;
            if (!words.empty()) words += " \u00b7 ";
            words += text;
        };
        if (!m_ticket.author.empty()) add("Picture by " + m_ticket.author);
        add(m_ticket.copyright);
        add(m_ticket.picture_credit);
        constexpr double y = ticket_content_end_mm + 3;
        m_sheet.rule(page_left, y, page_width, hairline, 0.2);
        constexpr TextStyle foot{.size_pt = 7.5, .colour = soft_ink, .leading = 0.1, .most_lines = 2};
        m_sheet.text(page_left, y + 2, page_width, words, foot);
    }

    Sheet m_sheet;
    const Ticket& m_ticket;
    const Fit& m_fit;
    double m_y = page_top;
};

}  // namespace

double draw_ticket(drawing::Canvas& canvas, const Ticket& ticket) {
    const Fit* chosen = &fits.back();
    for (const Fit& fit : fits) {
        if (TicketPage(canvas, ticket, fit, /*draws=*/false).lay_out() <= ticket_content_end_mm) {
            chosen = &fit;
            break;
        }
    }
    return TicketPage(canvas, ticket, *chosen, /*draws=*/true).lay_out();
}

void write_ticket(const Ticket& ticket, const std::filesystem::path& name, base::OutputFile::Existing existing,
                  base::Faults& faults) {
    auto canvas = drawing::Canvas::pdf(drawing::a4, "Ticket: " + ticket.picture_name, ticket.author, ticket.made_on);
    draw_ticket(canvas, ticket);
    base::write_whole_file(name, canvas.finish(), existing, faults);
}

}  // namespace hangtrue::report

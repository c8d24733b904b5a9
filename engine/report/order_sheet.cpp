// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <string>

#include "engine/base/units_text.h"
#include "engine/report/page_style.h"
#include "engine/report/ticket.h"
#include "engine/report/words.h"

namespace hangtrue::report {
namespace {

using drawing::Align;
using drawing::Canvas;
using drawing::TextStyle;

constexpr double page_left = 20;
constexpr double page_width = 170;
constexpr double page_right = page_left + page_width;
constexpr double page_top = 16;
constexpr double page_end = 272;

struct Column {
    const char* title;
    double x, width;
    Align align;
};
constexpr Column quantity_column{"Quantity", page_left, 15, Align::left};
constexpr Column print_column{"Print", page_left + 18, 68, Align::left};
constexpr Column size_column{"Size", page_left + 90, 26, Align::left};
constexpr Column each_column{"Each", page_left + 118, 24, Align::right};
constexpr Column sum_column{"Sum", page_left + 144, 26, Align::right};

constexpr TextStyle figures{.size_pt = 9, .colour = ink, .most_lines = 2, .figures = drawing::Figures::tabular};
constexpr TextStyle column_title{
    .size_pt = 7.5, .weight = drawing::Weight::medium, .colour = soft_ink, .most_lines = 1};
constexpr TextStyle total_style{.size_pt = 12, .weight = drawing::Weight::semibold, .colour = ink};

std::optional<std::int64_t> sum_of(const OrderLine& line) {
    std::int64_t sum = 0;
    if (!line.price_cents || __builtin_mul_overflow(*line.price_cents, line.quantity, &sum)) return std::nullopt;
    return sum;
}

struct Totals {
    std::int64_t known_cents = 0;
    std::string missing;  ///< "the price of Ridge at dawn, 36x24in"; empty when all prices are known.
    int missing_count = 0;
    int prints = 0;
};

Totals totals_of(const OrderSheet& sheet) {
    Totals totals;
    for (const OrderLine& line : sheet.lines) {
        totals.prints += line.quantity;
        const auto sum = sum_of(line);
        if (sum && !__builtin_add_overflow(totals.known_cents, *sum, &totals.known_cents)) continue;
        if (totals.missing_count++ == 0) totals.missing = line.picture_name + ", " + line.size_name;
    }
    return totals;
}

class OrderPages {
  public:
    OrderPages(Canvas& canvas, const OrderSheet& order)
        : m_canvas(canvas), m_sheet(canvas, 1, /*draws=*/true), m_order(order) {}

    void draw() {
        add_head();
        for (const OrderLine& line : m_order.lines) add_line(line);
        add_totals();
        add_foot();
    }

  private:
    void add_head() {
        m_sheet.text(page_left, page_top, page_width / 2, "Order sheet", page_label);
        m_sheet.text(page_left + page_width / 2, page_top, page_width / 2, date_words(m_order.date),
                     aligned(page_label, Align::right));
        m_sheet.rule(page_left, page_top + 5, page_width, ink, 0.3);
        m_y = page_top + 10;
        constexpr TextStyle subtitle{.size_pt = 11.5, .colour = soft_ink, .most_lines = 1};
        if (m_page == 1) {
            m_y += m_sheet.text(page_left, m_y, page_width, m_order.shop_name, cut_after(page_title, 2)) + 1;
            m_y += m_sheet.text(page_left, m_y, page_width, summary(), subtitle) + 7;
        } else {
            m_y += m_sheet.text(page_left, m_y, page_width, m_order.shop_name + ", continued", subtitle) + 6;
        }
        for (const Column& column : {quantity_column, print_column, size_column, each_column, sum_column}) {
            m_sheet.text(column.x, m_y, column.width, column.title, aligned(column_title, column.align));
        }
        m_y += 4.5;
        m_sheet.rule(page_left, m_y, page_width, ink, 0.2);
        m_y += 2.6;
    }

    std::string summary() const {
        std::string text = counted(totals_of(m_order).prints, "print", "prints");
        if (m_order.days) text += ", made in about " + counted(*m_order.days, "day", "days");
        return text;
    }

    std::string choices_of(const OrderLine& line) const {
        std::string text;
        for (const std::string& choice : line.order_choices) text += (text.empty() ? "" : " \u00b7 ") + choice;
        return text;
    }

    /// A page is begun where `height` would run off this one.
    void make_room(double height) {
        if (m_y + height <= page_end) return;
        add_foot();
        m_canvas.next_page();
        ++m_page;
        add_head();
    }

    void add_line(const OrderLine& line) {
        const TextStyle name = cut_after(strong, 2);
        const TextStyle detail = cut_after(quiet, 3);
        const std::string choices = choices_of(line);
        const double choices_width = page_right - print_column.x;
        const double text_height = m_sheet.height_of(print_column.width, line.picture_name, name) +
                                   m_sheet.height_of(print_column.width, line.medium_name, detail) +
                                   m_sheet.height_of(print_column.width, line.file_name, detail);
        const double size_height = m_sheet.height_of(size_column.width, line.size_name, figures);
        const double choices_height = choices.empty() ? 0 : 0.8 + m_sheet.height_of(choices_width, choices, detail);
        const double height = std::max(text_height + 0.8, size_height) + choices_height + 2.6;
        make_room(height + 2.6);

        const auto cell = [&](const Column& column, const std::string& text) {
            m_sheet.text(column.x, m_y, column.width, text, aligned(figures, column.align));
        };
        cell(quantity_column, base::count_text(line.quantity) + " x");
        cell(size_column, line.size_name);
        cell(each_column, line.price_cents ? money_text(*line.price_cents, "") : "not known");
        const auto sum = sum_of(line);
        cell(sum_column, sum ? money_text(*sum, "") : "not known");
        double y = m_y;
        y += m_sheet.text(print_column.x, y, print_column.width, line.picture_name, name) + 0.4;
        y += m_sheet.text(print_column.x, y, print_column.width, line.medium_name, detail) + 0.4;
        m_sheet.text(print_column.x, y, print_column.width, line.file_name, detail);
        if (!choices.empty()) {
            m_sheet.text(print_column.x, m_y + height - 2.6 - choices_height + 0.8, choices_width, choices, detail);
        }
        m_y += height;
        m_sheet.rule(page_left, m_y, page_width, hairline, 0.12);
        m_y += 2.6;
    }

    void add_sum(const std::string& label, const std::string& value, const TextStyle& style) {
        constexpr double label_x = page_left + 60;
        const double height =
            m_sheet.text(label_x, m_y, page_right - 40 - label_x, label, aligned(style, Align::right));
        TextStyle tabular = aligned(style, Align::right);
        tabular.figures = drawing::Figures::tabular;
        m_sheet.text(page_right - 38, m_y, 38, value, tabular);
        m_y += height + 1.6;
    }

    void add_totals() {
        const Totals totals = totals_of(m_order);
        make_room(52);
        m_y += 2;
        add_sum(totals.missing_count == 0 ? "Prints" : "Prints whose price is known",
                money_text(totals.known_cents, m_order.currency), body);
        add_sum("Postage", m_order.postage_cents ? money_text(*m_order.postage_cents, m_order.currency) : "not known",
                body);
        m_sheet.rule(page_left + 90, m_y + 0.4, page_width - 90, ink, 0.3);
        m_y += 2.4;
        const auto total = total_cents(m_order);
        add_sum("Total", total ? money_text(*total, m_order.currency) : "not known", total_style);
        m_y += 5;
        for (const std::string& remark : remarks(totals, total.has_value())) {
            m_y += m_sheet.text(page_left, m_y, page_width, remark, cut_after(body, 2)) + 1.4;
        }
    }

    std::vector<std::string> remarks(const Totals& totals, bool has_total) const {
        std::vector<std::string> texts;
        if (!has_total) {
            std::string what = "The price of " + totals.missing;
            if (totals.missing_count > 1)
                what += " and of " + counted(totals.missing_count - 1, "other line", "other lines");
            texts.push_back(what + " is not known, so there is no total.");
        } else if (!m_order.postage_cents) {
            texts.emplace_back("The shop has not said what its postage is; it comes on top.");
        }
        if (m_order.smallest_order_cents && has_total && totals.known_cents < *m_order.smallest_order_cents) {
            texts.push_back("The shop's smallest order is " +
                            money_text(*m_order.smallest_order_cents, m_order.currency) + ": " +
                            money_text(*m_order.smallest_order_cents - totals.known_cents, m_order.currency) +
                            " are still missing.");
        }
        if (!m_order.order_page.empty()) texts.push_back("To be ordered at " + m_order.order_page);
        texts.push_back(std::string("Every file is to be ") + promise + ".");
        return texts;
    }

    void add_foot() {
        constexpr TextStyle foot{.size_pt = 7.5, .colour = soft_ink, .most_lines = 1};
        m_sheet.rule(page_left, page_end + 7, page_width, hairline, 0.2);
        m_sheet.text(page_left, page_end + 9, page_width, "Page " + std::to_string(m_page),
                     aligned(foot, Align::right));
    }

    Canvas& m_canvas;
    Sheet m_sheet;
    const OrderSheet& m_order;
    int m_page = 1;
    double m_y = page_top;
};

}  // namespace

std::optional<std::int64_t> total_cents(const OrderSheet& sheet) {
    const Totals totals = totals_of(sheet);
    std::int64_t total = 0;
    if (totals.missing_count > 0) return std::nullopt;
    if (__builtin_add_overflow(totals.known_cents, sheet.postage_cents.value_or(0), &total)) return std::nullopt;
    return total;
}

std::string money_text(std::int64_t cents, const std::string& currency) {
    const std::int64_t whole = cents / 100;
    const int rest = static_cast<int>(cents % 100);
    const std::string sign = cents < 0 && whole == 0 ? "-" : "";
    const std::string part = std::to_string(rest < 0 ? -rest : rest);
    return sign + base::count_text(whole) + "." + (part.size() < 2 ? "0" : "") + part +
           (currency.empty() ? "" : " " + currency);
}

void write_order_sheet(const OrderSheet& sheet, const std::filesystem::path& name, base::OutputFile::Existing existing,
                       base::Faults& faults) {
    auto canvas = Canvas::pdf(drawing::a4, "Order for " + sheet.shop_name, "", sheet.date);
    OrderPages(canvas, sheet).draw();
    base::write_whole_file(name, canvas.finish(), existing, faults);
}

}  // namespace hangtrue::report

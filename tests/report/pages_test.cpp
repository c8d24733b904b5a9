// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "engine/base/error.h"
#include "engine/report/result_picture.h"
#include "engine/report/ticket_page.h"
#include "tests/report/support.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::report {
namespace {

using base::OutputFile;
using support::TemporaryFolder;
using testing::StartsWith;

std::string content_of(const std::filesystem::path& file) { return base::read_whole_file(file, 10'000'000); }

double end_of(const Ticket& ticket) {
    auto canvas = drawing::Canvas::pdf(drawing::a4, "", "", "");
    return draw_ticket(canvas, ticket);
}

TEST(report_ticket, is_one_page_of_pdf_and_the_same_bytes_each_time) {
    const TemporaryFolder folder;
    base::Faults faults;
    write_ticket(ordinary_ticket(), folder.path() / "a.pdf", OutputFile::Existing::refuse, faults);
    write_ticket(ordinary_ticket(), folder.path() / "b.pdf", OutputFile::Existing::refuse, faults);
    const std::string bytes = content_of(folder.path() / "a.pdf");
    EXPECT_THAT(bytes, StartsWith("%PDF-"));
    EXPECT_TRUE(bytes.find("/Count 1\n") != std::string::npos);
    EXPECT_TRUE(bytes == content_of(folder.path() / "b.pdf"));
    EXPECT_LT(bytes.size(), 400'000u);
}

TEST(report_ticket, a_name_that_is_taken_is_refused_unless_told) {
    const TemporaryFolder folder;
    base::Faults faults;
    const auto name = folder.path() / "ticket.pdf";
    write_ticket(ordinary_ticket(), name, OutputFile::Existing::refuse, faults);
    EXPECT_THROW(write_ticket(ordinary_ticket(), name, OutputFile::Existing::refuse, faults), base::WriteFailed);
    EXPECT_NO_THROW(write_ticket(ordinary_ticket(), name, OutputFile::Existing::replace, faults));
    EXPECT_THROW(
        write_ticket(ordinary_ticket(), folder.path() / "none" / "t.pdf", OutputFile::Existing::refuse, faults),
        base::WriteFailed);
}

TEST(report_ticket, an_empty_one_is_drawn_too) {
    EXPECT_GT(end_of({}), 60);
    Ticket strange;
    strange.picture = hills(40, 30);
    strange.crop = {0.9, -3, 7, 0.2};  // Partly outside.
    strange.sha256 = "abc";
    EXPECT_LE(end_of(strange), ticket_content_end_mm);
}

TEST(report_ticket, says_beside_the_sharpening_how_it_was_enlarged) {
    Ticket both = ordinary_ticket();
    both.sharpening = "Sharpened a little.";
    const double end = end_of(both);
    both.enlarging = "Enlarged twice.";  // As short as its neighbour.
    EXPECT_EQ(end_of(both), end);
    both.enlarging = ordinary_ticket().sharpening;
    EXPECT_GT(end_of(both), end);
    both.sharpening.clear();
    const double alone = end_of(both);
    both.enlarging.clear();
    EXPECT_GT(alone, end_of(both));
}

TEST(report_ticket, twenty_choices_stay_on_the_page) {
    Ticket ticket = ordinary_ticket();
    ticket.order_choices.clear();
    for (int i = 0; i < 20; ++i)
        ticket.order_choices.push_back("Option " + std::to_string(i) + ": as the shop words it");
    EXPECT_LE(end_of(ticket), ticket_content_end_mm);
}

TEST(report_ticket, stays_on_the_page_whatever_the_lengths_of_its_texts) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    const auto text = [&](unsigned most) {
        std::string words;
        for (auto length = random() % (most + 1); length > 0; --length) words += random() % 7 == 0 ? ' ' : 'm';
        return words;
    };
    const auto list = [&](unsigned most) {
        std::vector<std::string> items(random() % (most + 1));
        for (auto& item : items) item = text(200);
        return items;
    };
    auto canvas = drawing::Canvas::pdf(drawing::a4, "", "", "");
    for (int round = 0; round < 12; ++round) {
        SCOPED_TRACE("round " + std::to_string(round));
        Ticket ticket = ordinary_ticket();
        for (std::string Ticket::*field :
             {&Ticket::picture_name, &Ticket::shop_name,      &Ticket::medium_name,  &Ticket::size_name,
              &Ticket::process,      &Ticket::finished_size,  &Ticket::file_size,    &Ticket::file_name,
              &Ticket::sha256,       &Ticket::format,         &Ticket::colour_space, &Ticket::edges,
              &Ticket::enlarging,    &Ticket::sharpening,     &Ticket::author,       &Ticket::copyright,
              &Ticket::made_on,      &Ticket::picture_credit, &Ticket::correction,   &Ticket::light}) {
            ticket.*field = text(round % 2 == 0 ? 80 : 400);
        }
        ticket.order_choices = list(40);
        ticket.panels = 5;
        ticket.quantity = 1'000'000'000;
        ticket.bytes = 9'000'000'000'000'000'000;
        ticket.picture = hills(static_cast<int>(20 + random() % 100), static_cast<int>(20 + random() % 100));
        EXPECT_LE(draw_ticket(canvas, ticket), ticket_content_end_mm);
        canvas.next_page();
    }
}

OrderSheet some_order(int lines) {
    OrderSheet sheet;
    sheet.shop_name = "Quillfen Prints";
    sheet.currency = "EUR";
    sheet.order_page = "https://quillfen.example/order";
    sheet.date = "2026-03-14";
    sheet.postage_cents = 1490;
    for (int i = 0; i < lines; ++i) {
        OrderLine line;
        line.file_name = "ridge-at-dawn_brushed-metal_36x24in.tif";
        line.picture_name = "Ridge at dawn";
        line.medium_name = "Brushed metal";
        line.size_name = "36x24in";
        line.quantity = i + 1;
        line.price_cents = 12'950;
        line.order_choices = {"Metal prints > HD brushed", "Image enhancement: OFF"};
        sheet.lines.push_back(line);
    }
    return sheet;
}

TEST(report_order, three_lines_of_1_2_and_3_at_129_50_and_postage_are_791_90) {
    EXPECT_EQ(total_cents(some_order(3)), 6 * 12'950 + 1490);
    EXPECT_EQ(money_text(*total_cents(some_order(3)), "EUR"), "791.90 EUR");
}

TEST(report_order, without_one_price_there_is_no_total) {
    OrderSheet sheet = some_order(3);
    sheet.lines[1].price_cents.reset();
    EXPECT_FALSE(total_cents(sheet));
}

TEST(report_order, without_postage_the_total_is_the_prints) {
    OrderSheet sheet = some_order(1);
    sheet.postage_cents.reset();
    EXPECT_EQ(total_cents(sheet), 12'950);
}

TEST(report_order, sums_too_large_to_be_held_are_no_total) {
    OrderSheet sheet = some_order(2);
    sheet.lines[1].price_cents = 9'000'000'000'000'000'000;
    EXPECT_FALSE(total_cents(sheet));
}

TEST(report_order, money_has_two_decimals_and_a_sign) {
    EXPECT_EQ(money_text(0, "EUR"), "0.00 EUR");
    EXPECT_EQ(money_text(5, "USD"), "0.05 USD");
    EXPECT_EQ(money_text(-5, ""), "-0.05");
    EXPECT_EQ(money_text(-12'345, ""), "-123.45");
    EXPECT_EQ(money_text(124'900, "EUR"), "1,249.00 EUR");
}

int page_count(const std::string& pdf) {
    const auto at = pdf.rfind("/Count ");
    return at == std::string::npos ? 0 : std::stoi(pdf.substr(at + 7));
}

TEST(report_order, takes_one_page_for_three_lines_and_several_for_sixty) {
    const TemporaryFolder folder;
    base::Faults faults;
    const auto pages = [&](const OrderSheet& sheet) {
        write_order_sheet(sheet, folder.path() / "order.pdf", OutputFile::Existing::replace, faults);
        return page_count(content_of(folder.path() / "order.pdf"));
    };
    EXPECT_EQ(pages(some_order(3)), 1);
    // 17.4 mm a line with four lines of text, some 210 mm a page.
    EXPECT_THAT(pages(some_order(60)), testing::AllOf(testing::Ge(4), testing::Le(7)));
    EXPECT_EQ(pages({}), 1);
    OrderSheet wordy = some_order(2);
    for (auto& line : wordy.lines) {
        line.picture_name = line.medium_name = line.file_name = line.size_name = std::string(900, 'm');
        line.order_choices.assign(50, std::string(90, 'w'));
    }
    wordy.shop_name = std::string(500, 's');
    EXPECT_LE(pages(wordy), 2);
}

TEST(report_result, is_a_png_for_none_two_and_twelve_prints) {
    const TemporaryFolder folder;
    base::Faults faults;
    std::vector<HungPrint> prints;
    for (const int count : {0, 2, 12}) {
        prints.assign(static_cast<std::size_t>(count),
                      {hills(90, 60), {{914.4}, {609.6}}, {"Ridge at dawn", "36 x 24 in"}});
        const auto name = folder.path() / (std::to_string(count) + ".png");
        write_result_picture(prints, name, OutputFile::Existing::refuse, faults);
        EXPECT_THAT(content_of(name), StartsWith("\x89PNG"));
    }
}

TEST(report_result, a_print_of_3_m_by_2_m_finds_its_wall) {
    const TemporaryFolder folder;
    base::Faults faults;
    const std::vector<HungPrint> prints(2, {hills(60, 90), {{2000}, {3000}}, {"Tall"}});
    EXPECT_NO_THROW(write_result_picture(prints, folder.path() / "r.png", OutputFile::Existing::refuse, faults));
}

}  // namespace
}  // namespace hangtrue::report

// SPDX-License-Identifier: Apache-2.0
#include "engine/report/findings_page.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cstdio>

#include "engine/base/error.h"
#include "tests/report/support.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::report {
namespace {

using base::OutputFile;
using testing::HasSubstr;
using testing::Not;

FindingsPage page_with(int entries) {
    FindingsPage page;
    page.picture_name = "Ridge at dawn";
    page.shop_name = "Quillfen Prints";
    page.medium_name = "Brushed metal";
    page.print_size = "36 x 24 in (91.4 x 61 cm)";
    page.verdict = "This print can be made.";
    page.made_on = "2026-03-14";
    page.picture = hills(900, 600);
    page.crops = {{0, 0.06, 1, 0.88}};
    for (int i = 0; i < entries; ++i) {
        page.entries.push_back({"Look",
                                "Finding number " + std::to_string(i + 1) + " says what it has found, and where.",
                                "This would mend it.",
                                "--bleed auto",
                                "Found: 2 %. The line is at 1.",
                                {{0.1 * (i % 8), 0.2, 0.1, 0.1}}});
    }
    return page;
}

/// As poppler's pdftotext reads the file again.
std::string text_of(const std::filesystem::path& file) {
    std::string text;
    std::FILE* pipe = popen(("pdftotext -layout '" + file.string() + "' -").c_str(), "r");
    std::array<char, 4096> part{};
    while (std::size_t count = std::fread(part.data(), 1, part.size(), pipe)) text.append(part.data(), count);
    pclose(pipe);
    return text;
}

std::string text_of(const FindingsPage& page) {
    const support::TemporaryFolder folder;
    base::Faults faults;
    write_findings({&page, 1}, folder.path() / "a.pdf", OutputFile::Existing::refuse, faults);
    return text_of(folder.path() / "a.pdf");
}

TEST(report_findings, stand_on_one_page_each_with_its_number_its_way_out_and_its_figure) {
    const std::string text = text_of(page_with(5));
    for (int i = 1; i <= 5; ++i) {
        EXPECT_THAT(text, HasSubstr("Finding number " + std::to_string(i) + " says what it has found, and where."));
    }
    EXPECT_THAT(text, HasSubstr("--bleed auto"));
    EXPECT_THAT(text, HasSubstr("The line is at 1."));
    EXPECT_THAT(text, HasSubstr("14 March 2026"));
    EXPECT_THAT(text, Not(HasSubstr("more:")));
}

TEST(report_findings, that_have_no_room_are_counted) {
    const std::string text = text_of(page_with(60));
    EXPECT_THAT(text, HasSubstr("Finding number 1 says"));
    EXPECT_THAT(text, Not(HasSubstr("Finding number 60 says")));
    // Every one of the sixty is said or counted.
    int said = 0;
    while (text.find("Finding number " + std::to_string(said + 1) + " says") != std::string::npos) ++said;
    EXPECT_THAT(text, HasSubstr("and " + std::to_string(60 - said) + " more: `hangtrue check` says them all."));
}

TEST(report_findings, of_several_prints_are_a_page_each_and_the_same_bytes_each_time) {
    const support::TemporaryFolder folder;
    base::Faults faults;
    const std::array pages{page_with(2), page_with(0)};
    for (const char* name : {"a.pdf", "b.pdf"}) {
        write_findings(pages, folder.path() / name, OutputFile::Existing::refuse, faults);
    }
    const std::string bytes = base::read_whole_file(folder.path() / "a.pdf", 10'000'000);
    EXPECT_THAT(bytes, HasSubstr("/Count 2\n"));
    EXPECT_TRUE(bytes == base::read_whole_file(folder.path() / "b.pdf", 10'000'000));
    EXPECT_THAT(text_of(folder.path() / "a.pdf"), HasSubstr("Nothing stands in the way of this print."));
    EXPECT_THROW(write_findings(pages, folder.path() / "a.pdf", OutputFile::Existing::refuse, faults),
                 base::WriteFailed);
}

TEST(report_findings, strange_values_are_drawn_too) {
    FindingsPage strange = page_with(1);
    strange.picture = {};
    EXPECT_THAT(text_of(strange), HasSubstr("Finding number 1"));
    strange.picture = hills(40, 400);
    strange.crops = {{0.9, -3, 7, 0.2}};
    strange.entries[0].where = {{-1, 2, 0.1, 5}, {0.5, 0.5, 0, 0}};
    strange.entries[0].sentence = std::string(5000, 'x');
    EXPECT_THAT(text_of(strange), HasSubstr("xxx"));
}

}  // namespace
}  // namespace hangtrue::report

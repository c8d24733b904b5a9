// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <stdlib.h>
#include <unistd.h>

#include <span>
#include <string>

#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/drawing/canvas.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::drawing {
namespace {

/// In a process of its own, begun anew: fontconfig reads its settings once. Answers 42 where no canvas is made.
TEST(drawing_fonts, without_any_font_a_page_is_refused_with_what_to_install) {
    testing::GTEST_FLAG(death_test_style) = "threadsafe";
    EXPECT_EXIT(
        {
            const support::TemporaryFolder folder;
            const auto settings = folder.path() / "fonts.conf";
            const std::string text = "<?xml version=\"1.0\"?><fontconfig><cachedir>" +
                                     (folder.path() / "cache").string() + "</cachedir></fontconfig>";
            base::Faults faults;
            base::write_whole_file(settings, std::as_bytes(std::span(text)), base::OutputFile::Existing::refuse,
                                   faults);
            ::setenv("FONTCONFIG_FILE", settings.c_str(), 1);
            try {
                const Canvas canvas = Canvas::pdf(a4, "", "", "");
                ::_exit(1);
            } catch (const base::WriteFailed& error) {
                ::_exit(std::string(error.what()).find("fonts-inter") != std::string::npos ? 42 : 2);
            }
        },
        testing::ExitedWithCode(42), "");
}

}  // namespace
}  // namespace hangtrue::drawing

// SPDX-License-Identifier: Apache-2.0
// What `cmake --install` puts into a folder, held against the programs that read it on a Debian desktop.

#include <gmock/gmock.h>
#include <sys/wait.h>

#include <cstdio>
#include <filesystem>
#include <memory>
#include <stdexcept>
#include <string>

#include "tests/support/pictures.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::packaging_test {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

struct Said {
    int status = -1;
    std::string text;
};

Said shell(const std::string& line) {
    Said said;
    std::FILE* pipe = popen(("{ " + line + " ; } 2>&1").c_str(), "r");
    if (pipe == nullptr) throw std::runtime_error("popen");
    char buffer[4096];
    while (std::fgets(buffer, sizeof buffer, pipe) != nullptr) said.text += buffer;
    const int state = pclose(pipe);
    said.status = WIFEXITED(state) ? WEXITSTATUS(state) : -1;
    return said;
}

bool has_program(const std::string& name) { return shell("command -v " + name).status == 0; }

class packaging_install : public testing::Test {
  protected:
    static void SetUpTestSuite() {
        s_folder = std::make_unique<support::TemporaryFolder>();
        const Said said = shell("cmake --install " HANGTRUE_BINARY_DIR " --prefix " + prefix().string());
        ASSERT_EQ(said.status, 0) << said.text;
    }
    static void TearDownTestSuite() { s_folder.reset(); }
    static fs::path prefix() { return s_folder->path() / "usr"; }

  private:
    static inline std::unique_ptr<support::TemporaryFolder> s_folder;
};

TEST_F(packaging_install, the_installed_command_line_finds_its_networks_beside_itself) {
    const fs::path picture = prefix() / "small.png";
    // A network is asked for, which an installation without weights would have to refuse.
    support::write_png(picture, support::gradient({32, 32}, 3, 8), {});
    const Said said =
        shell((prefix() / "bin/hangtrue").string() + " enlarge " + picture.string() + " " +
              (prefix() / "large.png").string() + " --factor 2 --enlarge quick --data " + (prefix() / "data").string());
    EXPECT_EQ(said.status, 0) << said.text;
    EXPECT_TRUE(fs::exists(prefix() / "share/hangtrue/models"));
}

TEST_F(packaging_install, manual_pages_completion_icon_and_demo_shops_lie_where_they_are_looked_for) {
    for (const char* file :
         {"share/man/man1/hangtrue.1.gz", "share/man/man1/hangtrue-desktop.1.gz",
          "share/bash-completion/completions/hangtrue", "share/icons/hicolor/scalable/apps/hangtrue.svg",
          "share/applications/hangtrue-desktop.desktop", "share/hangtrue/shops/quillfen.toml",
          "share/doc/hangtrue/copyright"}) {
        EXPECT_TRUE(fs::exists(prefix() / file)) << file;
    }
    // Nothing of the build alone: libraries, headers, tests.
    EXPECT_EQ(shell("find " + prefix().string() + " -name '*.a' -o -name '*.h' -o -name 'test_*'").text, "");
}

TEST_F(packaging_install, desktop_file_validate_takes_the_menu_entry) {
    if (!has_program("desktop-file-validate")) GTEST_SKIP() << "desktop-file-utils is not installed";
    const Said said =
        shell("desktop-file-validate " + (prefix() / "share/applications/hangtrue-desktop.desktop").string());
    EXPECT_EQ(said.status, 0) << said.text;
    EXPECT_EQ(said.text, "");
}

TEST_F(packaging_install, appstreamcli_takes_what_the_program_says_of_itself) {
    if (!has_program("appstreamcli")) GTEST_SKIP() << "appstream is not installed";
    const Said said =
        shell("appstreamcli validate --no-net " + (prefix() / "share/metainfo").string() + "/*.metainfo.xml");
    EXPECT_EQ(said.status, 0) << said.text;
    EXPECT_THAT(said.text, HasSubstr("successful"));
}

TEST_F(packaging_install, man_finds_and_reads_both_pages) {
    if (!has_program("man")) GTEST_SKIP() << "man is not installed";
    for (const char* page : {"hangtrue", "hangtrue-desktop"}) {
        const Said said =
            shell("LC_ALL=C.UTF-8 man --warnings=w -P cat -M " + (prefix() / "share/man").string() + " " + page);
        EXPECT_EQ(said.status, 0) << said.text;
        EXPECT_THAT(said.text, HasSubstr("DESCRIPTION"));
        EXPECT_THAT(said.text, testing::Not(HasSubstr("warning")));
    }
}

}  // namespace
}  // namespace hangtrue::packaging_test

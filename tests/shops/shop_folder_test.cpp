// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/shop_folder.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "engine/base/error.h"
#include "engine/shops/shop_file.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::shops {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::ThrowsMessage;

void write_shop(const std::filesystem::path& file, const std::string& name) {
    std::ofstream(file) << "format = 1\nname = \"" << name << "\"\ncurrency = \"EUR\"\n";
}

TEST(shop_folder, one_that_does_not_exist_holds_no_shops_and_other_files_are_passed_over) {
    const support::TemporaryFolder folder;
    EXPECT_TRUE(shops_in(folder.path() / "none").shops.empty());
    std::ofstream(folder.path() / "notes.txt") << "no shop";
    std::ofstream(folder.path() / ".hidden.toml") << "no shop";
    write_shop(folder.path() / "sample.toml", "Sample");
    const ShopFolder found = shops_in(folder.path());
    ASSERT_EQ(found.shops.size(), 1U);
    EXPECT_EQ(found.shops[0].id, "sample");
    EXPECT_TRUE(found.broken.empty());
}

TEST(shop_folder, a_broken_file_takes_nothing_from_the_others_and_is_told_with_line_and_column) {
    const support::TemporaryFolder folder;
    write_shop(folder.path() / "quillfen.toml", "Quillfen Prints");
    std::ofstream(folder.path() / "marrow-tine.toml") << "format = 1\nname = 7\n";
    const ShopFolder found = shops_in(folder.path());
    ASSERT_EQ(found.shops.size(), 1U);
    EXPECT_EQ(shop_named(found, "Quillfen Prints").id, "quillfen");
    ASSERT_EQ(found.broken.size(), 1U);
    EXPECT_EQ(found.broken[0].file, folder.path() / "marrow-tine.toml");
    EXPECT_THAT(found.broken[0].sentence, HasSubstr("marrow-tine.toml, line 2, column 8"));

    const auto broken = ThrowsMessage<base::UnreadableInput>(HasSubstr("marrow-tine.toml, line 2"));
    EXPECT_THAT([&] { shop_named(found, "marrow-tine"); }, broken);
    EXPECT_THAT([&] { shop_named(found, "Marrow & Tine"); }, broken) << "the name that its file's was made of";
    EXPECT_THAT([&] { shop_named(found, "nobody"); }, ThrowsMessage<base::InvalidWish>(HasSubstr("no shop")));
    EXPECT_EQ(find_shop(found, "nobody"), nullptr);
}

}  // namespace
}  // namespace hangtrue::shops

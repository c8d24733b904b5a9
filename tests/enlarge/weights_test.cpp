// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/weights.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <string>

#include "engine/base/error.h"
#include "tests/support/made_weights.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::enlarge {
namespace {

std::string refusal(const std::string& content) {
    const support::TemporaryFolder folder;
    const auto file = folder.path() / "made.weights";
    std::ofstream(file, std::ios::binary) << content;
    try {
        Weights::from_file(file);
    } catch (const base::UnreadableInput& error) {
        return error.what();
    }
    return "read";
}

TEST(enlarge_weights, come_back_as_they_were_written) {
    const support::MadeWeights made = support::made_weights(4, 2, 1);
    const support::TemporaryFolder folder;
    const auto file = folder.path() / "made.weights";
    made.write(file);
    const Weights weights = Weights::from_file(file);
    EXPECT_EQ(weights.name(), "made");
    EXPECT_EQ(weights.channels(), 4);
    EXPECT_EQ(weights.blocks(), 2);
    EXPECT_EQ(weights.hash(), base::sha256(made.data()));
    ASSERT_EQ(weights.convolutions().size(), 7u);
    EXPECT_EQ(weights.convolutions().front().kernel.front(), made.floats.front());
    EXPECT_EQ(weights.convolutions().back().biases.back(), made.floats.back());
    EXPECT_EQ(weights.convolutions().back().outputs, 12);
}

TEST(enlarge_weights, that_are_missing_are_named_with_a_way_out) {
    const support::TemporaryFolder folder;
    try {
        Weights::from_file(folder.path() / "none.weights");
        FAIL() << "there is no such file";
    } catch (const base::UnreadableInput& error) {
        EXPECT_THAT(error.what(), testing::HasSubstr("none.weights"));
        EXPECT_THAT(error.what(), testing::EndsWith("or enlarge with the filter (--enlarge filter)."));
    }
}

TEST(enlarge_weights, of_another_network_under_this_name_are_refused) {
    const support::MadeWeights made = support::made_weights(1, 1, 2);
    EXPECT_THAT(refusal(made.header("quick") + made.data()), testing::HasSubstr("\"quick\""));
}

TEST(enlarge_weights, of_another_count_than_their_shape_asks_for_are_refused) {
    const support::MadeWeights made = support::made_weights(1, 1, 2);
    std::string header = made.header();
    const std::string count = "floats " + std::to_string(made.floats.size());
    header.replace(header.find(count), count.size(), count + "0");
    EXPECT_THAT(refusal(header + made.data()), testing::HasSubstr("as many weights"));
}

TEST(enlarge_weights, of_any_shorter_length_are_refused_in_one_sentence) {
    const support::MadeWeights made = support::made_weights(1, 1, 2);
    const std::string whole = made.header() + made.data();
    for (std::size_t length = 0; length < whole.size(); length += length < 300 ? 1 : 97) {
        EXPECT_THAT(refusal(whole.substr(0, length)), testing::HasSubstr("--enlarge filter")) << length;
    }
}

TEST(enlarge_weights, with_any_bit_of_their_floats_flipped_are_refused) {
    const support::MadeWeights made = support::made_weights(1, 1, 3);
    const std::string header = made.header();
    for (std::size_t at = 0; at < made.data().size(); at += 53) {
        std::string data = made.data();
        data[at] = static_cast<char>(data[at] ^ (1 << (at % 8)));
        EXPECT_THAT(refusal(header + data), testing::HasSubstr("damaged")) << at;
    }
}

TEST(enlarge_weights, of_a_newer_version_say_so) {
    const support::MadeWeights made = support::made_weights(1, 1, 4);
    std::string text = made.header() + made.data();
    text.replace(text.find(" 1\n"), 3, " 2\n");
    EXPECT_THAT(refusal(text), testing::HasSubstr("another version"));
}

TEST(enlarge_weights, of_shapes_that_cannot_be_are_refused) {
    for (const char* wrong : {"channels 0", "channels 100000", "channels -4", "channels four"}) {
        const support::MadeWeights made = support::made_weights(1, 1, 5);
        std::string text = made.header() + made.data();
        text.replace(text.find("channels 1"), 10, wrong);
        EXPECT_THAT(refusal(text), testing::HasSubstr("no network")) << wrong;
    }
}

}  // namespace
}  // namespace hangtrue::enlarge

// SPDX-License-Identifier: Apache-2.0
#include "engine/base/hash.h"

#include <gtest/gtest.h>

#include <fstream>
#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "engine/base/error.h"
#include "tests/support/random.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::base {
namespace {

TEST(hash, sha256_of_the_examples_of_fips_180) {
    // FIPS 180-4, the examples published with it: one block, two blocks, a million letters; and nothing at all.
    EXPECT_EQ(sha256("").hex(), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    EXPECT_EQ(sha256("abc").hex(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    EXPECT_EQ(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq").hex(),
              "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    EXPECT_EQ(sha256(std::string(1000000, 'a')).hex(),
              "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST(hash, a_stream_cut_anywhere_gives_the_hash_of_the_whole) {
    const support::Seeded seeded;
    std::mt19937_64 random(seeded.seed);
    std::vector<std::byte> bytes(5000);
    for (std::byte& byte : bytes) byte = static_cast<std::byte>(random() & 0xffU);
    for (int i = 0; i < 50; ++i) {
        Sha256Stream stream;
        for (std::span<const std::byte> rest = bytes; !rest.empty();) {
            const std::size_t count = std::min<std::size_t>(rest.size(), random() % 700);
            stream.add(rest.first(count));
            rest = rest.subspan(count);
        }
        EXPECT_EQ(stream.finish(), sha256(bytes));
    }
}

TEST(hash, hex_is_read_back_and_anything_else_is_not) {
    const Sha256 hash = sha256("abc");
    EXPECT_EQ(Sha256::from_hex(hash.hex()), hash);
    EXPECT_EQ(Sha256::from_hex(""), std::nullopt);
    EXPECT_EQ(Sha256::from_hex(hash.hex().substr(1)), std::nullopt);
    EXPECT_EQ(Sha256::from_hex(hash.hex() + "0"), std::nullopt);
    EXPECT_EQ(Sha256::from_hex("g" + hash.hex().substr(1)), std::nullopt);
}

TEST(hash, a_file_has_the_hash_of_its_bytes_and_a_missing_one_none) {
    const support::TemporaryFolder folder;
    const std::string text(3000000, 'x');
    std::ofstream(folder.path() / "file", std::ios::binary) << text;
    Progress progress;
    EXPECT_EQ(sha256_of_file(folder.path() / "file", progress), sha256(text));
    EXPECT_THROW(sha256_of_file(folder.path() / "missing", progress), UnreadableInput);
    EXPECT_THROW(sha256_of_file(folder.path(), progress), UnreadableInput);
    progress.cancel();
    EXPECT_THROW(sha256_of_file(folder.path() / "file", progress), Cancelled);
}

TEST(hash, digest_of_nothing_is_that_of_the_xxh3_specification) {
    // XXH3-128 of no bytes with seed 0: 99aa06d3014798d86001c324468d497f (xxHash's own check values).
    EXPECT_EQ(digest({}), (Digest{0x6001c324468d497fULL, 0x99aa06d3014798d8ULL}));
}

TEST(hash, a_flipped_bit_changes_the_digest) {
    std::vector<std::byte> bytes(300);
    const Digest before = digest(bytes);
    for (std::size_t bit = 0; bit < 8 * bytes.size(); ++bit) {
        bytes[bit / 8] ^= static_cast<std::byte>(1U << bit % 8);
        EXPECT_NE(digest(bytes), before);
        bytes[bit / 8] ^= static_cast<std::byte>(1U << bit % 8);
    }
}

TEST(hash, place_hashes_are_spread_evenly_and_do_not_follow_their_neighbours) {
    // 3 x 256 x 256 places: the mean of values spread evenly over [0, 1) has a standard error of
    // 0.2887 / sqrt(196608) = 0.00065, a neighbour correlation one of 1 / sqrt(196608) = 0.0023; four of each.
    double sum = 0;
    double product_x = 0;
    double product_y = 0;
    const auto at = [](std::uint32_t x, std::uint32_t y, std::uint32_t channel) {
        return place_hash(x, y, channel) / 4294967296.0 - 0.5;
    };
    std::set<std::uint32_t> seen;
    constexpr int count = 3 * 256 * 256;
    for (std::uint32_t channel = 0; channel < 3; ++channel) {
        for (std::uint32_t y = 0; y < 256; ++y) {
            for (std::uint32_t x = 0; x < 256; ++x) {
                const double here = at(x, y, channel);
                sum += here;
                product_x += here * at(x + 1, y, channel);
                product_y += here * at(x, y + 1, channel);
                seen.insert(place_hash(x, y, channel));
            }
        }
    }
    EXPECT_NEAR(sum / count, 0, 4 * 0.00065);
    EXPECT_NEAR(product_x / count * 12, 0, 4 * 0.0023);
    EXPECT_NEAR(product_y / count * 12, 0, 4 * 0.0023);
    // Of 196608 values out of 2^32, some 4.5 coincide by chance.
    EXPECT_GT(seen.size(), 196608U - 30U);
}

}  // namespace
}  // namespace hangtrue::base

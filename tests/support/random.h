// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Random input for property tests: the seed is fixed unless HANGTRUE_SEED is set, and printed on failure.

#include <gtest/gtest.h>

#include <cstdlib>
#include <random>
#include <string>

namespace hangtrue::support {

inline std::uint64_t property_seed() {
    const char* text = std::getenv("HANGTRUE_SEED");
    return text != nullptr ? std::strtoull(text, nullptr, 10) : 20260314;
}

/// Use: `const Seeded seeded; std::mt19937_64 random(seeded.seed);`: failures below it name the seed.
class Seeded {
  public:
    const std::uint64_t seed = property_seed();

  private:
    testing::ScopedTrace m_trace{__FILE__, __LINE__, "HANGTRUE_SEED=" + std::to_string(seed)};
};

}  // namespace hangtrue::support

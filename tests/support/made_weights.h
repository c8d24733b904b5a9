// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Small networks with random weights, written as the file that models/README.md describes.

#include <cmath>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include "engine/base/hash.h"

namespace hangtrue::support {

struct MadeWeights {
    int channels = 4;
    int blocks = 2;
    std::vector<float> floats;  ///< As the file holds them.

    std::string header(const std::string& name = "made") const {
        return "hangtrue-weights 1\nname " + name + "\nabout random\ninputs 6\nchannels " + std::to_string(channels) +
               "\nblocks " + std::to_string(blocks) + "\nfloats " + std::to_string(floats.size()) + "\nsha256 " +
               base::sha256(data()).hex() + "\n\n";
    }
    std::string data() const { return {reinterpret_cast<const char*>(floats.data()), floats.size() * sizeof(float)}; }
    /// Called what the file is called.
    void write(const std::filesystem::path& file) const {
        std::ofstream(file, std::ios::binary) << header(file.stem().string()) << data();
    }
};

/// Random weights that neither grow nor die from layer to layer.
inline MadeWeights made_weights(int channels, int blocks, std::uint64_t seed) {
    MadeWeights made{channels, blocks, {}};
    std::mt19937_64 random(seed);
    const auto add = [&](int inputs, int outputs) {
        std::normal_distribution<float> kernel(0, 0.5f / std::sqrt(9.0f * static_cast<float>(inputs)));
        for (int i = 0; i < outputs * inputs * 9; ++i) made.floats.push_back(kernel(random));
        std::normal_distribution<float> bias(0, 0.05f);
        for (int i = 0; i < outputs; ++i) made.floats.push_back(bias(random));
    };
    add(6, channels);
    for (int i = 0; i < 2 * blocks + 1; ++i) add(channels, channels);
    add(channels, 12);
    return made;
}

}  // namespace hangtrue::support

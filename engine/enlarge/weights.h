// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The weights of an enlarging network, as models/README.md describes the file. A value; immutable once read.

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "engine/base/hash.h"

namespace hangtrue::enlarge {

inline constexpr int network_inputs = 6;    ///< R, G, B, noise, blur, coding.
inline constexpr int network_outputs = 12;  ///< Four places of each of three channels.

/// One 3 x 3 convolution. Views into the weights' floats.
struct Convolution {
    int inputs = 0;
    int outputs = 0;
    std::span<const float> kernel;  ///< outputs x inputs x 3 x 3.
    std::span<const float> biases;  ///< One an output.
};

class Weights {
  public:
    /// Throws UnreadableInput: missing, not such a file, another version, cut short, altered, a shape that cannot be,
    /// of a network that is not called what the file is called.
    static Weights from_file(const std::filesystem::path& file);

    const std::string& name() const { return m_name; }
    int channels() const { return m_channels; }
    int blocks() const { return m_blocks; }
    const base::Sha256& hash() const { return m_hash; }  ///< Of the floats' bytes.

    /// Head, two a block, after, tail.
    const std::vector<Convolution>& convolutions() const { return m_convolutions; }

    Weights(Weights&&) = default;
    Weights& operator=(Weights&&) = default;
    Weights(const Weights&) = delete;
    Weights& operator=(const Weights&) = delete;

  private:
    Weights() = default;

    std::string m_name;
    int m_channels = 0;
    int m_blocks = 0;
    base::Sha256 m_hash;
    std::vector<float> m_floats;
    std::vector<Convolution> m_convolutions;
};

}  // namespace hangtrue::enlarge

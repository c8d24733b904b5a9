// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A trained network that enlarges by two: what it was trained for, how and on what stands in training/README.md.
///
/// It sees one block of the picture at a time, always of the same size and with enough of the surroundings that no
/// border of a block shows. The samples are in the picture's encoding, 0..1; values beyond are allowed.

#include <array>
#include <cstddef>
#include <memory>

#include "engine/base/progress.h"
#include "engine/enlarge/measures.h"
#include "engine/enlarge/weights.h"

namespace hangtrue::enlarge {

/// Three planes of floats with rows `stride` apart.
template <typename Float>
struct RgbPlanes {
    std::array<Float*, 3> planes{};
    std::size_t stride = 0;
};

class Network {
  public:
    /// Side of a block in picture pixels: a constant of the version.
    static constexpr int block_px = 256;

    /// Memory of one thread, about 80 MB for 64 channels.
    class Scratch {
      public:
        Scratch();
        ~Scratch();
        Scratch(Scratch&&) noexcept;

      private:
        friend class Network;
        struct State;
        std::unique_ptr<State> m_state;
    };

    explicit Network(Weights weights);
    ~Network();
    Network(const Network&) = delete;
    Network& operator=(const Network&) = delete;

    const base::Sha256& hash() const;

    /// Picture pixels around a block that its result depends on.
    int halo_px() const { return m_halo; }
    int source_px() const { return block_px + 2 * m_halo; }

    /// `source`: source_px() squared; `result`: 2 block_px squared. The result depends on these alone, whichever
    /// thread computes it. Thread-safe, each thread with its own scratch. Throws Cancelled between two layers.
    void enlarge_block(const RgbPlanes<const float>& source, const Measures& measures, const RgbPlanes<float>& result,
                       Scratch& scratch, const base::Progress& progress) const;

  private:
    struct State;
    std::unique_ptr<State> m_state;
    int m_halo = 0;
};

/// Adds to a plane `result` (2 width x 2 height) the plane `source` enlarged by two with Keys' cubic, a = -1/2 (Keys
/// 1981). `source` points at the first pixel and holds two more all around.
void add_doubled(const float* source, std::size_t source_stride, int width, int height, float* result,
                 std::size_t result_stride);

}  // namespace hangtrue::enlarge

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A trained network that enlarges by two: what it was trained for, how and on what stands in training/README.md.
///
/// It is given a part of the picture with enough of the surroundings that no border of the part shows: each sample of
/// the result has the same bits whatever part it is computed with, as long as all parts begin at places that are whole
/// tiles apart. Where the picture is flat, the network is not asked (flat_tiles.h). The samples are in the picture's
/// encoding, 0..1; values beyond are allowed.
///
/// All layers are computed a few rows at a time, one after the other, each as soon as the one before has given the rows
/// that it looks at. So what lies between two layers is never more than a few rows high, whatever the height of the
/// part; above and below it a layer computes only what the later ones look at, left and right not much more.

#include <cstddef>
#include <memory>

#include "engine/base/progress.h"
#include "engine/base/units.h"
#include "engine/enlarge/measures.h"
#include "engine/enlarge/rgb_planes.h"
#include "engine/enlarge/weights.h"

namespace hangtrue::enlarge {

/// What becomes of tiles where the picture is flat (flat_tiles.h).
enum class Flat {
    by_cubic,    ///< Left to the cubic, which costs next to nothing.
    by_network,  ///< Computed like all others; for comparing.
};

/// Pixels around a part that what is made of it depends on: left and above, right and below.
struct Halo {
    int before_px = 0;
    int after_px = 0;
};

class Network {
  public:
    /// Parts begin at multiples of so many pixels from the picture's upper left corner.
    static constexpr int place_px = 4;

    /// One thread's memory: what the widest part needed so far.
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

    explicit Network(Weights weights, Flat flat = Flat::by_cubic);
    ~Network();
    Network(const Network&) = delete;
    Network& operator=(const Network&) = delete;

    const base::Sha256& hash() const;

    const Halo& halo() const { return m_halo; }
    /// Multiply-adds for one picture pixel, surroundings not counted.
    std::size_t multiply_adds() const;
    /// What a scratch holds for parts up to `width` picture pixels wide.
    std::size_t scratch_bytes(int width) const;

    /// `part`: picture pixels. `source`: those, with halo() around; `result`: twice `part`. The result depends on
    /// these alone. Thread-safe, each thread with its own scratch. Throws Cancelled, within milliseconds.
    void enlarge(const RgbPlanes<const float>& source, base::PixelSize part, const Measures& measures,
                 const RgbPlanes<float>& result, Scratch& scratch, const base::Progress& progress) const;

  private:
    struct State;
    std::unique_ptr<State> m_state;
    Halo m_halo;
    Flat m_flat;
};

/// Adds to a plane `result` (2 width x 2 height) the plane `source` enlarged by two with Keys' cubic, a = -1/2 (Keys
/// 1981). `source` points at the first pixel and holds two more all around.
void add_doubled(const float* source, std::size_t source_stride, int width, int height, float* result,
                 std::size_t result_stride);

}  // namespace hangtrue::enlarge

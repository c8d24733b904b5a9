// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The picture as the network makes it, twice as large, or four times, and made consistent with what it came from.
///
/// The network works on a fixed grid of blocks counted from the picture's upper left corner. Each block is computed
/// once, by whichever thread wants it first, and kept while there is room. Consistency is computed for the part that is
/// asked for; each of its samples comes from the same sums wherever the part begins. So neither windows, nor threads,
/// nor what is kept change a bit.

#include <array>
#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <tuple>
#include <utility>

#include "engine/base/aligned_floats.h"
#include "engine/base/progress.h"
#include "engine/base/units.h"
#include "engine/enlarge/consistency.h"
#include "engine/enlarge/network.h"
#include "engine/render/borders.h"
#include "engine/render/source_rows.h"

namespace hangtrue::render {

class EnlargedBlocks {
  public:
    /// Puts picture pixels (`part` lies within the picture) into planes, in the working form.
    using FromPicture = std::function<void(base::PixelRect part, const SourceRows& rows,
                                           const std::array<float*, 3>& planes, std::size_t stride)>;

    static constexpr int most_doublings = 2;
    static constexpr std::size_t most_kept_bytes = 300'000'000;

    /// `network` outlives this. The second doubling is told that the picture is clean and crisp: it is given the first
    /// one's result without grain, whatever becomes of that in the end.
    EnlargedBlocks(const enlarge::Network& network, const enlarge::Measures& measures, base::PixelSize picture,
                   int doublings, enlarge::Grain grain, FromPicture from_picture,
                   std::size_t kept_bytes = most_kept_bytes);

    /// One thread's memory; a set for each doubling, since the second is in the middle of its own while it asks for the
    /// first.
    struct Scratch {
        struct OfDoubling {
            base::AlignedFloats source;   ///< Of a block.
            base::AlignedFloats smaller;  ///< What a part is made consistent with…
            base::AlignedFloats larger;   ///< …and the part itself.
        };
        std::array<OfDoubling, most_doublings> doublings;
        base::AlignedFloats consistency;
        enlarge::Network::Scratch network;
    };

    /// First and last-plus-one picture row that rows [first, last) of the enlarged picture are computed from.
    std::pair<int, int> picture_rows(int first, int last) const;

    /// The pixels `part` of the enlarged picture, which may reach beyond it: its border is repeated there. `rows` holds
    /// what picture_rows() says. Thread-safe. Throws Cancelled.
    void fill(base::PixelRect part, const SourceRows& rows, const std::array<float*, 3>& planes, std::size_t stride,
              Scratch& scratch, const base::Progress& progress);

  private:
    using Key = std::tuple<int, int, int>;  ///< Doubling, row, column.
    using Block = base::AlignedFloats;      ///< Three planes.
    struct Kept {
        std::shared_ptr<const Block> block;  ///< Nothing while a thread computes it.
        std::list<Key>::iterator age;
    };

    base::PixelSize size_after(int doublings) const;
    const enlarge::Consistency& consistency(int doubling, enlarge::Grain grain) const;
    /// The part of the picture after so many doublings; 0: the picture itself. Within it.
    void fill_inside(int doubling, enlarge::Grain grain, base::PixelRect part, const SourceRows& rows,
                     const std::array<float*, 3>& planes, std::size_t stride, Scratch& scratch,
                     const base::Progress& progress);
    void fill_extended(int doubling, enlarge::Grain grain, base::PixelRect part, Beyond beyond, const SourceRows& rows,
                       const std::array<float*, 3>& planes, std::size_t stride, Scratch& scratch,
                       const base::Progress& progress);
    void fill_from_blocks(int doubling, base::PixelRect part, const SourceRows& rows,
                          const std::array<float*, 3>& planes, std::size_t stride, Scratch& scratch,
                          const base::Progress& progress);
    std::shared_ptr<const Block> block(Key key, const SourceRows& rows, Scratch& scratch,
                                       const base::Progress& progress);
    std::shared_ptr<const Block> computed(Key key, const SourceRows& rows, Scratch& scratch,
                                          const base::Progress& progress);

    const enlarge::Network& m_network;
    enlarge::Measures m_measures;
    enlarge::Grain m_grain;
    enlarge::Consistency m_first_calm, m_first_kept, m_second;
    base::PixelSize m_picture;
    int m_doublings;
    FromPicture m_from_picture;
    std::size_t m_most_blocks;

    std::mutex m_mutex;
    std::condition_variable m_changed;
    std::map<Key, Kept> m_kept;
    std::list<Key> m_ages;  ///< Of finished blocks, the one that was used last in front.
};

}  // namespace hangtrue::render

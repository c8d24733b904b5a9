// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The picture as the network makes it, twice as large, or four times, and made consistent with what it came from.
///
/// The network works on pieces of what is wanted (pieces.h). Each is computed once, by the thread that wants it first,
/// and kept while there is room. Consistency is computed for the part that is asked for. Each sample comes from the
/// same sums wherever a piece or a part begins: so neither windows, nor threads, nor what is kept change a bit.

#include <array>
#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <set>
#include <utility>
#include <vector>

#include "engine/base/aligned_floats.h"
#include "engine/base/progress.h"
#include "engine/base/units.h"
#include "engine/enlarge/consistency.h"
#include "engine/enlarge/network.h"
#include "engine/render/borders.h"
#include "engine/render/pieces.h"
#include "engine/render/source_rows.h"

namespace hangtrue::render {

class EnlargedBlocks {
  public:
    /// Puts picture pixels (`part` lies within the picture) into planes, in the working form.
    using FromPicture = std::function<void(base::PixelRect part, const SourceRows& rows,
                                           const std::array<float*, 3>& planes, std::size_t stride)>;

    static constexpr std::size_t most_bytes = 480'000'000;

    /// What is asked of it.
    struct Wanted {
        int doublings = 1;  ///< 1 or 2.
        enlarge::Grain grain = enlarge::Grain::keep;
        base::PixelRect part;  ///< Of the enlarged picture, not empty: what lies outside is not computed.
        int threads = 1;
        std::size_t bytes = most_bytes;  ///< For kept pieces and the scratch of all threads.
    };

    /// `network` outlives this. The second doubling is told that it is given what the network made: the first
    /// one's result without grain, whatever becomes of that in the end.
    EnlargedBlocks(const enlarge::Network& network, const enlarge::Measures& measures, base::PixelSize picture,
                   const Wanted& wanted, FromPicture from_picture);
    ~EnlargedBlocks();

    /// First and last-plus-one picture row that rows [first, last) of the enlarged picture are computed from.
    std::pair<int, int> picture_rows(int first, int last) const;

    /// Says that `part` will be asked for, and hands over the rows that picture_rows() tells of it. Returns how many
    /// pieces of the network's work that adds: as many calls of make_announced(), by any threads, make them before
    /// they are waited for.
    int announce(base::PixelRect part, const SourceRows& rows);
    /// Makes the next piece that was announced and not begun, if there is one. Thread-safe. Throws Cancelled.
    void make_announced(const base::Progress& progress);

    /// Says that no row of the enlarged picture above this one is likely to be asked for again. Thread-safe.
    void forget_above(int row);

    /// The pixels `part` of the enlarged picture, which may reach beyond it: its border is repeated there, and that of
    /// what is wanted. `rows` holds what picture_rows() says. Thread-safe; makes the pieces that are missing, and
    /// others while it waits for one; waits while as many threads as memory allows are at work. Throws Cancelled.
    void fill(base::PixelRect part, const SourceRows& rows, const std::array<float*, 3>& planes, std::size_t stride,
              const base::Progress& progress);

  private:
    struct Piece {
        int doubling = 1;
        int row = 0;
        int column = 0;
        friend auto operator<=>(const Piece&, const Piece&) = default;
    };
    struct Announced {
        Piece piece;
        SourceRows rows;
    };
    using Result = base::AlignedFloats;  ///< Three planes, of a piece twice as wide and high.
    using Results = std::map<Piece, std::shared_ptr<const Result>>;  ///< Nothing while a thread computes it.
    struct Scratch;
    class Lease;
    /// All pieces of a doubling.
    struct Level {
        PieceGrid grid;
        std::size_t most_bytes = 0;
        std::size_t bytes = 0;  ///< Of the results, those under way too.
        Results results;
    };

    base::PixelSize size_after(int doublings) const;
    const enlarge::Consistency& consistency(int doubling, enlarge::Grain grain) const;
    /// What the network must be given for `part` after so many doublings, its own surroundings left out.
    base::PixelRect given_for(base::PixelRect part, int doubling, enlarge::Grain grain) const;
    Level& level(int doubling) { return m_levels[static_cast<std::size_t>(doubling - 1)]; }
    const Level& level(int doubling) const { return m_levels[static_cast<std::size_t>(doubling - 1)]; }
    void announce(base::PixelRect part, int doubling, enlarge::Grain grain, const SourceRows& rows);
    std::optional<Announced> next_announced();
    static Results::iterator dropped(Level& of, Results::iterator at);

    /// The part of the picture after so many doublings; 0: the picture itself. Within it.
    void fill_inside(int doubling, enlarge::Grain grain, base::PixelRect part, const SourceRows& rows,
                     const std::array<float*, 3>& planes, std::size_t stride, Scratch& scratch,
                     const base::Progress& progress);
    void fill_extended(int doubling, enlarge::Grain grain, base::PixelRect part, Beyond beyond, const SourceRows& rows,
                       const std::array<float*, 3>& planes, std::size_t stride, Scratch& scratch,
                       const base::Progress& progress);
    void fill_from_pieces(int doubling, base::PixelRect part, const SourceRows& rows,
                          const std::array<float*, 3>& planes, std::size_t stride, Scratch& scratch,
                          const base::Progress& progress);
    std::shared_ptr<const Result> result(Piece piece, const SourceRows& rows, Scratch& scratch,
                                         const base::Progress& progress);
    std::shared_ptr<const Result> computed(Piece piece, const SourceRows& rows, Scratch& scratch,
                                           const base::Progress& progress);

    const enlarge::Network& m_network;
    enlarge::Measures m_measures;
    enlarge::Grain m_grain;
    enlarge::Consistency m_first_calm, m_first_kept, m_second;
    base::PixelSize m_picture;
    base::PixelRect m_wanted;
    int m_doublings;
    FromPicture m_from_picture;

    std::mutex m_mutex;
    std::condition_variable m_changed;
    std::vector<Level> m_levels;
    std::deque<Announced> m_announced;  ///< And not begun.
    std::set<Piece> m_ever_announced;

    std::mutex m_scratch_mutex;
    std::condition_variable m_scratch_given_back;
    std::vector<std::unique_ptr<Scratch>> m_scratch;  ///< What no thread has.
};

}  // namespace hangtrue::render

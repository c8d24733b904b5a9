// SPDX-License-Identifier: Apache-2.0
#include "engine/render/enlarged_blocks.h"

#include <algorithm>
#include <utility>

#include "engine/render/borders.h"

namespace hangtrue::render {
namespace {

base::PixelRect whole(base::PixelSize size) { return {0, 0, size.width, size.height}; }

/// `part` counted from the upper left corner of `frame`.
base::PixelRect seen_from(base::PixelRect part, base::PixelRect frame) {
    return {part.x - frame.x, part.y - frame.y, part.width, part.height};
}

/// What of the picture half as large `part` comes from, with `halo` pixels around.
base::PixelRect smaller_part(base::PixelRect part, int halo) {
    const int x = (part.x >> 1) - halo;
    const int y = (part.y >> 1) - halo;
    return {x, y, ((part.right() + 1) >> 1) + halo - x, ((part.bottom() + 1) >> 1) + halo - y};
}

std::array<float*, 3> planes_in(base::AlignedFloats& buffer, base::PixelRect size) {
    const auto floats = static_cast<std::size_t>(size.width) * static_cast<std::size_t>(size.height);
    float* const first = buffer.room_for(3 * floats);
    return {first, first + floats, first + 2 * floats};
}

std::array<float*, 3> moved(const std::array<float*, 3>& planes, base::PixelRect to, std::size_t stride) {
    const std::size_t by = static_cast<std::size_t>(to.y) * stride + static_cast<std::size_t>(to.x);
    return {planes[0] + by, planes[1] + by, planes[2] + by};
}

/// Of both grids: the pixels of the result that `given` pixels become.
base::PixelRect doubled(base::PixelRect given) { return {2 * given.x, 2 * given.y, 2 * given.width, 2 * given.height}; }

base::PixelRect with_halo(base::PixelRect part, enlarge::Halo halo) {
    const int both = halo.before_px + halo.after_px;
    return {part.x - halo.before_px, part.y - halo.before_px, part.width + both, part.height + both};
}

/// The same, begun where the network's parts may begin.
base::PixelRect begun_at_a_place(base::PixelRect part) {
    const int x = part.x % enlarge::Network::place_px;
    const int y = part.y % enlarge::Network::place_px;
    return {part.x - x, part.y - y, part.width + x, part.height + y};
}

}  // namespace

/// One thread's memory; a set for each doubling, since the second is in the middle of its own while it asks for the
/// first.
struct EnlargedBlocks::Scratch {
    struct OfDoubling {
        base::AlignedFloats source;   ///< Of a piece.
        base::AlignedFloats smaller;  ///< What a part is made consistent with…
        base::AlignedFloats larger;   ///< …and the part itself.
    };
    std::array<OfDoubling, 2> doublings;
    base::AlignedFloats consistency;
    enlarge::Network::Scratch network;
};

/// A scratch that is given back at the end; waits until there is one.
class EnlargedBlocks::Lease {
  public:
    explicit Lease(EnlargedBlocks& owner) : m_owner(owner) {
        std::unique_lock lock(owner.m_scratch_mutex);
        owner.m_scratch_given_back.wait(lock, [&] { return !owner.m_scratch.empty(); });
        m_scratch = std::move(owner.m_scratch.back());
        owner.m_scratch.pop_back();
    }
    ~Lease() {
        {
            const std::lock_guard lock(m_owner.m_scratch_mutex);
            m_owner.m_scratch.push_back(std::move(m_scratch));
        }
        m_owner.m_scratch_given_back.notify_one();
    }
    Lease(const Lease&) = delete;
    Lease& operator=(const Lease&) = delete;
    Scratch& operator*() const { return *m_scratch; }

  private:
    EnlargedBlocks& m_owner;
    std::unique_ptr<Scratch> m_scratch;
};

EnlargedBlocks::EnlargedBlocks(const enlarge::Network& network, const enlarge::Measures& measures,
                               base::PixelSize picture, const Wanted& wanted, FromPicture from_picture)
    : m_network(network),
      m_measures(measures),
      m_grain(wanted.grain),
      m_first_calm(measures, enlarge::Grain::calm),
      m_first_kept(measures, wanted.grain),
      m_second(enlarge::Measures{}),
      m_picture(picture),
      m_doublings(wanted.doublings),
      m_from_picture(std::move(from_picture)) {
    m_wanted = base::intersection(wanted.part, whole(size_after(m_doublings)));
    std::vector<base::PixelRect> areas(static_cast<std::size_t>(m_doublings));
    base::PixelRect part = m_wanted;
    for (int doubling = m_doublings; doubling > 0; --doubling) {
        base::PixelRect& area = areas[static_cast<std::size_t>(doubling - 1)];
        area = begun_at_a_place(given_for(part, doubling, m_grain));
        part = base::intersection(with_halo(area, m_network.halo()), whole(size_after(doubling - 1)));
    }
    const PiecePlan plan = piece_plan(network, areas, wanted.threads, wanted.bytes);
    for (const PiecePlan::Level& one : plan.levels) m_levels.push_back({one.grid, one.most_bytes, 0, {}});
    for (int i = 0; i < plan.threads; ++i) m_scratch.push_back(std::make_unique<Scratch>());
}

EnlargedBlocks::~EnlargedBlocks() = default;

base::PixelSize EnlargedBlocks::size_after(int doublings) const {
    return {m_picture.width << doublings, m_picture.height << doublings};
}

const enlarge::Consistency& EnlargedBlocks::consistency(int doubling, enlarge::Grain grain) const {
    if (doubling > 1) return m_second;
    return grain == enlarge::Grain::calm ? m_first_calm : m_first_kept;
}

base::PixelRect EnlargedBlocks::given_for(base::PixelRect part, int doubling, enlarge::Grain grain) const {
    return base::intersection(smaller_part(part, consistency(doubling, grain).halo_px()),
                              whole(size_after(doubling - 1)));
}

std::pair<int, int> EnlargedBlocks::picture_rows(int first, int last) const {
    base::PixelRect part = base::intersection({m_wanted.x, first, m_wanted.width, last - first}, m_wanted);
    if (part.empty()) part = {m_wanted.x, std::clamp(first, m_wanted.y, m_wanted.bottom() - 1), 1, 1};
    for (int doubling = m_doublings; doubling > 0; --doubling) {
        const PieceGrid& grid = level(doubling).grid;
        const base::PixelRect given = base::intersection(given_for(part, doubling, m_grain), grid.area);
        const int top = grid.rect(grid.row_of(given.y), 0).y - m_network.halo().before_px;
        const int bottom = grid.rect(grid.row_of(given.bottom() - 1), 0).bottom() + m_network.halo().after_px;
        part = base::intersection({0, top, 1, bottom - top}, whole(size_after(doubling - 1)));
    }
    return {part.y, part.bottom()};
}

int EnlargedBlocks::announce(base::PixelRect part, const SourceRows& rows) {
    const std::lock_guard lock(m_mutex);
    const std::size_t before = m_ever_announced.size();
    announce(base::intersection(part, m_wanted), m_doublings, m_grain, rows);
    return static_cast<int>(m_ever_announced.size() - before);
}

void EnlargedBlocks::announce(base::PixelRect part, int doubling, enlarge::Grain grain, const SourceRows& rows) {
    if (doubling == 0 || part.empty()) return;
    const base::PixelRect given = given_for(part, doubling, grain);
    announce(given, doubling - 1, grain, rows);
    const PieceGrid& grid = level(doubling).grid;
    for (int row = grid.row_of(given.y); row <= grid.row_of(given.bottom() - 1); ++row) {
        for (int column = grid.column_of(given.x); column <= grid.column_of(given.right() - 1); ++column) {
            const Piece piece{doubling, row, column};
            if (!m_ever_announced.insert(piece).second) continue;
            const base::PixelRect source = with_halo(grid.rect(row, column), m_network.halo());
            announce(base::intersection(source, whole(size_after(doubling - 1))), doubling - 1, enlarge::Grain::calm,
                     rows);
            m_announced.push_back({piece, rows});
        }
    }
}

std::optional<EnlargedBlocks::Announced> EnlargedBlocks::next_announced() {
    while (!m_announced.empty()) {
        const Piece piece = m_announced.front().piece;
        const Level& own = level(piece.doubling);
        const bool is_begun = own.results.contains(piece);
        // What is made ahead must not push out what is still to be used.
        if (!is_begun && own.bytes + own.grid.bytes(piece.row, piece.column) > own.most_bytes) return std::nullopt;
        Announced next = std::move(m_announced.front());
        m_announced.pop_front();
        if (!is_begun) return next;
    }
    return std::nullopt;
}

void EnlargedBlocks::forget_above(int row) {
    const std::lock_guard lock(m_mutex);
    base::PixelRect part = base::intersection({m_wanted.x, row, m_wanted.width, m_wanted.bottom() - row}, m_wanted);
    for (int doubling = m_doublings; doubling > 0 && !part.empty(); --doubling) {
        Level& own = level(doubling);
        const int first = own.grid.row_of(given_for(part, doubling, m_grain).y);
        for (auto at = own.results.begin(); at != own.results.end() && at->first.row < first;) {
            at = at->second ? dropped(own, at) : std::next(at);
        }
        const int top = own.grid.rect(first, 0).y - m_network.halo().before_px;
        part = base::intersection({0, top, own.grid.area.right(), own.grid.area.bottom() - top},
                                  whole(size_after(doubling - 1)));
    }
}

EnlargedBlocks::Results::iterator EnlargedBlocks::dropped(Level& of, Results::iterator at) {
    of.bytes -= of.grid.bytes(at->first.row, at->first.column);
    return of.results.erase(at);
}

void EnlargedBlocks::make_announced(const base::Progress& progress) {
    const Lease scratch(*this);
    std::unique_lock lock(m_mutex);
    const std::optional<Announced> next = next_announced();
    lock.unlock();
    if (next) (void)result(next->piece, next->rows, *scratch, progress);
}

void EnlargedBlocks::fill(base::PixelRect part, const SourceRows& rows, const std::array<float*, 3>& planes,
                          std::size_t stride, const base::Progress& progress) {
    const base::PixelRect inside = base::intersection(part, m_wanted);
    if (inside.empty()) {
        for (float* plane : planes) {
            for (int y = 0; y < part.height; ++y) {
                std::fill_n(plane + static_cast<std::size_t>(y) * stride, part.width, 0.0f);
            }
        }
        return;
    }
    const Lease scratch(*this);
    const base::PixelRect inner = seen_from(inside, part);
    for (int y = inside.y; y < inside.bottom(); y += rows_filled_at_once) {
        const base::PixelRect strip = base::intersection({inside.x, y, inside.width, rows_filled_at_once}, inside);
        fill_inside(m_doublings, m_grain, strip, rows, moved(planes, seen_from(strip, part), stride), stride, *scratch,
                    progress);
    }
    extend(planes, stride, {part.width, part.height}, inner, Beyond::repeated);
}

void EnlargedBlocks::fill_inside(int doubling, enlarge::Grain grain, base::PixelRect part, const SourceRows& rows,
                                 const std::array<float*, 3>& planes, std::size_t stride, Scratch& scratch,
                                 const base::Progress& progress) {
    if (doubling == 0) {
        m_from_picture(part, rows, planes, stride);
        return;
    }
    auto& own = scratch.doublings[static_cast<std::size_t>(doubling - 1)];
    const enlarge::Consistency& consistent = consistency(doubling, grain);
    const base::PixelRect smaller = smaller_part(part, consistent.halo_px());
    const base::PixelRect larger{2 * smaller.x, 2 * smaller.y, 2 * smaller.width, 2 * smaller.height};
    const auto smaller_stride = static_cast<std::size_t>(smaller.width);
    const std::array<float*, 3> picture = planes_in(own.smaller, smaller);
    fill_extended(doubling - 1, grain, smaller, Beyond::mirrored, rows, picture, smaller_stride, scratch, progress);

    const std::array<float*, 3> enlarged = planes_in(own.larger, larger);
    const base::PixelRect inside = base::intersection(larger, whole(size_after(doubling)));
    const base::PixelRect inner = seen_from(inside, larger);
    fill_from_pieces(doubling, inside, rows, moved(enlarged, inner, 2 * smaller_stride), 2 * smaller_stride, scratch,
                     progress);
    extend(enlarged, 2 * smaller_stride, {larger.width, larger.height}, inner, Beyond::mirrored);

    consistent.apply({{picture[0], picture[1], picture[2]}, smaller_stride}, smaller.width, smaller.height,
                     {enlarged, 2 * smaller_stride}, scratch.consistency);
    const auto from = moved(enlarged, seen_from(part, larger), 2 * smaller_stride);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        for (int y = 0; y < part.height; ++y) {
            std::copy_n(from[channel] + static_cast<std::size_t>(y) * 2 * smaller_stride, part.width,
                        planes[channel] + static_cast<std::size_t>(y) * stride);
        }
    }
}

/// The same, where `part` may reach beyond the picture.
void EnlargedBlocks::fill_extended(int doubling, enlarge::Grain grain, base::PixelRect part, Beyond beyond,
                                   const SourceRows& rows, const std::array<float*, 3>& planes, std::size_t stride,
                                   Scratch& scratch, const base::Progress& progress) {
    const base::PixelRect inside = base::intersection(part, whole(size_after(doubling)));
    const base::PixelRect inner = seen_from(inside, part);
    fill_inside(doubling, grain, inside, rows, moved(planes, inner, stride), stride, scratch, progress);
    extend(planes, stride, {part.width, part.height}, inner, beyond);
}

/// As the network made it.
void EnlargedBlocks::fill_from_pieces(int doubling, base::PixelRect part, const SourceRows& rows,
                                      const std::array<float*, 3>& planes, std::size_t stride, Scratch& scratch,
                                      const base::Progress& progress) {
    const PieceGrid& grid = level(doubling).grid;
    for (int row = grid.row_of(part.y / 2); row <= grid.row_of((part.bottom() - 1) / 2); ++row) {
        for (int column = grid.column_of(part.x / 2); column <= grid.column_of((part.right() - 1) / 2); ++column) {
            const auto made = result({doubling, row, column}, rows, scratch, progress);
            const base::PixelRect frame = doubled(grid.rect(row, column));
            const base::PixelRect common = base::intersection(part, frame);
            const auto width = static_cast<std::size_t>(frame.width);
            const std::size_t plane = width * static_cast<std::size_t>(frame.height);
            const base::PixelRect inner = seen_from(common, frame);
            const std::array<float*, 3> to = moved(planes, seen_from(common, part), stride);
            for (std::size_t channel = 0; channel < 3; ++channel) {
                const float* from = made->all().data() + channel * plane + static_cast<std::size_t>(inner.y) * width +
                                    static_cast<std::size_t>(inner.x);
                for (std::size_t y = 0; y < static_cast<std::size_t>(common.height); ++y) {
                    std::copy_n(from + y * width, common.width, to[channel] + y * stride);
                }
            }
        }
    }
}

std::shared_ptr<const EnlargedBlocks::Result> EnlargedBlocks::result(Piece piece, const SourceRows& rows,
                                                                     Scratch& scratch, const base::Progress& progress) {
    Level& own = level(piece.doubling);
    std::unique_lock lock(m_mutex);
    while (true) {
        const auto found = own.results.find(piece);
        if (found == own.results.end()) break;
        if (found->second) return found->second;
        // The scratch of the last doubling is all that is in use here: what another piece needs is free.
        const std::optional<Announced> other = piece.doubling == m_doublings ? next_announced() : std::nullopt;
        if (other) {
            lock.unlock();
            (void)result(other->piece, other->rows, scratch, progress);
            lock.lock();
        } else {
            m_changed.wait(lock);
        }
    }
    own.results[piece];
    own.bytes += own.grid.bytes(piece.row, piece.column);
    lock.unlock();
    std::shared_ptr<const Result> made;
    try {
        made = computed(piece, rows, scratch, progress);
    } catch (...) {
        lock.lock();
        own.results.erase(piece);
        own.bytes -= own.grid.bytes(piece.row, piece.column);
        m_changed.notify_all();  // Who waits for it computes it, or ends as this did.
        throw;
    }
    lock.lock();
    own.results[piece] = made;
    // A print is made from its top: what lies highest is needed least.
    for (auto at = own.results.begin(); own.bytes > own.most_bytes && at != own.results.end();) {
        at = at->second ? dropped(own, at) : std::next(at);
    }
    m_changed.notify_all();
    return made;
}

std::shared_ptr<const EnlargedBlocks::Result> EnlargedBlocks::computed(Piece piece, const SourceRows& rows,
                                                                       Scratch& scratch,
                                                                       const base::Progress& progress) {
    const base::PixelRect given = level(piece.doubling).grid.rect(piece.row, piece.column);
    const base::PixelRect part = with_halo(given, m_network.halo());
    const auto stride = static_cast<std::size_t>(part.width);
    const std::array<float*, 3> source =
        planes_in(scratch.doublings[static_cast<std::size_t>(piece.doubling - 1)].source, part);
    fill_extended(piece.doubling - 1, enlarge::Grain::calm, part, Beyond::mirrored, rows, source, stride, scratch,
                  progress);

    const auto made = std::make_shared<Result>();
    const enlarge::Measures measures = piece.doubling == 1 ? m_measures : enlarge::own_result;
    m_network.enlarge({{source[0], source[1], source[2]}, stride}, {given.width, given.height}, measures,
                      {planes_in(*made, doubled(given)), 2 * static_cast<std::size_t>(given.width)}, scratch.network,
                      progress);
    return made;
}

}  // namespace hangtrue::render

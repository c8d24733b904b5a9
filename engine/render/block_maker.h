// SPDX-License-Identifier: Apache-2.0
#pragma once

/// One block of the file: from the picture's rows to float planes in file space. The whole way of the pixels
/// stands in block_maker.cpp, in order.

#include <array>
#include <cstddef>
#include <memory>

#include "engine/base/aligned_floats.h"
#include "engine/colour/conversion.h"
#include "engine/enlarge/network.h"
#include "engine/enlarge/resampler.h"
#include "engine/plan/plan.h"
#include "engine/raster/row_reader.h"
#include "engine/render/enlarged_blocks.h"
#include "engine/render/likeness.h"
#include "engine/render/source_rows.h"

namespace hangtrue::render {

/// What turns this plan's picture into this plan's file, settled and looked up by the caller; outlives the rendering.
struct Stages {
    const plan::Plan& plan;
    const colour::WorkingForm& working;
    const colour::Conversion* conversion;       ///< None: the samples are left in the working form (rendered_variants).
    std::array<float, 3> fill{1, 1, 1};         ///< The flat colour of borders and wraps, in file space, 0..1.
    const enlarge::Network* network = nullptr;  ///< The plan's, where it enlarges with one…
    LikenessRecord* likeness = nullptr;         ///< …and where it is noted how like the picture that is, if it shall.
};

/// Three planes in a worker's scratch, rows `stride` floats apart; valid until its next block.
struct BlockPlanes {
    std::array<float*, 3> planes{};
    std::size_t stride = 0;
};

/// A worker's buffers: one set a thread, used again for every block.
struct BlockScratch {
    base::AlignedFloats source;
    base::AlignedFloats work;
    base::AlignedFloats composed;
    base::AlignedFloats resampling;
    base::AlignedFloats sharpening;
    base::AlignedFloats compared;  ///< Of the picture.
};

class BlockMaker {
  public:
    /// `picture`: what the rows are of: the plan's picture, or that shrunk by a whole factor (shrunk_rows.h).
    /// `wanted`: the file pixels that are asked for; where a network enlarges, the other ones of a block are not to be
    /// used. `threads`: how many there are.
    BlockMaker(const Stages& stages, const raster::PictureInfo& picture, int shrunk_by, base::PixelRect wanted,
               int threads);

    /// First and last-plus-one picture row that the file rows of `part` are computed from.
    struct RowRange {
        int first;
        int last;
    };
    RowRange picture_rows(base::PixelRect part) const;

    /// As EnlargedBlocks has them, for file pixels and for their band's rows; 0 and nothing without a network.
    int announce(base::PixelRect part, const SourceRows& rows) const;
    void make_announced(const base::Progress& progress) const;
    void forget_above(base::PixelRect part) const;

    /// `block`: a whole block of the grid. Thread-safe, each thread with its own scratch.
    /// Throws Cancelled.
    BlockPlanes made(base::PixelRect block, const SourceRows& rows, BlockScratch& scratch,
                     const base::Progress& progress) const;

  private:
    base::PixelRect unmirrored(base::PixelRect part) const;
    BlockPlanes made_upright(base::PixelRect block, const SourceRows& rows, BlockScratch& scratch,
                             const base::Progress& progress) const;
    BlockPlanes image_part(base::PixelRect part, const SourceRows& rows, BlockScratch& scratch,
                           const base::Progress& progress) const;
    /// What of the enlarged picture the image pixels of a file part come from.
    base::PixelRect enlarged_part(base::PixelRect part) const;
    void fill_source(base::PixelRect needed, const SourceRows& rows, const std::array<float*, 3>& planes,
                     std::size_t stride, const base::Progress& progress) const;
    base::PixelRect with_compared(base::PixelRect needed) const;
    void note_likeness(base::PixelRect needed, const LikenessRecord::Planes& enlarged, const SourceRows& rows,
                       BlockScratch& scratch) const;
    void from_picture(base::PixelRect part, const SourceRows& rows, const std::array<float*, 3>& planes,
                      std::size_t stride) const;
    BlockPlanes with_fill(base::PixelRect block, const SourceRows& rows, BlockScratch& scratch,
                          const base::Progress& progress) const;

    const Stages& m_stages;
    const raster::PictureInfo& m_picture;
    enlarge::Mapping m_mapping;  ///< Onto the file from the picture, or from what the network makes of it.
    std::unique_ptr<EnlargedBlocks> m_enlarged;  ///< Where the plan enlarges with a network.
    std::array<float, 3> m_luminance_weights{};
    int m_halo = 0;
};

}  // namespace hangtrue::render

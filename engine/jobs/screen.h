// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Pictures and prints for the screen: pixels in memory, and plans as fast as they can be had.
///
/// A PictureAtHand keeps one picture open for many questions. One thread at a time; a program that looks and measures
/// at once has one for each. Nothing here writes: no record, nothing measured is remembered.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "engine/base/hash.h"
#include "engine/base/units.h"
#include "engine/checks/checks.h"
#include "engine/jobs/context.h"
#include "engine/jobs/proofs.h"
#include "engine/plan/plan.h"
#include "engine/plan/sizes.h"
#include "engine/plan/wish.h"

namespace hangtrue::jobs {

/// Interleaved R, G, B, row by row; 16-bit samples in the machine's byte order.
struct ScreenPixels {
    base::PixelSize size;
    int bits = 8;
    std::vector<std::byte> samples;
    std::vector<std::byte> profile;  ///< ICC profile that the samples are in.
};

/// A wish settled for looking: plans, one a panel, and what would go wrong.
struct SettledPrint {
    std::vector<plan::Plan> plans;
    std::vector<checks::Finding> findings;  ///< Of the plans alone; looked_over() finds the rest.
    std::string notice;                     ///< As in Viewed; mostly empty.
    bool whole = false;  ///< False: of the shape alone (shape()); sharpening and network are not settled.
    struct Inside;       ///< What the pixels are computed with.
    std::shared_ptr<const Inside> inside;
};

/// The same print as the filter alone would enlarge it, a hundredth of the work: a first sight while a network works.
/// Sharpened as planned. The print itself where no network enlarges.
SettledPrint by_filter(SettledPrint print);

/// Pixels as they are printed, and what that rests on.
struct PrintedPixels {
    ScreenPixels pixels;  ///< In the screen's profile.
    ProofBasis basis = ProofBasis::assumed;
    bool hatches = false;  ///< As wished, where the print's gamut is known.
    std::vector<std::string> sentences;
};

class PictureAtHand {
  public:
    /// Opens the picture and reads its header. Throws as raster::open_picture.
    PictureAtHand(const std::filesystem::path& picture, Context& context);
    ~PictureAtHand();
    PictureAtHand(const PictureAtHand&) = delete;
    PictureAtHand& operator=(const PictureAtHand&) = delete;

    const std::filesystem::path& path() const;
    base::PixelSize size() const;  ///< Upright.
    int bits() const;
    bool profile_assumed() const;
    const std::vector<std::string>& remarks() const;

    /// The whole picture reduced to `longest_side` at most, 8-bit sRGB. Reads it once through.
    ScreenPixels small(int longest_side, Context& context);
    /// Rows and columns picked out, nothing averaged: a first sight while the rest is read. Same size and space as
    /// small(). Where rows can only be read in order it costs what reading costs.
    ScreenPixels coarse(int longest_side, Context& context);

    /// The wish settled as far as it decides sizes and crop, from the header alone. Throws InvalidWish.
    SettledPrint shape(const plan::Wish& wish, Context& context);

    /// The wish settled whole: the first call hashes and measures the picture (or asks the ledger), and tries the
    /// network where one enlarges. Throws InvalidWish, LedgerFailed, Cancelled.
    SettledPrint settled(const plan::Wish& wish, Context& context);
    bool is_measured() const;
    /// The sizes of the wish's medium, with how sharp each is once the picture is measured, by its pixels alone before.
    /// Throws InvalidWish for an unknown shop or medium.
    plan::MediumSizes sizes(const plan::Wish& wish, const Context& context) const;
    /// All findings of what settled() gave, the gravest first, as `check` has them: looks at the print's samples and
    /// into the records. Throws UnreadableInput, LedgerFailed, Cancelled.
    std::vector<checks::Finding> looked_over(const SettledPrint& print, const plan::Wish& wish, Context& context);
    /// Of the picture's bytes; all zero until it is measured.
    base::Sha256 content() const;

    /// What the print file holds in `window` (file pixels, clipped to the file), before lossy coding. `scale` 1:
    /// exactly; under 1: reduced as `view --scale` does it. `print` comes from settled(), of this or another object
    /// with the same picture. Throws InvalidWish for a window outside, or no such panel.
    ScreenPixels window(const SettledPrint& print, int panel, base::PixelRect window, double scale, Context& context);

    /// The same window as it is printed, in the colours of `screen_profile` (ICC, RGB; empty: sRGB). Throws
    /// UnreadableInput besides.
    PrintedPixels printed(const SettledPrint& print, int panel, base::PixelRect window, double scale,
                          const ProofWish& proof, std::span<const std::byte> screen_profile, Context& context);

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

/// The same of a made print file, as it decodes: for lossy ones. A JPEG is decoded from its top. Throws
/// UnreadableInput, InvalidWish, Cancelled.
ScreenPixels made_window(const std::filesystem::path& print_file, base::PixelRect window, double scale,
                         Context& context);

/// The SHA-256 of the picture file's bytes. Throws UnreadableInput, Cancelled.
base::Sha256 content_of(const std::filesystem::path& picture, Context& context);

}  // namespace hangtrue::jobs

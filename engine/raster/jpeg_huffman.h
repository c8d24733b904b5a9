// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Huffman tables made for one picture, without keeping its coefficients in memory: the picture is coded
/// once with the tables of ITU-T T.81 Annex K, the symbols of that code are counted, and it is coded again.
///
/// One thread at a time.

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace hangtrue::raster {

/// A table as a DHT segment has it (T.81, B.2.4.2): how many codes there are of each length, 1 to 16 at [1]
/// to [16], and their symbols, shortest first.
struct HuffmanTable {
    std::array<std::uint8_t, 17> lengths{};
    std::vector<std::uint8_t> symbols;
};

using SymbolCounts = std::array<std::int64_t, 256>;

/// The table that codes symbols of these counts in the fewest bits with no code longer than 16 bits and
/// none of ones alone (T.81, K.2). At least one count is not zero.
HuffmanTable best_table(const SymbolCounts& counts);

/// Follows the coded scan of a baseline JPEG of three components, not subsampled, without restarts, and
/// counts its symbols: the first component uses the first pair of tables, the others the second.
class SymbolCounter {
  public:
    struct Tables {
        HuffmanTable dc;
        HuffmanTable ac;
    };
    struct Counts {
        SymbolCounts dc{};
        SymbolCounts ac{};
    };

    /// `blocks` of 8 x 8 samples, of all three components together, are in the scan.
    SymbolCounter(const std::array<Tables, 2>& tables, std::int64_t blocks);

    /// The next bytes of the scan; they may end anywhere. What follows the last block is not looked at.
    void add(std::span<const std::byte> bytes);

    /// The counts of the whole scan, once all of it was added.
    const std::array<Counts, 2>& finish();

  private:
    struct Code {
        std::uint8_t symbol = 0;
        std::uint8_t length = 0;  ///< 0: these bits begin no code.
    };
    using Lookup = std::vector<Code>;  ///< By the next 16 bits.
    static Lookup lookup_of(const HuffmanTable& table);
    void follow();

    std::array<Lookup, 2> m_dc;
    std::array<Lookup, 2> m_ac;
    std::array<Counts, 2> m_counts{};
    std::uint64_t m_bits = 0;  ///< The bits not yet followed are its lowest.
    int m_held = 0;
    bool m_after_ff = false;
    std::int64_t m_blocks_left;
    int m_component = 0;
    int m_coefficient = 0;  ///< Of the block, in zigzag order; 0 is the DC.
};

}  // namespace hangtrue::raster

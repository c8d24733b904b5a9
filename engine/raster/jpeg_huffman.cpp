// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/jpeg_huffman.h"

#include <cassert>

namespace hangtrue::raster {
namespace {

// One symbol more than there are: it takes the code of ones alone, which the format forbids, and is then
// dropped.
constexpr std::size_t reserved = 256;
constexpr int longest_code = 16;
constexpr int none = -1;

/// The symbol or tree of least count, the last of equals, `other` aside.
int rarest(const std::array<std::int64_t, 257>& counts, int other) {
    int best = none;
    for (int i = 0; i < static_cast<int>(counts.size()); ++i) {
        const std::int64_t count = counts[static_cast<std::size_t>(i)];
        if (count == 0 || i == other) continue;
        if (best == none || count <= counts[static_cast<std::size_t>(best)]) best = i;
    }
    return best;
}

/// T.81, figure K.1: the length of each symbol's code, before any limit.
std::array<int, 257> code_sizes(const SymbolCounts& symbol_counts) {
    std::array<std::int64_t, 257> counts{};
    for (std::size_t i = 0; i < symbol_counts.size(); ++i) counts[i] = symbol_counts[i];
    counts[reserved] = 1;
    std::array<int, 257> sizes{};
    std::array<int, 257> next{};  // chains the symbols of one tree
    next.fill(none);
    for (;;) {
        const int first = rarest(counts, none);
        const int second = rarest(counts, first);
        if (second == none) return sizes;
        counts[static_cast<std::size_t>(first)] += counts[static_cast<std::size_t>(second)];
        counts[static_cast<std::size_t>(second)] = 0;
        int last = first;
        for (int i = first; i != none; i = next[static_cast<std::size_t>(i)]) {
            ++sizes[static_cast<std::size_t>(i)];
            last = i;
        }
        next[static_cast<std::size_t>(last)] = second;
        for (int i = second; i != none; i = next[static_cast<std::size_t>(i)]) ++sizes[static_cast<std::size_t>(i)];
    }
}

}  // namespace

HuffmanTable best_table(const SymbolCounts& counts) {
    const std::array<int, 257> sizes = code_sizes(counts);
    std::array<int, 258> of_length{};
    for (const int size : sizes) {
        if (size > 0) ++of_length[static_cast<std::size_t>(size)];
    }
    // T.81, figure K.3: a pair of codes that are too long becomes one a bit shorter and, with the prefix of a
    // shorter one, two a bit longer than that.
    for (std::size_t length = of_length.size() - 1; length > longest_code; --length) {
        while (of_length[length] > 0) {
            std::size_t shorter = length - 2;
            while (of_length[shorter] == 0) --shorter;
            of_length[length] -= 2;
            ++of_length[length - 1];
            of_length[shorter + 1] += 2;
            --of_length[shorter];
        }
    }
    std::size_t longest = longest_code;
    while (of_length[longest] == 0) --longest;
    --of_length[longest];  // the reserved symbol's
    HuffmanTable table;
    for (std::size_t length = 1; length <= longest_code; ++length) {
        table.lengths[length] = static_cast<std::uint8_t>(of_length[length]);
    }
    for (int size = 1; size < static_cast<int>(of_length.size()); ++size) {
        for (std::size_t symbol = 0; symbol < reserved; ++symbol) {
            if (sizes[symbol] == size) table.symbols.push_back(static_cast<std::uint8_t>(symbol));
        }
    }
    return table;
}

SymbolCounter::SymbolCounter(const std::array<Tables, 2>& tables, std::int64_t blocks) : m_blocks_left(blocks) {
    for (std::size_t i = 0; i < tables.size(); ++i) {
        m_dc[i] = lookup_of(tables[i].dc);
        m_ac[i] = lookup_of(tables[i].ac);
    }
}

SymbolCounter::Lookup SymbolCounter::lookup_of(const HuffmanTable& table) {
    // T.81, annex C: codes of one length follow one another; the next length goes on with a zero bit more.
    Lookup lookup(std::size_t{1} << longest_code);
    std::size_t code = 0;
    std::size_t symbol = 0;
    for (std::size_t length = 1; length <= longest_code; ++length) {
        const std::size_t span = std::size_t{1} << (longest_code - length);
        for (int i = 0; i < table.lengths[length]; ++i, ++code, ++symbol) {
            for (std::size_t at = 0; at < span; ++at) {
                lookup[code * span + at] = {table.symbols[symbol], static_cast<std::uint8_t>(length)};
            }
        }
        code <<= 1;
    }
    return lookup;
}

void SymbolCounter::add(std::span<const std::byte> bytes) {
    for (const std::byte byte : bytes) {
        // The zero behind each FF is no part of the code (T.81, F.1.2.3).
        if (m_after_ff) {
            m_after_ff = false;
            if (byte == std::byte{0}) continue;
        }
        m_after_ff = byte == std::byte{0xff};
        m_bits = m_bits << 8 | std::to_integer<std::uint64_t>(byte);
        m_held += 8;
        if (m_held >= 48) {
            follow();
            if (m_blocks_left == 0) m_held = 0;
        }
    }
    follow();
}

const std::array<SymbolCounter::Counts, 2>& SymbolCounter::finish() {
    // The last codes may end less than the longest code before the end of the scan.
    m_bits <<= 32;
    m_held += 32;
    follow();
    assert(m_blocks_left == 0);
    return m_counts;
}

void SymbolCounter::follow() {
    // A code of 16 bits and a value of up to 15 after it: with fewer bits than that, more may be missing.
    constexpr int most_bits = longest_code + 15;
    while (m_held >= most_bits && m_blocks_left > 0) {
        const std::size_t tables = m_component == 0 ? 0 : 1;
        const bool dc = m_coefficient == 0;
        const Lookup& lookup = dc ? m_dc[tables] : m_ac[tables];
        const Code code = lookup[m_bits >> (m_held - longest_code) & 0xffffU];
        assert(code.length > 0);
        ++(dc ? m_counts[tables].dc : m_counts[tables].ac)[code.symbol];
        m_held -= code.length + (code.symbol & 15);
        const int zeros = code.symbol >> 4;
        if (!dc && code.symbol == 0) {
            m_coefficient = 64;  // end of block
        } else {
            m_coefficient += dc ? 1 : zeros + 1;
        }
        if (m_coefficient >= 64) {
            m_coefficient = 0;
            m_component = (m_component + 1) % 3;
            --m_blocks_left;
        }
    }
}

}  // namespace hangtrue::raster

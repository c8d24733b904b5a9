// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Scratch floats on 64-byte boundaries, as vector code likes them. Grows, never shrinks, holds no promise
/// about its contents after growing. One owner, one thread.

#include <cstddef>
#include <cstdlib>
#include <memory>
#include <new>
#include <span>

namespace hangtrue::base {

inline constexpr std::size_t float_alignment = 16;  ///< Floats in 64 bytes.

/// `count` rounded up to whole 64-byte lines.
constexpr std::size_t aligned_floats(std::size_t count) {
    return (count + float_alignment - 1) / float_alignment * float_alignment;
}

class AlignedFloats {
  public:
    /// At least `count` floats.
    float* room_for(std::size_t count) {
        if (count > m_count) {
            const std::size_t rounded = aligned_floats(count);
            m_data.reset(static_cast<float*>(std::aligned_alloc(64, rounded * sizeof(float))));
            if (!m_data) throw std::bad_alloc();
            m_count = rounded;
        }
        return m_data.get();
    }
    std::span<float> all() { return {m_data.get(), m_count}; }
    std::span<const float> all() const { return {m_data.get(), m_count}; }

  private:
    struct Freer {
        void operator()(float* pointer) const { std::free(pointer); }
    };
    std::unique_ptr<float, Freer> m_data;
    std::size_t m_count = 0;
};

}  // namespace hangtrue::base

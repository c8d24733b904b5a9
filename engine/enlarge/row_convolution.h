// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A 3 x 3 convolution of a few rows of pixels, by oneDNN's direct kernels.
///
/// All channels of a pixel lie together, rows one after the other, so that any run of rows is a picture of its own and
/// nothing is copied to take one. A sum comes from the same products in the same order wherever its pixel lies and
/// however many rows and columns are computed with it (tests hold that): so shapes are free to choose.

#include <map>
#include <mutex>
#include <oneapi/dnnl/dnnl.hpp>
#include <span>

#include "engine/base/aligned_floats.h"

namespace hangtrue::enlarge {

enum class After { nothing, relu, add };  ///< What becomes of the sums; add: to what stood there before.

/// Rows that one call gives, from two more: as few as keep what a call touches in the caches near the processor, and
/// as many as make what is carried from call to call cheap.
inline constexpr int rows_a_call = 8;

/// `channels`, filled up to what the vector units take at once.
int filled_channels(int channels);

/// Kernel and biases as oneDNN wants them; channels filled up with zeros.
struct LaidOutWeights {
    dnnl::memory kernel;
    dnnl::memory biases;
};

class RowConvolution {
  public:
    struct Shape {
        int inputs;  ///< Filled up, like outputs.
        int outputs;
        int width;
        After after;
        auto operator<=>(const Shape&) const = default;
    };
    RowConvolution(const dnnl::engine& engine, const Shape& shape);

    /// `kernel`: outputs x inputs x 3 x 3, not filled up.
    LaidOutWeights laid_out(std::span<const float> kernel, std::span<const float> biases, int inputs,
                            int outputs) const;

    /// rows_a_call + 2 rows in, rows_a_call out, of Shape::width pixels. Left and right of a row there is zero.
    /// Thread-safe, each thread with its own scratchpad.
    void run(const dnnl::stream& stream, float* source, const LaidOutWeights& weights, float* result,
             base::AlignedFloats& scratchpad) const;

  private:
    dnnl::engine m_engine;
    dnnl::convolution_forward::primitive_desc m_description;
    dnnl::convolution_forward m_convolution;
};

/// Each convolution that was ever asked for, made once. Thread-safe.
class RowConvolutions {
  public:
    explicit RowConvolutions(const dnnl::engine& engine) : m_engine(engine) {}
    /// Stays where it is as long as this does.
    const RowConvolution& of(const RowConvolution::Shape& shape);

  private:
    dnnl::engine m_engine;
    std::mutex m_mutex;
    std::map<RowConvolution::Shape, RowConvolution> m_made;
};

}  // namespace hangtrue::enlarge

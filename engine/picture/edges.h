// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Blur from how soft the picture's edges are. Pure arithmetic; thread-safe.

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "engine/optics/values.h"

namespace hangtrue::picture {

/// A rectangle of luminance (0..255), rows `stride` floats apart.
struct Plane {
    const float* data = nullptr;
    int width = 0;
    int height = 0;
    std::size_t stride = 0;
    const float* row(int y) const { return data + static_cast<std::size_t>(y) * stride; }
};

/// The same with rows for columns; lies in `buffer`, which must outlive it.
Plane turned(const Plane& plane, std::vector<float>& buffer);

/// Which edges count, and how many there must be.
struct EdgeDemand {
    double contrast = 0;           ///< Of 255, at least…
    double contrast_to_noise = 0;  ///< …and so many times the noise's standard deviation.
    std::int64_t edges = 0;
};

/// Edges of one scale, counted by contrast and by what blurring them once more leaves of their slope: a sharp edge
/// loses much, a soft one little (Zhuo, Sim 2011, who compare the slopes' peaks; here their energies, which do not
/// depend on where between two pixels an edge lies). Memory does not grow with their number.
class EdgeCounts {
  public:
    /// Counts the edges across the plane's rows and across its columns.
    void add(const Plane& plane);

    struct Found {
        std::int64_t edges = 0;  ///< That stand far enough above the noise.
        double sigma_px = 0;     ///< The Gaussian by which the sharper ones among them are blurred.
    };
    Found sharpest(const optics::Noise& noise, const EdgeDemand& demand) const;

  private:
    void add_rows(const Plane& plane);

    static constexpr int contrast_bins = 16;
    static constexpr int ratio_bins = 512;
    std::array<std::array<std::int64_t, ratio_bins>, contrast_bins> m_counts{};
    std::vector<float> m_slopes;
    std::vector<float> m_blurred;
    std::vector<float> m_turned;
};

/// The picture's blur, from its edges at full size and of means of 2 x 2 and 4 x 4 pixels, where softer edges show.
class PictureEdges {
  public:
    void add(const Plane& plane);

    /// Of the sharpest parts: at least a pixel's own, 0.29; 0 where the picture has no edges to tell by.
    optics::Blur blur(const optics::Noise& noise) const;

  private:
    std::array<EdgeCounts, 3> m_scales;
    std::int64_t m_pixels = 0;
    std::vector<float> m_means;
    std::vector<float> m_means_of_means;
};

}  // namespace hangtrue::picture

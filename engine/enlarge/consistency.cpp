// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/consistency.h"

#include <algorithm>
#include <cmath>

namespace hangtrue::enlarge {
namespace {

// The cubic widened to twice the distance, at 1/4, 3/4, 5/4 and 7/4 of a coarse pixel to each side.
constexpr float near_weights[] = {0.43359375f, 0.11328125f, -0.03515625f, -0.01171875f};

/// Below this the blur is the picture's own, that of any crisp one.
constexpr double least_blur_px = 0.3;

std::vector<float> gaussian(double sigma) {
    if (sigma < least_blur_px) return {};
    const int reach = static_cast<int>(std::ceil(3 * sigma));
    std::vector<float> weights;
    double sum = 0;
    for (int at = -reach; at <= reach; ++at) sum += std::exp(-0.5 * at * at / (sigma * sigma));
    for (int at = -reach; at <= reach; ++at) {
        weights.push_back(static_cast<float>(std::exp(-0.5 * at * at / (sigma * sigma)) / sum));
    }
    return weights;
}

/// What coding has done to the samples, as a standard deviation: measured on photographs coded at qualities 75 to 95
/// with halved colour, root mean square 1.8 to 3.4 of 255.
double coding_sd(const Measures& measures) { return measures.coding > 0 ? (1.4 + 4 * measures.coding) / 255 : 0; }

/// Eight rows or columns of the finer grid around one pixel of the coarser.
float reduced(const float* at, std::size_t step) {
    float sum = 0;
    for (std::size_t i = 0; i < 4; ++i) {
        sum += near_weights[i] * (at[(4 + i) * step] + at[(3 - i) * step]);
    }
    return sum;
}

/// `scratch`: a row, and one more for each weight.
void soften(float* plane, int width, int height, const std::vector<float>& weights, float* scratch) {
    const int reach = static_cast<int>(weights.size()) / 2;
    const auto w = static_cast<std::size_t>(width);
    float* const line = scratch;
    for (int y = 0; y < height; ++y) {
        float* row = plane + static_cast<std::size_t>(y) * w;
        std::copy_n(row, w, line);
        for (int x = reach; x < width - reach; ++x) {
            float sum = 0;
            for (int i = -reach; i <= reach; ++i) sum += weights[static_cast<std::size_t>(i + reach)] * line[x + i];
            row[x] = sum;
        }
    }
    // Down the columns, a row at a time: the rows above are kept as they were before.
    const std::size_t kept = weights.size();
    float* const before = line + w;
    const auto before_row = [&](int y) { return before + static_cast<std::size_t>(y) % kept * w; };
    for (int y = 0; y < std::min(height, 2 * reach); ++y) {
        std::copy_n(plane + static_cast<std::size_t>(y) * w, w, before_row(y));
    }
    for (int y = reach; y < height - reach; ++y) {
        std::copy_n(plane + static_cast<std::size_t>(y + reach) * w, w, before_row(y + reach));
        float* row = plane + static_cast<std::size_t>(y) * w;
        std::fill_n(row, w, 0.0f);
        for (int i = -reach; i <= reach; ++i) {
            const float weight = weights[static_cast<std::size_t>(i + reach)];
            const float* from = before_row(y + i);
            for (std::size_t x = 0; x < w; ++x) row[x] += weight * from[x];
        }
    }
}

}  // namespace

Consistency::Consistency(const Measures& measures, Grain grain)
    : m_gaussian(gaussian(measures.undone_blur_px)),
      m_tolerance(static_cast<float>(2.5 * std::hypot(measures.noise_sd, coding_sd(measures)))) {
    if (grain == Grain::keep && measures.noise_sd > 0) {
        const double noise = measures.noise_sd * measures.noise_sd;
        const double coding = coding_sd(measures) * coding_sd(measures);
        m_grain_share = static_cast<float>(noise / (noise + coding));
    }
}

void Consistency::made_small(const float* enlarged, std::size_t stride, int width, int height, float* small,
                             float* scratch) const {
    const auto w = static_cast<std::size_t>(width);
    std::fill_n(small, w * static_cast<std::size_t>(height), 0.0f);
    for (int y = 2; y < height - 2; ++y) {
        const float* rows = enlarged + static_cast<std::size_t>(2 * y - 3) * stride;
        for (std::size_t x = 0; x < 2 * w; ++x) scratch[x] = reduced(rows + x, stride);
        float* out = small + static_cast<std::size_t>(y) * w;
        for (std::size_t x = 2; x + 2 < w; ++x) out[x] = reduced(scratch + 2 * x - 3, 1);
    }
    if (!m_gaussian.empty()) soften(small, width, height, m_gaussian, scratch);
}

void Consistency::apply(const RgbPlanes<const float>& picture, int width, int height, const RgbPlanes<float>& enlarged,
                        base::AlignedFloats& scratch) const {
    const auto w = static_cast<std::size_t>(width);
    float* const room = scratch.room_for(w * static_cast<std::size_t>(height) + scratch_floats(width));
    for (int i = 0; i < steps; ++i) step(picture, width, height, enlarged, m_tolerance, 1, room);
    if (m_grain_share == 0) return;
    for (int i = 0; i < steps; ++i) step(picture, width, height, enlarged, 0, m_grain_share, room);
}

/// Adds `share` of what is missing beyond `tolerance`.
void Consistency::step(const RgbPlanes<const float>& picture, int width, int height, const RgbPlanes<float>& enlarged,
                       float tolerance, float share, float* scratch) const {
    const auto w = static_cast<std::size_t>(width);
    float* const missing = scratch;
    float* const line = missing + w * static_cast<std::size_t>(height);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        made_small(enlarged.planes[channel], enlarged.stride, width, height, missing, line);
        for (int y = 0; y < height; ++y) {
            const float* wanted = picture.planes[channel] + static_cast<std::size_t>(y) * picture.stride;
            float* row = missing + static_cast<std::size_t>(y) * w;
            const bool known = y >= 2 && y < height - 2;
            for (std::size_t x = 0; x < w; ++x) {
                const float difference = wanted[x] - row[x];
                const float beyond = difference - std::clamp(difference, -tolerance, tolerance);
                row[x] = known && x >= 2 && x + 2 < w ? share * beyond : 0.0f;
            }
        }
        float* const start = enlarged.planes[channel] + 4 * enlarged.stride + 4;
        add_doubled(missing + 2 * w + 2, w, width - 4, height - 4, start, enlarged.stride);
    }
}

}  // namespace hangtrue::enlarge

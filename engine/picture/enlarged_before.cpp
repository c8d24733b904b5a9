// SPDX-License-Identifier: Apache-2.0
#include "engine/picture/enlarged_before.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <unsupported/Eigen/FFT>

namespace hangtrue::picture {
namespace {

constexpr float most_difference = 24;  // An edge counts no more than fine structure.
constexpr int least_side = 128;

constexpr std::size_t places = 2049;  // Frequencies from 0 to half a cycle a pixel.

constexpr double frequency_of(std::size_t place) { return 0.5 * static_cast<double>(place) / (places - 1); }

// How the means differ from those around them, so that the scene's own light and dark do not count.
std::vector<double> about_one(const std::vector<double>& sums) {
    constexpr std::ptrdiff_t reach = 24;
    const auto count = static_cast<std::ptrdiff_t>(sums.size());
    std::vector<double> running(sums.size() + 1);
    for (std::size_t i = 0; i < sums.size(); ++i) running[i + 1] = running[i] + sums[i];
    std::vector<double> result(sums.size());
    for (std::ptrdiff_t i = 0; i < count; ++i) {
        const std::ptrdiff_t from = std::max<std::ptrdiff_t>(0, i - reach);
        const std::ptrdiff_t to = std::min(count, i + reach + 1);
        const double around = (running[static_cast<std::size_t>(to)] - running[static_cast<std::size_t>(from)]) /
                              static_cast<double>(to - from);
        const double window =
            0.5 - 0.5 * std::cos(2 * std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(count));
        const double off = around > 0 ? sums[static_cast<std::size_t>(i)] / around - 1 : 0;
        // A line across the whole picture is one event, not a period.
        result[static_cast<std::size_t>(i)] = window * std::clamp(off, -0.5, 0.5);
    }
    return result;
}

// How far each frequency stands out of its surroundings.
std::vector<double> prominence(const std::vector<double>& sums) {
    std::size_t length = 2 * (places - 1);
    while (length < 2 * sums.size()) length *= 2;
    std::vector<double> values = about_one(sums);
    values.resize(length);
    std::vector<std::complex<double>> transformed;
    Eigen::FFT<double> fft;
    fft.fwd(transformed, values);
    // The largest of those that fall to one place.
    std::vector<double> magnitudes(places);
    const std::size_t step = length / (2 * (places - 1));
    for (std::size_t i = 0; i < places; ++i) {
        const std::size_t middle = i * step;
        const std::size_t from = middle < step / 2 ? 0 : middle - step / 2;
        for (std::size_t k = from; k <= std::min(middle + step / 2, length / 2); ++k)
            magnitudes[i] = std::max(magnitudes[i], std::abs(transformed[k]));
    }
    constexpr std::size_t reach = 160;
    std::vector<double> result(places);
    std::vector<double> around;
    for (std::size_t i = 0; i < places; ++i) {
        const std::size_t from = i < reach ? 0 : i - reach;
        const std::size_t to = std::min(places, i + reach + 1);
        around.assign(magnitudes.begin() + static_cast<std::ptrdiff_t>(from),
                      magnitudes.begin() + static_cast<std::ptrdiff_t>(to));
        const auto middle = around.begin() + static_cast<std::ptrdiff_t>(around.size() / 2);
        std::ranges::nth_element(around, middle);
        result[i] = *middle > 1e-12 ? magnitudes[i] / *middle : 0;
    }
    return result;
}

// The larger of both; the ends, which are no differences, left out.
std::vector<double> prominence_of_either(const std::vector<double>& first, const std::vector<double>& second) {
    const auto without_ends = [](const std::vector<double>& sums) {
        return std::vector<double>(sums.begin() + 1, sums.end() - 1);
    };
    std::vector<double> result = prominence(without_ends(first));
    const std::vector<double> other = prominence(without_ends(second));
    for (std::size_t i = 0; i < places; ++i) result[i] = std::max(result[i], other[i]);
    return result;
}

// What lies above the frequency that `factor` leaves, as a share of what lies below: next to nothing where it is right.
double left_above(const Resolved& resolved, double factor) {
    const auto power = [&](double from, double to) {
        double sum = 0;
        int count = 0;
        for (int ring = 1; ring < spectrum_rings; ++ring) {
            if (ring_frequency(ring) < from || ring_frequency(ring) > to) continue;
            const auto r = static_cast<std::size_t>(ring);
            sum += std::max(0.0, resolved.power[r] - resolved.noise[r]);
            ++count;
        }
        return count > 0 ? sum / count : 0;
    };
    const double below = power(0.30 / factor, 0.42 / factor);
    return below > 0 ? power(0.58 / factor, 0.70 / factor) / below : 1;
}

}  // namespace

EnlargedTraces::EnlargedTraces(base::PixelSize size)
    : m_size(size),
      m_across{std::vector<double>(static_cast<std::size_t>(size.width)),
               std::vector<double>(static_cast<std::size_t>(size.width))},
      m_down{std::vector<double>(static_cast<std::size_t>(size.height)),
             std::vector<double>(static_cast<std::size_t>(size.height))},
      m_before{std::vector<float>(static_cast<std::size_t>(size.width)),
               std::vector<float>(static_cast<std::size_t>(size.width))} {}

void EnlargedTraces::add_row(std::span<const float> row) {
    if (std::min(m_size.width, m_size.height) < least_side) return;
    const std::size_t width = row.size();
    for (std::size_t x = 1; x + 1 < width; ++x) {
        const float first = std::abs(row[x + 1] - row[x]);
        const float second = std::abs(row[x - 1] - 2 * row[x] + row[x + 1]);
        m_across.first[x] += static_cast<double>(std::min(first, most_difference));
        m_across.second[x] += static_cast<double>(std::min(second, most_difference));
    }
    auto& oldest = m_before[static_cast<std::size_t>(m_rows % 2)];
    const auto& last = m_before[static_cast<std::size_t>((m_rows + 1) % 2)];
    if (m_rows >= 2) {
        constexpr std::size_t lanes = 16;  // Sums side by side, always in the same order.
        std::array<float, lanes> firsts{};
        std::array<float, lanes> seconds{};
        for (std::size_t x = 0; x + lanes <= width; x += lanes) {
            for (std::size_t i = 0; i < lanes; ++i) {
                const float first = std::abs(row[x + i] - last[x + i]);
                const float second = std::abs(oldest[x + i] - 2 * last[x + i] + row[x + i]);
                firsts[i] += std::min(first, most_difference);
                seconds[i] += std::min(second, most_difference);
            }
        }
        const auto middle = static_cast<std::size_t>(m_rows - 1);
        for (const float lane : firsts) m_down.first[middle] += static_cast<double>(lane);
        for (const float lane : seconds) m_down.second[middle] += static_cast<double>(lane);
    }
    std::ranges::copy(row, oldest.begin());
    ++m_rows;
}

double EnlargedTraces::factor(const Resolved& resolved, bool is_coded) const {
    if (std::min(m_size.width, m_size.height) < least_side || resolved.cycles_per_px == 0) return 1;
    const std::vector<double> of_columns = prominence_of_either(m_across.first, m_across.second);
    const std::vector<double> of_rows = prominence_of_either(m_down.first, m_down.second);
    constexpr std::size_t off = 2;  // Sides are rounded to whole pixels: the two periods may differ a little.
    const auto stands_out = [&](std::size_t place) {
        double rows = 0;
        for (std::size_t i = place - std::min(place, off); i <= std::min(place + off, places - 1); ++i)
            rows = std::max(rows, of_rows[i]);
        return std::min(of_columns[place], rows);
    };
    const auto at = [&](double frequency) {
        return stands_out(static_cast<std::size_t>(std::lround(frequency * 2 * (places - 1))));
    };
    // By chance none of 2049 places goes beyond 4 times the median; patterns in the scene, and a camera's own, reach 10
    // (measured on photographs).
    constexpr double wanted = 14;
    const double of_blocks = is_coded ? std::max(at(0.125), at(0.375)) : 0;
    const auto strongest = [&](bool on_block_grid) {
        double best = 1;
        double most = wanted;
        for (std::size_t place = places / 8; place < places; ++place) {
            const double frequency = frequency_of(place);
            const double strength = stands_out(place);
            const bool is_on_grid = is_coded && std::abs(frequency * 8 - std::round(frequency * 8)) < 0.024;
            if (strength < most || is_on_grid != on_block_grid || (is_on_grid && strength < 1.5 * of_blocks)) continue;
            // Of the two, the larger that the spectrum allows.
            for (const double factor : {1 / frequency, 1 / (1 - frequency)}) {
                // A period of two has one factor alone, and plain averaging leaves much above.
                const double limit = frequency > 0.49 ? 0.25 : 0.08;
                if (factor < 1.2 || factor > 6 || left_above(resolved, factor) > limit) continue;
                best = factor;
                most = strength;
                break;
            }
        }
        return best;
    };
    // What the blocks cannot have made comes first.
    const double off_grid = strongest(false);
    return off_grid > 1 ? off_grid : strongest(true);
}

}  // namespace hangtrue::picture

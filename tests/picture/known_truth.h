// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Pictures whose detail is known: photographs reduced four times, and then filtered by frequency.

#include <algorithm>
#include <cmath>
#include <complex>
#include <filesystem>
#include <functional>
#include <string>
#include <unsupported/Eigen/FFT>
#include <utility>
#include <vector>

#include "tests/picture/pictures.h"
#include "tests/support/pictures.h"

namespace hangtrue::test {

/// The demo photographs of Debian's lomiri-wallpapers (CC-BY-4.0, Aitzol Berasategi).
inline std::filesystem::path demo_photograph(const std::string& name) {
    return "/usr/share/backgrounds/" + name + "_by_Aitzol_Berasategi.jpg";
}

/// Luminance of a photograph, each pixel the mean of 4 x 4: what the camera left below 0.125 cycles a pixel fills the
/// reduced picture to its end.
inline Grey reduced_photograph(const std::string& name) {
    const support::TestPicture photograph = support::decoded_jpeg(demo_photograph(name));
    const int width = photograph.size.width / 64 * 16;
    const int height = photograph.size.height / 64 * 16;
    Grey grey(width, height);
    constexpr std::array weights{0.2126, 0.7152, 0.0722};
    for (int y = 0; y < 4 * height; ++y) {
        for (int x = 0; x < 4 * width; ++x) {
            for (int c = 0; c < 3; ++c) {
                grey.at(x / 4, y / 4) += weights[static_cast<std::size_t>(c)] * photograph.at(x, y, c) / 16;
            }
        }
    }
    return grey;
}

/// Its middle.
inline Grey middle_of(const Grey& grey, int width, int height) {
    Grey middle(width, height);
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x)
            middle.at(x, y) = grey.at((grey.width - width) / 2 + x, (grey.height - height) / 2 + y);
    }
    return middle;
}

/// A picture, mirrored at its edges, by frequency.
class Frequencies {
  public:
    explicit Frequencies(const Grey& grey) : m_grey(grey) {
        const auto mirrored = [](int i, int length) { return i < length ? i : 2 * length - 1 - i; };
        Eigen::FFT<double> fft;
        std::vector<std::vector<Complex>> rows(count(2 * grey.height));
        std::vector<Complex> row(count(2 * grey.width));
        for (int y = 0; y < 2 * grey.height; ++y) {
            for (int x = 0; x < 2 * grey.width; ++x)
                row[count(x)] = grey.at(mirrored(x, grey.width), mirrored(y, grey.height));
            fft.fwd(rows[count(y)], row);
        }
        std::vector<Complex> column(rows.size());
        m_columns.resize(count(2 * grey.width));
        for (std::size_t x = 0; x < m_columns.size(); ++x) {
            for (std::size_t y = 0; y < rows.size(); ++y) column[y] = rows[y][x];
            fft.fwd(m_columns[x], column);
        }
    }

    /// Each frequency times `response` of its cycles a pixel, whatever its direction.
    Grey times(const std::function<double(double)>& response) const {
        const int width = 2 * m_grey.width;
        const int height = 2 * m_grey.height;
        const auto frequency = [](int i, int length) { return static_cast<double>(std::min(i, length - i)) / length; };
        Eigen::FFT<double> fft;
        std::vector<std::vector<Complex>> rows(count(m_grey.height), std::vector<Complex>(count(width)));
        for (int x = 0; x < width; ++x) {
            std::vector<Complex> column = m_columns[count(x)];
            for (int y = 0; y < height; ++y)
                column[count(y)] *= response(std::hypot(frequency(x, width), frequency(y, height)));
            std::vector<Complex> back;
            fft.inv(back, column);
            for (std::size_t y = 0; y < rows.size(); ++y) rows[y][count(x)] = back[y];
        }
        Grey result = m_grey;
        std::vector<Complex> back;
        for (int y = 0; y < m_grey.height; ++y) {
            fft.inv(back, rows[count(y)]);
            for (int x = 0; x < m_grey.width; ++x) result.at(x, y) = back[count(x)].real();
        }
        return result;
    }

  private:
    using Complex = std::complex<double>;
    static std::size_t count(int i) { return static_cast<std::size_t>(i); }

    Grey m_grey;
    std::vector<std::vector<Complex>> m_columns;
};

/// As an interpolating program enlarges: Keys' cubic (a = -0.5), the pixels' middles kept.
inline Grey enlarged(const Grey& grey, double factor) {
    const auto weight = [](double t) {
        t = std::abs(t);
        if (t < 1) return 1.5 * t * t * t - 2.5 * t * t + 1;
        return t < 2 ? -0.5 * t * t * t + 2.5 * t * t - 4 * t + 2 : 0;
    };
    const auto along = [&](const Grey& from, bool across) {
        const int length = static_cast<int>(std::lround((across ? from.width : from.height) * factor));
        Grey to(across ? length : from.width, across ? from.height : length);
        for (int y = 0; y < to.height; ++y) {
            for (int x = 0; x < to.width; ++x) {
                const double place = ((across ? x : y) + 0.5) / factor - 0.5;
                const int first = static_cast<int>(std::floor(place)) - 1;
                for (int i = first; i < first + 4; ++i) {
                    const int u = across ? std::clamp(i, 0, from.width - 1) : x;
                    const int v = across ? y : std::clamp(i, 0, from.height - 1);
                    to.at(x, y) += weight(place - i) * from.at(u, v);
                }
            }
        }
        return to;
    };
    return along(along(grey, true), false);
}

}  // namespace hangtrue::test

// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/tone_fit.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <optional>
#include <vector>

#include "engine/trial/prior.h"

namespace hangtrue::trial {

namespace {

using colour::Correction;
using colour::Lab;

constexpr std::size_t knots = Correction::knots;
constexpr int inner = static_cast<int>(knots) - 2;  ///< Knots that move.
constexpr double step = Correction::knot_step;
constexpr double middle = 50;  ///< The L* at which shifts are stated.

/// How far a channel's curve may bend away from a shift and a contrast: a second difference, and the deviation itself.
/// Found with virtual shops: less follows kinks worse, more follows the noise of reading.
constexpr double bend_sd = 0.5;
constexpr double deviation_sd = 4;
/// What is nearer to the darkest print may have been sent as anything darker.
constexpr double above_black = 1.5;

/// The wedge: L* sent, L* read, made to rise (pool adjacent violators, Barlow et al. 1972).
struct Wedge {
    std::vector<double> sent;
    std::vector<double> read;

    double read_at(double lightness) const {
        const auto above = std::upper_bound(sent.begin(), sent.end(), lightness) - sent.begin();
        const auto right = static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(above, 1, std::ssize(sent) - 1));
        const double share = (lightness - sent[right - 1]) / (sent[right] - sent[right - 1]);
        return read[right - 1] + std::clamp(share, 0.0, 1.0) * (read[right] - read[right - 1]);
    }
};

Wedge wedge_of(std::span<const SentAndRead> patches) {
    std::vector<std::pair<double, double>> greys;
    for (const SentAndRead& patch : patches) {
        if (patch.kind == Patch::Kind::grey) greys.emplace_back(patch.sent.lightness, patch.read.lightness);
    }
    std::sort(greys.begin(), greys.end());
    struct Pool {
        double sum;
        std::size_t count;
    };
    std::vector<Pool> pools;
    for (const auto& [sent, read] : greys) {
        pools.push_back({read, 1});
        const auto mean = [](const Pool& pool) { return pool.sum / static_cast<double>(pool.count); };
        while (pools.size() > 1 && mean(pools[pools.size() - 2]) > mean(pools.back())) {
            pools[pools.size() - 2].sum += pools.back().sum;
            pools[pools.size() - 2].count += pools.back().count;
            pools.pop_back();
        }
    }
    Wedge wedge;
    for (const auto& [sent, read] : greys) wedge.sent.push_back(sent);
    for (const Pool& pool : pools) {
        wedge.read.insert(wedge.read.end(), pool.count, pool.sum / static_cast<double>(pool.count));
    }
    return wedge;
}

/// What the shop would print of a grey had it no error: colours darker than its black cut off, or all light between its
/// black and the paper (black point compensation, ISO 18619).
struct Way {
    std::function<double(double)> printed;  ///< L* sent to L* printed.
    std::function<double(double)> sent;     ///< Back.
};

std::vector<Way> ways(double black) {
    const double black_y = colour::luminance_of(black);
    return {
        {[=](double sent) { return std::max(sent, black); }, [=](double printed) { return printed; }},
        {[=](double sent) { return colour::lightness_of(black_y + colour::luminance_of(sent) * (1 - black_y)); },
         [=](double printed) {
             return colour::lightness_of(std::max(0.0, colour::luminance_of(printed) - black_y) / (1 - black_y));
         }},
    };
}

/// How unlikely the wedge is this way, with the likeliest lightness and contrast: least squares, by trying.
double strain_of(const Wedge& wedge, const Way& way) {
    const double black = wedge.read.front();
    constexpr double scatter = 1;  // What shops' tones bend beyond the two numbers.
    double least = 1e300;
    for (double lightness = -12; lightness <= 12; lightness += 0.75) {
        for (double contrast = -0.24; contrast <= 0.24; contrast += 0.02) {
            double strain = std::pow(lightness / shops_err.lightness, 2) + std::pow(contrast / shops_err.contrast, 2);
            for (std::size_t i = 0; i < wedge.sent.size(); ++i) {
                const double printed = way.printed(wedge.sent[i]);
                // Paper and black are what they are: errors fade towards both.
                const double tone = 100 * (printed - black) / (100 - black);
                const double expected = printed + colour::shift_weight(tone) * (lightness + contrast * (tone - 50));
                strain += std::pow((wedge.read[i] - expected) / scatter, 2);
            }
            least = std::min(least, strain);
        }
    }
    return least;
}

/// A curve of moved knots: a shift and a contrast that fade towards both ends, and deviations; by least squares with
/// priors.
class CurveFit {
  public:
    /// The priors' standard deviations, in L*; of the contrast, a share.
    CurveFit(double shift_sd, double contrast_sd) {
        m_normal(0, 0) += 1 / (shift_sd * shift_sd);
        m_normal(1, 1) += 1 / (contrast_sd * contrast_sd);
        for (int k = 0; k < inner; ++k) {
            m_normal(family + k, family + k) += 1 / (deviation_sd * deviation_sd);
            Eigen::VectorXd bend = Eigen::VectorXd::Zero(count);
            bend(family + k) = 2;
            if (k > 0) bend(family + k - 1) = -1;
            if (k + 1 < inner) bend(family + k + 1) = -1;
            m_normal += bend * bend.transpose() / (bend_sd * bend_sd);
        }
    }

    /// At that L* the curve is moved by `moved`.
    void observe(double lightness, double moved, double sd) {
        const Eigen::VectorXd row = row_at(lightness);
        m_normal += row * row.transpose() / (sd * sd);
        m_right += row * moved / (sd * sd);
    }

    void solve() {
        const Eigen::LDLT<Eigen::MatrixXd> factors(m_normal);
        m_solution = factors.solve(m_right);
        m_covariance = factors.solve(Eigen::MatrixXd::Identity(count, count));
    }
    double moved(double lightness) const { return row_at(lightness).dot(m_solution); }
    double sd(double lightness) const {
        const Eigen::VectorXd row = row_at(lightness);
        return std::sqrt(std::max(0.0, row.dot(m_covariance * row)));
    }

  private:
    static constexpr int family = 2;
    static constexpr int count = family + inner;

    static Eigen::VectorXd row_at(double lightness) {
        Eigen::VectorXd row = Eigen::VectorXd::Zero(count);
        const double place = std::clamp(lightness / step, 0.0, static_cast<double>(knots - 1));
        const int left = std::min(static_cast<int>(place), static_cast<int>(knots) - 2);
        const double share = place - left;
        for (const auto& [knot, part] : {std::pair{left, 1 - share}, std::pair{left + 1, share}}) {
            if (knot == 0 || knot == static_cast<int>(knots) - 1) continue;
            const double weight = colour::shift_weight(step * knot);
            row(0) += part * weight;
            row(1) += part * weight * (step * knot - middle);
            row(family + knot - 1) += part;
        }
        return row;
    }

    Eigen::MatrixXd m_normal = Eigen::MatrixXd::Zero(count, count);
    Eigen::VectorXd m_right = Eigen::VectorXd::Zero(count);
    Eigen::VectorXd m_solution;
    Eigen::MatrixXd m_covariance;
};

using ChannelFits = std::array<CurveFit, 3>;

/// How each channel of a middle grey changes with L*, a* and b*: rows are channels. Other greys differ little.
std::array<std::array<double, 3>, 3> channel_slopes() {
    std::array<std::array<double, 3>, 3> slopes{};
    const std::array<Lab, 3> ways{Lab{1, 0, 0}, Lab{0, 1, 0}, Lab{0, 0, 1}};
    for (std::size_t axis = 0; axis < 3; ++axis) {
        const Lab& way = ways[axis];
        const auto there = colour::channels_of({middle + way.lightness, way.a, way.b});
        const auto back = colour::channels_of({middle - way.lightness, -way.a, -way.b});
        for (std::size_t channel = 0; channel < 3; ++channel)
            slopes[channel][axis] = (there[channel] - back[channel]) / 2;
    }
    return slopes;
}

double length(const std::array<double, 3>& of) { return std::hypot(of[0], of[1], of[2]); }

/// What was read, as the channels that the shop would have had to be sent, had it no error.
colour::Channels meant(Lab read, const Way& way) {
    colour::Channels channels = colour::channels_of(read);
    for (double& channel : channels) channel = way.sent(channel);
    return channels;
}

ChannelFits fitted(std::span<const SentAndRead> patches, const Wedge& wedge, const Way& way, double trust) {
    const auto slopes = channel_slopes();
    const auto begun = [&](std::size_t channel) {
        const auto& [lightness, a, b] = slopes[channel];
        return CurveFit(length({lightness * shops_err.lightness, a * shops_err.a, b * shops_err.b}),
                        shops_err.contrast);
    };
    ChannelFits fits{begun(0), begun(1), begun(2)};
    const double dark = wedge.read.front() + above_black;
    for (const SentAndRead& patch : patches) {
        if (patch.kind == Patch::Kind::colour || patch.read.lightness < dark) continue;
        const colour::Channels sent = colour::channels_of(patch.sent);
        const colour::Channels read = colour::channels_of(patch.read);
        const colour::Channels wanted = meant(patch.read, way);
        for (std::size_t i = 0; i < 3; ++i) {
            if (read[i] < dark) continue;
            // Where the wedge is steep, an error of reading is a small one of the curve.
            const double slope = std::max(0.3, (wedge.read_at(sent[i] + 5) - wedge.read_at(sent[i] - 5)) / 10);
            // The reading's is spread over three axes, the trust holds for each.
            const double sd = length(slopes[i]) * std::hypot(patch.sd / std::numbers::sqrt3, trust);
            fits[i].observe(wanted[i], sent[i] - wanted[i], sd / slope);
        }
    }
    for (CurveFit& fit : fits) fit.solve();
    return fits;
}

Lab corrected_grey(const ChannelFits& fits, double lightness) {
    return colour::colour_of({lightness + fits[0].moved(lightness), lightness + fits[1].moved(lightness),
                              lightness + fits[2].moved(lightness)});
}

Correction curves_of(const ChannelFits& fits) {
    Correction curves = colour::no_correction();
    for (std::size_t i = 1; i + 1 < knots; ++i) {
        const Lab grey = corrected_grey(fits, step * static_cast<double>(i));
        curves.lightness[i] = grey.lightness;
        curves.a[i] = grey.a;
        curves.b[i] = grey.b;
    }
    return colour::made_valid(curves);
}

/// Of a grey's L*, a* and b*, from those of its channels. What the priors and the trust leave open of the lightness is
/// the same in all three, so those add up; tints are what the channels differ by.
Lab sd_of(const ChannelFits& fits, double lightness) {
    double lightness_sd = 0;
    double a_square = 0;
    double b_square = 0;
    for (std::size_t i = 0; i < 3; ++i) {
        colour::Channels more{middle, middle, middle};
        more[i] += 1;
        const Lab moved = colour::colour_of(more);
        const double sd = fits[i].sd(lightness);
        lightness_sd += (moved.lightness - middle) * sd;
        a_square += std::pow(moved.a * sd, 2);
        b_square += std::pow(moved.b * sd, 2);
    }
    return {lightness_sd, std::sqrt(a_square), std::sqrt(b_square)};
}

/// Root mean square, dE76: the greys that were sent, against what the curves say should have been sent for what came.
double misfit_of(std::span<const SentAndRead> patches, const Wedge& wedge, const Way& way, const Correction& curves) {
    const colour::Corrector corrector(curves);
    double squares = 0;
    int count = 0;
    for (const SentAndRead& patch : patches) {
        if (patch.kind != Patch::Kind::grey || patch.read.lightness < wedge.read.front() + above_black) continue;
        const Lab sent = corrector.corrected(colour::colour_of(meant(patch.read, way)));
        squares += std::pow(colour::delta_e_76(sent, patch.sent), 2);
        ++count;
    }
    return count > 0 ? std::sqrt(squares / count) : 0;
}

}  // namespace

std::optional<ToneFit> tone_fitted(std::span<const SentAndRead> patches, double trust) {
    const Wedge wedge = wedge_of(patches);
    constexpr std::size_t least_greys = 8;
    if (wedge.sent.size() < least_greys || wedge.sent.front() > 3 || wedge.sent.back() < 97) return std::nullopt;
    const std::vector<Way> possible = ways(wedge.read.front());
    const Way& way = *std::min_element(possible.begin(), possible.end(), [&](const Way& a, const Way& b) {
        return strain_of(wedge, a) < strain_of(wedge, b);
    });
    const ChannelFits fits = fitted(patches, wedge, way, trust);

    ToneFit result;
    result.curves = curves_of(fits);
    const Lab grey = corrected_grey(fits, middle);
    const double lighter = corrected_grey(fits, middle + 10).lightness;
    const double darker = corrected_grey(fits, middle - 10).lightness;
    result.shift = {grey.lightness - middle, grey.a, grey.b, (lighter - darker) / 20 - 1};
    const Lab sd = sd_of(fits, middle);
    result.sd = {sd.lightness, sd.a, sd.b,
                 std::hypot(sd_of(fits, middle + 10).lightness, sd_of(fits, middle - 10).lightness) / 20};
    result.misfit = misfit_of(patches, wedge, way, result.curves);
    return result;
}

}  // namespace hangtrue::trial

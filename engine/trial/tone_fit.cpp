// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/tone_fit.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <functional>
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

/// How far the curves may bend away from those four numbers: a second difference, and the deviation itself.
constexpr double bend_sd = 0.8;
constexpr double deviation_sd = 4;

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

/// A curve of moved knots: the family's part with its few numbers, and deviations, found by least squares with priors.
class CurveFit {
  public:
    /// `shapes`: what each number of the family moves a knot by; `sds`: of those numbers.
    CurveFit(std::vector<std::function<double(double)>> shapes, const std::vector<double>& sds)
        : m_shapes(std::move(shapes)), m_count(static_cast<int>(m_shapes.size()) + inner) {
        m_normal = Eigen::MatrixXd::Zero(m_count, m_count);
        m_right = Eigen::VectorXd::Zero(m_count);
        const int family = static_cast<int>(m_shapes.size());
        for (int i = 0; i < family; ++i)
            m_normal(i, i) += 1 / (sds[static_cast<std::size_t>(i)] * sds[static_cast<std::size_t>(i)]);
        for (int k = 0; k < inner; ++k) {
            m_normal(family + k, family + k) += 1 / (deviation_sd * deviation_sd);
            Eigen::VectorXd bend = Eigen::VectorXd::Zero(m_count);
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
        m_covariance = factors.solve(Eigen::MatrixXd::Identity(m_count, m_count));
    }
    double moved(double lightness) const { return row_at(lightness).dot(m_solution); }
    double sd(double lightness) const {
        const Eigen::VectorXd row = row_at(lightness);
        return std::sqrt(std::max(0.0, row.dot(m_covariance * row)));
    }

  private:
    Eigen::VectorXd row_at(double lightness) const {
        Eigen::VectorXd row = Eigen::VectorXd::Zero(m_count);
        const double place = std::clamp(lightness / step, 0.0, static_cast<double>(knots - 1));
        const int left = std::min(static_cast<int>(place), static_cast<int>(knots) - 2);
        const double share = place - left;
        for (const auto& [knot, part] : {std::pair{left, 1 - share}, std::pair{left + 1, share}}) {
            if (knot == 0 || knot == static_cast<int>(knots) - 1) continue;
            for (std::size_t i = 0; i < m_shapes.size(); ++i)
                row(static_cast<int>(i)) += part * m_shapes[i](step * knot);
            row(static_cast<int>(m_shapes.size()) + knot - 1) += part;
        }
        return row;
    }

    std::vector<std::function<double(double)>> m_shapes;
    int m_count;
    Eigen::MatrixXd m_normal;
    Eigen::VectorXd m_right;
    Eigen::VectorXd m_solution;
    Eigen::MatrixXd m_covariance;
};

/// At the knots: what a tone becomes, or what is added.
Correction::Curve curve_of(const CurveFit& fit, bool is_tone) {
    Correction::Curve curve{};
    for (std::size_t i = 0; i < knots; ++i) {
        const double lightness = step * static_cast<double>(i);
        curve[i] = fit.moved(lightness) + (is_tone ? lightness : 0);
    }
    return curve;
}

}  // namespace

std::optional<ToneFit> tone_fitted(std::span<const SentAndRead> patches, double trust) {
    const Wedge wedge = wedge_of(patches);
    constexpr std::size_t least_greys = 8;
    if (wedge.sent.size() < least_greys || wedge.sent.front() > 3 || wedge.sent.back() < 97) return std::nullopt;
    const double black = wedge.read.front();
    const std::vector<Way> possible = ways(black);
    const Way& way = *std::min_element(possible.begin(), possible.end(), [&](const Way& a, const Way& b) {
        return strain_of(wedge, a) < strain_of(wedge, b);
    });

    CurveFit lightness({[](double at) { return colour::shift_weight(at); },
                        [](double at) { return colour::shift_weight(at) * (at - 50); }},
                       {shops_err.lightness, shops_err.contrast});
    CurveFit a({[](double at) { return colour::shift_weight(at); }}, {shops_err.a});
    CurveFit b = a;
    constexpr double above_black = 1.5;  // What is nearer to it may have been sent as anything darker.
    for (std::size_t i = 0; i < wedge.sent.size(); ++i) {
        if (wedge.read[i] < black + above_black) continue;
        const double wanted = way.sent(wedge.read[i]);
        // Where the wedge is steep, an error of reading is a small one of the curve.
        const double slope = std::max(0.3, (wedge.read_at(wedge.sent[i] + 5) - wedge.read_at(wedge.sent[i] - 5)) / 10);
        lightness.observe(wanted, wedge.sent[i] - wanted, std::hypot(0.3, trust) / slope);
    }
    for (const SentAndRead& patch : patches) {
        if (patch.kind == Patch::Kind::colour || patch.read.lightness < black + above_black) continue;
        const double wanted = way.sent(wedge.read_at(patch.sent.lightness));
        const double sd = std::hypot(patch.sd, trust);
        a.observe(wanted, patch.sent.a - patch.read.a, sd);
        b.observe(wanted, patch.sent.b - patch.read.b, sd);
    }
    for (CurveFit* fit : {&lightness, &a, &b}) fit->solve();

    ToneFit result;
    result.curves = colour::made_valid({curve_of(lightness, /*is_tone=*/true), curve_of(a, false), curve_of(b, false)});
    constexpr double middle = 50;
    const double contrast = (lightness.moved(60) - lightness.moved(40)) / 20;
    result.shift = {lightness.moved(middle), a.moved(middle), b.moved(middle), contrast};
    result.sd = {lightness.sd(middle), a.sd(middle), b.sd(middle), std::hypot(lightness.sd(60), lightness.sd(40)) / 20};
    double squares = 0;
    int count = 0;
    for (const SentAndRead& patch : patches) {
        if (patch.kind != Patch::Kind::grey || patch.read.lightness < black + above_black) continue;
        const double wanted = way.sent(wedge.read_at(patch.sent.lightness));
        const Lab sent = colour::corrected(result.curves, {wanted, 0, 0});
        squares += std::pow(sent.lightness - patch.sent.lightness, 2) +
                   std::pow(sent.a - patch.sent.a + patch.read.a, 2) +
                   std::pow(sent.b - patch.sent.b + patch.read.b, 2);
        ++count;
    }
    result.misfit = count > 0 ? std::sqrt(squares / count) : 0;
    return result;
}

}  // namespace hangtrue::trial

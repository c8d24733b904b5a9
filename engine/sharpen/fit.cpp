// SPDX-License-Identifier: Apache-2.0
#include "engine/sharpen/fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "engine/optics/mtf.h"
#include "engine/sharpen/taps.h"

namespace hangtrue::sharpen {
namespace {

constexpr double smallest_sigma = 0.35;
constexpr double sigma_ratio = 1.25;
constexpr int sigma_count = 13;  // Up to 5.1 px.
constexpr double least_gain = 0.95;
constexpr double most_gain_in_all = 6.5;  // Sum of absolute gains: taps in error by 0.3 % stay within the 2 % promised.
constexpr int checked_frequencies = 72;   // From 0 to sqrt(1/2), where the grid's diagonal ends.

double sigma(int index) { return smallest_sigma * std::pow(sigma_ratio, index); }

double checked_frequency(int index) { return std::sqrt(0.5) * (index + 1) / checked_frequencies; }

// "Lift" is a gain less 1. One row a frequency: those of `wanted`, then those only checked (weight 0).
struct Problem {
    Eigen::MatrixXd lifts;  // A column a candidate sigma, at gain 1.
    Eigen::ArrayXd target;
    Eigen::ArrayXd most;
    Eigen::ArrayXd weight;
    Eigen::MatrixXd normal;  // Weighted products of the lifts with each other…
    Eigen::VectorXd right;   // …and with the target.
    double target_square = 0;
};

Problem problem_for(std::span<const Wanted> wanted, double limit) {
    const auto given = static_cast<Eigen::Index>(wanted.size());
    const Eigen::Index rows = given + checked_frequencies;
    Problem problem{Eigen::MatrixXd(rows, sigma_count),
                    Eigen::ArrayXd::Zero(rows),
                    Eigen::ArrayXd::Constant(rows, limit - 1),
                    Eigen::ArrayXd::Zero(rows),
                    {},
                    {},
                    0};
    for (Eigen::Index row = 0; row < rows; ++row) {
        double f = checked_frequency(static_cast<int>(row - given));
        if (row < given) {
            const Wanted& each = wanted[static_cast<std::size_t>(row)];
            f = each.cycles_per_px;
            problem.target(row) = each.gain - 1;
            problem.most(row) = std::min(each.most, limit) - 1;
            problem.weight(row) = each.weight;
        }
        for (int i = 0; i < sigma_count; ++i) problem.lifts(row, i) = 1 - optics::gaussian_mtf(sigma(i), f);
    }
    const Eigen::MatrixXd weighted = problem.lifts.array().colwise() * problem.weight;
    problem.normal = weighted.transpose() * problem.lifts;
    problem.right = weighted.transpose() * problem.target.matrix();
    problem.target_square = (problem.weight * problem.target.square()).sum();
    return problem;
}

struct Fit {
    std::vector<Term> terms;
    double error = std::numeric_limits<double>::infinity();  // Squared, weighted, times the price of the taps.
};

// Each tap costs time on each pixel: a wider or longer filter must earn it.
double price(std::span<const int> chosen) {
    int taps = 0;
    for (const int index : chosen) taps += radius_of(sigma(index));
    return 1 + 0.01 * taps;
}

// A little ridge: neighbouring sigmas must not fight with huge gains of opposite sign.
constexpr double ridge = 1e-5;

// The error where no bound stood in the way: bounds only add to it, so most choices need no closer look.
double least_error(const Problem& problem, std::span<const int> chosen) {
    Eigen::Matrix3d normal = Eigen::Matrix3d::Identity();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        const auto row = static_cast<Eigen::Index>(i);
        right(row) = problem.right(chosen[i]);
        for (std::size_t j = 0; j < chosen.size(); ++j) {
            normal(row, static_cast<Eigen::Index>(j)) = problem.normal(chosen[i], chosen[j]) * (i == j ? 1 + ridge : 1);
        }
    }
    const Eigen::Vector3d gains = normal.ldlt().solve(right);
    return (problem.target_square - gains.dot(right)) * price(chosen);
}

// Least squares over the chosen sigmas. Where a bound is passed, the bound becomes the target with a large
// weight and the sum is solved again; what is left in the end is scaled under the bounds.
Fit fit_of(const Problem& problem, std::span<const int> chosen) {
    const auto count = static_cast<Eigen::Index>(chosen.size());
    Eigen::MatrixXd lifts(problem.lifts.rows(), count);
    for (Eigen::Index i = 0; i < count; ++i) lifts.col(i) = problem.lifts.col(chosen[static_cast<std::size_t>(i)]);

    Eigen::ArrayXd weight = problem.weight;
    Eigen::ArrayXd target = problem.target;
    Eigen::VectorXd gains;
    Eigen::ArrayXd lift;
    constexpr int rounds = 5;
    for (int round = 0; round < rounds; ++round) {
        const Eigen::MatrixXd weighted = lifts.array().colwise() * weight;
        Eigen::MatrixXd normal = weighted.transpose() * lifts;
        normal.diagonal() *= 1 + ridge;
        gains = normal.ldlt().solve(weighted.transpose() * target.matrix());
        lift = (lifts * gains).array();
        if (!lift.allFinite()) return {};
        bool is_within = true;
        for (Eigen::Index row = 0; row < lift.size(); ++row) {
            const double bound = std::clamp(lift(row), least_gain - 1, problem.most(row));
            if (bound == lift(row)) continue;
            is_within = false;
            target(row) = bound;
            weight(row) = std::max(2 * weight(row), 1.0);
        }
        if (is_within) break;
    }

    Fit fit;
    const double passed = (lift / problem.most).maxCoeff();
    if (passed > 1) {
        gains /= passed;
        lift /= passed;
    }
    if (lift.minCoeff() < 2 * (least_gain - 1) || gains.lpNorm<1>() > most_gain_in_all) return fit;
    fit.error = (problem.weight * (lift - problem.target).square()).sum() * price(chosen);
    for (Eigen::Index i = 0; i < count; ++i)
        fit.terms.push_back({sigma(chosen[static_cast<std::size_t>(i)]), gains(i)});
    return fit;
}

}  // namespace

double largest_response(const Filter& filter) {
    double largest = 1;
    for (int k = 0; k < checked_frequencies; ++k) {
        largest = std::max(largest, response(filter, checked_frequency(k)));
    }
    return largest;
}

std::vector<Term> fitted_terms(std::span<const Wanted> wanted, double limit) {
    const Problem problem = problem_for(wanted, limit);
    Fit best;
    best.error = problem.target_square;  // Of no term at all.
    const auto consider = [&](std::span<const int> chosen) {
        if (least_error(problem, chosen) >= best.error) return;
        Fit fit = fit_of(problem, chosen);
        if (fit.error < best.error) best = std::move(fit);
    };
    for (int a = 0; a < sigma_count; ++a) {
        consider(std::array{a});
        for (int b = a + 1; b < sigma_count; ++b) {
            consider(std::array{a, b});
            for (int c = b + 1; c < sigma_count; ++c) consider(std::array{a, b, c});
        }
    }
    return best.terms;
}

}  // namespace hangtrue::sharpen

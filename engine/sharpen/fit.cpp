// SPDX-License-Identifier: Apache-2.0
#include "engine/sharpen/fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "engine/optics/mtf.h"

namespace hangtrue::sharpen {
namespace {

constexpr double smallest_sigma = 0.35;
constexpr double sigma_ratio = 1.3;
constexpr int sigma_count = 12;  // Up to 6.3 px.
constexpr double least_gain = 0.95;
constexpr int checked_frequencies = 72;  // From 0 to sqrt(1/2), where the grid's diagonal ends.

double sigma(int index) { return smallest_sigma * std::pow(sigma_ratio, index); }

double checked_frequency(int index) { return std::sqrt(0.5) * (index + 1) / checked_frequencies; }

double lift(double sigma_px, double f) { return 1 - optics::gaussian_mtf(sigma_px, f); }

struct Tables {
    Eigen::MatrixXd normal;      // Weighted products of the candidates' lifts…
    Eigen::VectorXd right;       // …and of lifts with the wanted lift.
    double wanted_square = 0;
    Eigen::MatrixXd checked;     // Lifts at the checked frequencies.
};

Tables tables_for(std::span<const Wanted> wanted) {
    Tables tables;
    const auto rows = static_cast<Eigen::Index>(wanted.size());
    Eigen::MatrixXd lifts(rows, sigma_count);
    Eigen::VectorXd target(rows);
    for (Eigen::Index row = 0; row < rows; ++row) {
        const Wanted& each = wanted[static_cast<std::size_t>(row)];
        const double root = std::sqrt(each.weight);
        target(row) = root * (each.gain - 1);
        for (int i = 0; i < sigma_count; ++i) lifts(row, i) = root * lift(sigma(i), each.cycles_per_px);
    }
    tables.normal = lifts.transpose() * lifts;
    tables.right = lifts.transpose() * target;
    tables.wanted_square = target.squaredNorm();
    tables.checked.resize(checked_frequencies, sigma_count);
    for (int k = 0; k < checked_frequencies; ++k) {
        for (int i = 0; i < sigma_count; ++i) tables.checked(k, i) = lift(sigma(i), checked_frequency(k));
    }
    return tables;
}

struct Fit {
    std::vector<Term> terms;
    double error = std::numeric_limits<double>::infinity();
};

// Least squares over the chosen sigmas; scaled down where the gains would pass the limit.
Fit fit_of(const Tables& tables, std::span<const int> chosen, double limit) {
    const auto count = static_cast<Eigen::Index>(chosen.size());
    Eigen::MatrixXd normal(count, count);
    Eigen::VectorXd right(count);
    for (Eigen::Index i = 0; i < count; ++i) {
        right(i) = tables.right(chosen[static_cast<std::size_t>(i)]);
        for (Eigen::Index j = 0; j < count; ++j) {
            normal(i, j) = tables.normal(chosen[static_cast<std::size_t>(i)], chosen[static_cast<std::size_t>(j)]);
        }
        // A little ridge: neighbouring sigmas must not fight with huge gains of opposite sign.
        normal(i, i) *= 1 + 1e-5;
    }
    Eigen::VectorXd gains = normal.ldlt().solve(right);

    Eigen::VectorXd response = Eigen::VectorXd::Zero(checked_frequencies);
    for (Eigen::Index i = 0; i < count; ++i) {
        response += gains(i) * tables.checked.col(chosen[static_cast<std::size_t>(i)]);
    }
    Fit fit;
    if (!response.allFinite() || response.minCoeff() < least_gain - 1) return fit;
    if (response.maxCoeff() > limit - 1) gains *= (limit - 1) / response.maxCoeff();
    fit.error = tables.wanted_square - 2 * gains.dot(right) + gains.dot(normal * gains);
    for (Eigen::Index i = 0; i < count; ++i) {
        fit.terms.push_back({sigma(chosen[static_cast<std::size_t>(i)]), gains(i)});
    }
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
    const Tables tables = tables_for(wanted);
    Fit best;
    best.error = tables.wanted_square;  // Of no term at all.
    // A term more costs time on each pixel: it must take away a twentieth of what the best without it left.
    constexpr double worth_a_term = 0.95;
    const auto consider = [&](std::span<const int> chosen, double bar) {
        Fit fit = fit_of(tables, chosen, limit);
        if (fit.error < bar && fit.error < best.error) best = std::move(fit);
    };
    double bar = best.error;
    for (int a = 0; a < sigma_count; ++a) consider(std::array{a}, bar);
    bar = worth_a_term * best.error;
    for (int a = 0; a < sigma_count; ++a) {
        for (int b = a + 1; b < sigma_count; ++b) consider(std::array{a, b}, bar);
    }
    bar = worth_a_term * best.error;
    for (int a = 0; a < sigma_count; ++a) {
        for (int b = a + 1; b < sigma_count; ++b) {
            for (int c = b + 1; c < sigma_count; ++c) consider(std::array{a, b, c}, bar);
        }
    }
    return best.terms;
}

}  // namespace hangtrue::sharpen

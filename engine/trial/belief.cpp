// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/belief.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>
#include <numeric>

#include "engine/trial/perceived.h"

namespace hangtrue::trial {

namespace {

using colour::Shift;
using Vector = Eigen::Vector4d;
using Matrix = Eigen::Matrix4d;

constexpr double lapse = 0.03;  ///< Of answers that mean nothing: a letter misread.
Vector vector_of(const Shift& shift) { return {shift.lightness, shift.a, shift.b, shift.contrast}; }
Shift shift_of(const Vector& v) { return {v[0], v[1], v[2], v[3]}; }

const Vector wide_sd = vector_of(shops_err);
const Vector narrow_sd = vector_of(right_shops_err);

double log_sum(double a, double b) {
    const double most = std::max(a, b);
    return most + std::log(std::exp(a - most) + std::exp(b - most));
}

double log_normal(const Vector& at, const Vector& sd) {
    const Vector scaled = at.cwiseQuotient(sd);
    return -scaled.squaredNorm() / 2 - sd.array().log().sum();
}

double log_prior(const Vector& at) {
    return log_sum(std::log(right_share) + log_normal(at, narrow_sd),
                   std::log(1 - right_share) + log_normal(at, wide_sd));
}

/// The radical inverse: evenly spread numbers in (0, 1) (Halton 1960).
double halton(int index, int base) {
    double result = 0;
    double share = 1;
    for (int i = index; i > 0; i /= base) {
        share /= base;
        result += share * (i % base);
    }
    return result;
}

/// The inverse of the normal distribution: Newton's steps from a rough start (Abramowitz, Stegun 26.2.23).
double normal_quantile(double p) {
    const double tail = std::min(p, 1 - p);
    const double t = std::sqrt(-2 * std::log(tail));
    double x = t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
    if (p < 0.5) x = -x;
    for (int i = 0; i < 2; ++i) {
        const double density = std::exp(-x * x / 2) / std::sqrt(2 * std::numbers::pi);
        x -= (std::erfc(-x / std::numbers::sqrt2) / 2 - p) / density;
    }
    return x;
}

Vector normal_point(int index) {
    return {normal_quantile(halton(index, 2)), normal_quantile(halton(index, 3)), normal_quantile(halton(index, 5)),
            normal_quantile(halton(index, 7))};
}

/// Log probability that what lies at `first` of `differences` is chosen, and then `second` of the rest.
double log_choice(std::span<const double> differences, std::size_t first, std::optional<std::size_t> second) {
    double least = differences[first];
    for (const double d : differences) least = std::min(least, d);
    double all = 0;
    for (const double d : differences) all += std::exp((least - d) / choice_scale);
    double result = (least - differences[first]) / choice_scale - std::log(all);
    if (second) {
        const double rest = std::max(all - std::exp((least - differences[first]) / choice_scale), 1e-300);
        result += (least - differences[*second]) / choice_scale - std::log(rest);
    }
    return result;
}

double with_lapse(double log_probability, double by_chance) {
    return log_sum(std::log(1 - lapse) + log_probability, std::log(lapse * by_chance));
}

/// How far an answer's words "too …" point: the shift that would mend it.
Vector mending(Answer::All all) {
    switch (all) {
        case Answer::All::dark: return {1, 0, 0, 0};
        case Answer::All::light: return {-1, 0, 0, 0};
        case Answer::All::green: return {0, 1, 0, 0};
        case Answer::All::magenta: return {0, -1, 0, 0};
        case Answer::All::warm: return {0, 0, -1, 0};
        case Answer::All::cool: return {0, 0, 1, 0};
    }
    return Vector::Zero();
}

/// One answer, prepared so that many shifts can be held against it.
class Witness {
  public:
    explicit Witness(const Evidence& evidence) : m_evidence(evidence), m_perceived(evidence.part) {
        for (const Cell& cell : evidence.cells) m_cells.push_back(m_perceived.looks(cell.variant));
    }

    double log_likelihood(const Shift& shift) const {
        double sum = 0;
        const Answer& answer = m_evidence.answer;
        if (!answer.best.empty()) sum += of_cells(shift);
        if (answer.all) sum += of_all(vector_of(shift), mending(*answer.all));
        if (answer.grey) sum += of_grey(shift);
        return m_evidence.weight * sum;
    }

  private:
    std::optional<std::size_t> index_of(const std::string& letter) const {
        for (std::size_t i = 0; i < m_evidence.cells.size(); ++i) {
            if (letter == std::string(1, m_evidence.cells[i].letter)) return i;
        }
        return std::nullopt;
    }

    double of_cells(const Shift& shift) const {
        const Looks wanted = m_perceived.looks(shift);
        std::vector<double> differences;
        for (const Looks& cell : m_cells) differences.push_back(Perceived::difference(cell, wanted));
        const auto best = index_of(m_evidence.answer.best);
        const auto second = index_of(m_evidence.answer.second);
        assert(best);
        const double count = static_cast<double>(m_cells.size());
        if (second && m_evidence.answer.is_between) {
            const double either =
                log_sum(log_choice(differences, *best, second), log_choice(differences, *second, best));
            return with_lapse(either, 2 / (count * count));
        }
        return with_lapse(log_choice(differences, *best, second), second ? 1 / (count * count) : 1 / count);
    }

    /// The wanted shift lies beyond every cell in that direction, as far as the eye can tell.
    double of_all(const Vector& shift, const Vector& direction) const {
        double farthest = -1e9;
        for (const Cell& cell : m_evidence.cells) {
            farthest = std::max(farthest, direction.dot(vector_of(cell.variant)));
        }
        const double beyond = (direction.dot(shift) - farthest) / eye_error;
        return with_lapse(std::log(std::max(std::erfc(-beyond / std::numbers::sqrt2) / 2, 1e-300)), 0.5);
    }

    /// A patch looks neutral whose tint is what the file must have there.
    double of_grey(const Shift& shift) const {
        std::vector<double> differences;
        std::optional<std::size_t> chosen;
        for (const Patch& patch : m_evidence.greys) {
            const double weight = colour::shift_weight(patch.lab.lightness);
            const colour::Lab wanted{patch.lab.lightness, weight * shift.a, weight * shift.b};
            if (patch.name == *m_evidence.answer.grey) chosen = differences.size();
            differences.push_back(colour::delta_e_2000(patch.lab, wanted));
        }
        assert(chosen);
        return with_lapse(log_choice(differences, *chosen, std::nullopt), 1 / static_cast<double>(differences.size()));
    }

    const Evidence& m_evidence;
    Perceived m_perceived;
    std::vector<Looks> m_cells;
};

struct Gaussian {
    Vector mean = Vector::Zero();
    Matrix root = Matrix::Identity();  ///< Lower triangular; covariance = root * root'.

    double log_density(const Vector& at) const {
        const Vector scaled = root.triangularView<Eigen::Lower>().solve(at - mean);
        return -scaled.squaredNorm() / 2 - root.diagonal().array().log().sum();
    }
};

Gaussian gaussian_of(const std::vector<Belief::Sample>& samples) {
    Gaussian found;
    for (const auto& sample : samples) found.mean += sample.weight * vector_of(sample.shift);
    Matrix covariance = Matrix::Zero();
    for (const auto& sample : samples) {
        const Vector off = vector_of(sample.shift) - found.mean;
        covariance += sample.weight * off * off.transpose();
    }
    covariance.diagonal() += (0.05 * narrow_sd).cwiseAbs2();  // Never flat.
    found.root = covariance.llt().matrixL();
    return found;
}

constexpr int points = 3000;
constexpr double wide_share = 0.25;    ///< Of points from the prior: none of what may be is left out.
constexpr double narrow_share = 0.15;  ///< About nothing at all, where the prior has a peak.
constexpr double inflation = 1.4;      ///< The others lie a little wider than what was found before.

/// Points from `proposal` and the prior, weighted by what the witnesses say (importance sampling).
std::vector<Belief::Sample> weighed(const std::vector<Witness>& witnesses, Gaussian proposal) {
    proposal.root *= inflation;
    std::vector<Belief::Sample> samples;
    std::vector<double> logs;
    for (int i = 1; i <= points; ++i) {
        const Vector normal = normal_point(i);
        const double pick = halton(i, 11);
        Vector at = proposal.mean + proposal.root * normal;
        if (pick < wide_share) {
            at = wide_sd.cwiseProduct(normal);
        } else if (pick < wide_share + narrow_share) {
            at = narrow_sd.cwiseProduct(normal);
        }
        double log_proposal = std::log(1 - wide_share - narrow_share) + proposal.log_density(at);
        log_proposal = log_sum(log_proposal, std::log(wide_share) + log_normal(at, wide_sd));
        log_proposal = log_sum(log_proposal, std::log(narrow_share) + log_normal(at, narrow_sd));
        const Shift shift = shift_of(at);
        double log_weight = log_prior(at) - log_proposal;
        for (const Witness& witness : witnesses) log_weight += witness.log_likelihood(shift);
        samples.push_back({shift, 0});
        logs.push_back(log_weight);
    }
    const double most = *std::max_element(logs.begin(), logs.end());
    double sum = 0;
    for (std::size_t i = 0; i < logs.size(); ++i) sum += samples[i].weight = std::exp(logs[i] - most);
    for (auto& sample : samples) sample.weight /= sum;
    return samples;
}

void add_figures(Belief& belief) {
    const Gaussian gaussian = gaussian_of(belief.samples);
    const Matrix covariance = gaussian.root * gaussian.root.transpose();
    belief.mean = shift_of(gaussian.mean);
    belief.sd = shift_of(covariance.diagonal().cwiseSqrt());
    const Perceived everyday(everyday_colours());
    const Looks applied = everyday.looks(belief.mean);
    const Looks nothing = everyday.looks({});
    double square = 0;
    for (const auto& sample : belief.samples) {
        const Looks wanted = everyday.looks(sample.shift);
        const double left = Perceived::difference(applied, wanted);
        const double now = Perceived::difference(nothing, wanted);
        belief.error += sample.weight * left;
        belief.error_now += sample.weight * now;
        square += sample.weight * (now - left) * (now - left);
    }
    const double gain = belief.error_now - belief.error;
    belief.gain_sd = std::sqrt(std::max(0.0, square - gain * gain));
}

}  // namespace

Belief believed(std::span<const Evidence> evidence) {
    std::vector<Witness> witnesses;
    for (const Evidence& one : evidence) witnesses.emplace_back(one);
    Gaussian proposal;
    proposal.root = wide_sd.asDiagonal();
    Belief belief;
    const int rounds = evidence.empty() ? 1 : 3;
    for (int round = 0; round < rounds; ++round) {
        belief.samples = weighed(witnesses, proposal);
        proposal = gaussian_of(belief.samples);
    }
    add_figures(belief);
    return belief;
}

}  // namespace hangtrue::trial

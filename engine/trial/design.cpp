// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/design.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/base/hash.h"
#include "engine/trial/perceived.h"

namespace hangtrue::trial {

namespace {

using colour::Shift;

constexpr std::size_t truths = 300;      ///< What may be, of the belief.
constexpr std::size_t candidates = 250;  ///< What may be shown.

/// `count` samples as often as their weights say, evenly taken.
std::vector<Shift> drawn(const Belief& belief, std::size_t count, double first) {
    std::vector<Shift> shifts;
    double sum = 0;
    for (const auto& sample : belief.samples) {
        sum += sample.weight;
        while (shifts.size() < count &&
               (static_cast<double>(shifts.size()) + first) / static_cast<double>(count) < sum) {
            shifts.push_back(sample.shift);
        }
    }
    while (shifts.size() < count) shifts.push_back(belief.mean);
    return shifts;
}

/// A little farther out than what is believed: an answer at the rim tells as much as one in the middle.
Shift spread(const Shift& shift, const Shift& mean) {
    constexpr double by = 1.15;
    return {mean.lightness + by * (shift.lightness - mean.lightness), mean.a + by * (shift.a - mean.a),
            mean.b + by * (shift.b - mean.b), mean.contrast + by * (shift.contrast - mean.contrast)};
}

/// exp(-difference / choice_scale) of each candidate from each truth: what its share of choices is made of.
struct Shares {
    std::vector<std::vector<double>> of;  ///< [candidate][truth]
};

/// Chosen cells with, for each truth, the sum of their shares.
class Choice {
  public:
    explicit Choice(const Shares& shares) : m_shares(shares), m_sums(shares.of.front().size(), 0) {}

    /// Mutual information of answer and truth, in nats, were `candidate` shown too.
    double information_with(std::size_t candidate) const {
        const double count = static_cast<double>(m_sums.size());
        double certain = 0;  // Mean of the entropies, each truth known.
        double newcomer = 0;
        std::vector<double> means(m_cells.size(), 0);
        for (std::size_t t = 0; t < m_sums.size(); ++t) {
            const double share = m_shares.of[candidate][t];
            const double sum = m_sums[t] + share;
            const auto entropy_part = [&](double one) {
                const double p = one / sum;
                return p > 0 ? -p * std::log(p) : 0;
            };
            certain += entropy_part(share);
            newcomer += share / sum;
            for (std::size_t c = 0; c < m_cells.size(); ++c) {
                const double one = m_shares.of[m_cells[c]][t];
                certain += entropy_part(one);
                means[c] += one / sum;
            }
        }
        double mixed = 0;
        means.push_back(newcomer);
        for (const double mean : means) {
            const double p = mean / count;
            if (p > 0) mixed -= p * std::log(p);
        }
        return mixed - certain / count;
    }

    void add(std::size_t candidate) {
        m_cells.push_back(candidate);
        for (std::size_t t = 0; t < m_sums.size(); ++t) m_sums[t] += m_shares.of[candidate][t];
    }
    const std::vector<std::size_t>& cells() const { return m_cells; }

  private:
    const Shares& m_shares;
    std::vector<std::size_t> m_cells;
    std::vector<double> m_sums;
};

/// What is shown, and what its answer would say.
struct Shown {
    std::vector<Shift> shifts;
    std::vector<Shift> truths;
    std::vector<std::vector<double>> shares;  ///< [cell][truth]
};

Shown shown(const Belief& belief, std::span<const colour::Lab> part, int count) {
    const Perceived perceived(part);
    Shown result;
    result.truths = drawn(belief, truths, 0.5);
    std::vector<Shift> possible{belief.mean};
    for (const Shift& shift : drawn(belief, candidates, 0.25)) possible.push_back(spread(shift, belief.mean));
    std::vector<Looks> truth_looks;
    for (const Shift& truth : result.truths) truth_looks.push_back(perceived.looks(truth));
    std::vector<Looks> looks;
    Shares shares;
    for (const Shift& shift : possible) {
        looks.push_back(perceived.looks(shift));
        auto& row = shares.of.emplace_back();
        for (const Looks& truth : truth_looks) {
            row.push_back(std::exp(-Perceived::difference(looks.back(), truth) / choice_scale));
        }
    }
    Choice choice(shares);
    choice.add(0);
    std::vector<double> nearest(possible.size());
    const auto note_nearness = [&](std::size_t added) {
        for (std::size_t i = 0; i < possible.size(); ++i) {
            const double apart = Perceived::difference(looks[i], looks[added]);
            nearest[i] = choice.cells().size() == 1 ? apart : std::min(nearest[i], apart);
        }
    };
    note_nearness(0);
    while (choice.cells().size() < static_cast<std::size_t>(count)) {
        std::optional<std::size_t> best;
        double most = 0;
        for (std::size_t i = 0; i < possible.size(); ++i) {
            if (nearest[i] < least_seen) continue;
            const double information = choice.information_with(i);
            if (!best || information > most) {
                best = i;
                most = information;
            }
        }
        // Where nothing is left that the eye could tell apart, what is farthest from all others is shown.
        if (!best) {
            best = static_cast<std::size_t>(std::max_element(nearest.begin(), nearest.end()) - nearest.begin());
            if (nearest[*best] == 0) break;
        }
        choice.add(*best);
        note_nearness(*best);
    }
    for (const std::size_t cell : choice.cells()) {
        result.shifts.push_back(possible[cell]);
        result.shares.push_back(shares.of[cell]);
    }
    return result;
}

}  // namespace

std::vector<Shift> next_variants(const Belief& belief, std::span<const colour::Lab> part, int count,
                                 std::int64_t number) {
    std::vector<Shift> shifts = shown(belief, part, count).shifts;
    while (shifts.size() < static_cast<std::size_t>(count)) shifts.push_back(belief.mean);
    for (std::size_t i = shifts.size(); i-- > 1;) {
        const auto place = base::place_hash(static_cast<std::uint32_t>(number), static_cast<std::uint32_t>(i), 7);
        std::swap(shifts[i], shifts[place % (i + 1)]);
    }
    return shifts;
}

double error_after_next(const Belief& belief, std::span<const colour::Lab> part, int count) {
    const Shown next = shown(belief, part, count);
    const Perceived everyday(everyday_colours());
    std::vector<Looks> truth_looks;
    for (const Shift& truth : next.truths) truth_looks.push_back(everyday.looks(truth));
    double expected = 0;
    std::vector<double> sums(next.truths.size(), 0);
    for (const auto& row : next.shares) {
        for (std::size_t t = 0; t < sums.size(); ++t) sums[t] += row[t];
    }
    for (const auto& row : next.shares) {
        // Were this cell chosen: how likely is each truth, where is their middle, and how far are they from it?
        Shift mean;
        double all = 0;
        for (std::size_t t = 0; t < sums.size(); ++t) {
            const double p = row[t] / sums[t];
            all += p;
            mean.lightness += p * next.truths[t].lightness;
            mean.a += p * next.truths[t].a;
            mean.b += p * next.truths[t].b;
            mean.contrast += p * next.truths[t].contrast;
        }
        if (all <= 0) continue;
        mean = {mean.lightness / all, mean.a / all, mean.b / all, mean.contrast / all};
        const Looks applied = everyday.looks(mean);
        for (std::size_t t = 0; t < sums.size(); ++t) {
            expected += row[t] / sums[t] * Perceived::difference(applied, truth_looks[t]);
        }
    }
    return expected / static_cast<double>(sums.size());
}

}  // namespace hangtrue::trial

// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/hand_method.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "tests/virtual_shop/statistics.h"

namespace hangtrue::virtual_shop {

using colour::Lab;

Lab changed(const Lab& wanted, const Change& change) {
    const double t = std::clamp(wanted.lightness / 100, 0.0, 1.0), share = 4 * t * (1 - t);
    return {wanted.lightness + share * (change.lightness + change.contrast * (wanted.lightness - 50)),
            wanted.a + share * change.tint_a, wanted.b + share * change.tint_b};
}

std::vector<double> errors(std::span<const Lab> wanted, const Change& change, const Printer& biased,
                           const Printer& right) {
    std::vector<double> out;
    for (const Lab& colour : wanted) {
        out.push_back(colour::delta_e_2000(colour::lab_from_xyz(right.printed(colour)),
                                           colour::lab_from_xyz(biased.printed(changed(colour, change)))));
    }
    return out;
}

Change best_change(std::span<const Lab> wanted, const Printer& biased, const Printer& right) {
    std::array<double, 4> best{};
    const auto cost = [&](const std::array<double, 4>& at) {
        return mean(errors(wanted, {at[0], at[1], at[2], at[3] / 30}, biased, right));
    };
    double smallest = cost(best);
    for (double step = 4; step > 0.1;) {
        bool is_better = false;
        for (std::size_t axis = 0; axis < 4; ++axis) {
            for (const double way : {step, -step}) {
                auto tried = best;
                tried[axis] += way;
                const double error = cost(tried);
                if (error < smallest) {
                    smallest = error;
                    best = tried;
                    is_better = true;
                }
            }
        }
        if (!is_better) step /= 2;
    }
    return {best[0], best[1], best[2], best[3] / 30};
}

std::vector<double> least_errors(std::span<const Lab> wanted, const Printer& biased, const Printer& right) {
    std::vector<double> out;
    for (const Lab& lab : wanted) {
        const Lab meant = colour::lab_from_xyz(right.printed(lab));
        const auto error = [&](const Lab& sent) {
            return colour::delta_e_2000(meant, colour::lab_from_xyz(biased.printed(sent)));
        };
        Lab best = lab;
        double smallest = error(best);
        for (double step = 8; step > 0.1 && smallest > 0.05;) {
            const Lab from = best;
            for (double Lab::*axis : {&Lab::lightness, &Lab::a, &Lab::b}) {
                for (const double way : {step, -step}) {
                    Lab tried = best;
                    tried.*axis += way;
                    const double left = error(tried);
                    if (left < smallest) {
                        smallest = left;
                        best = tried;
                    }
                }
            }
            if (best.lightness == from.lightness && best.a == from.a && best.b == from.b) step /= 2;
        }
        out.push_back(smallest);
    }
    return out;
}

HandResult by_hand(std::span<const Lab> part, const Printer& biased, const Printer& right, double step, double error,
                   int most_sheets, Chance& chance) {
    std::vector<Change> ring{{}, {step, 0, 0, 0}, {-step, 0, 0, 0}};
    for (int i = 0; i < 6; ++i) {
        const double angle = i * std::numbers::pi / 3;
        ring.push_back({0, step * std::cos(angle), step * std::sin(angle), 0});
    }
    std::vector<Lab> wanted;
    for (const Lab& block : part) wanted.push_back(colour::lab_from_xyz(right.printed(block)));
    HandResult out;
    while (out.sheets < most_sheets) {
        std::vector<Cell> cells;
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const Change tried{out.change.lightness + ring[i].lightness, out.change.tint_a + ring[i].tint_a,
                               out.change.tint_b + ring[i].tint_b, 0};
            Cell cell{std::to_string(i), {}};
            for (const Lab& block : part) {
                cell.blocks.push_back(colour::lab_from_xyz(biased.printed(changed(block, tried))));
            }
            cells.push_back(std::move(cell));
        }
        ++out.sheets;
        const auto chosen = static_cast<std::size_t>(std::stoi(answered(cells, wanted, error, chance).cell));
        if (chosen == 0) return out;
        out.change.lightness += ring[chosen].lightness;
        out.change.tint_a += ring[chosen].tint_a;
        out.change.tint_b += ring[chosen].tint_b;
    }
    out.has_ended = false;
    return out;
}

}  // namespace hangtrue::virtual_shop

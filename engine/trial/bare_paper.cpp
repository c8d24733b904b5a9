// SPDX-License-Identifier: Apache-2.0
#include "engine/trial/bare_paper.h"

#include <Eigen/Dense>

#include <algorithm>
#include <cassert>
#include <cmath>

#include "engine/trial/marks.h"
#include "engine/trial/median.h"

namespace hangtrue::trial {

namespace {

constexpr double spot_step_mm = 2;
constexpr int folds = 5;
constexpr std::array<std::size_t, 4> terms_of_order{1, 3, 6, Light::most_terms};

// x and y from -1 to 1 over the sheet.
std::array<double, Light::most_terms> powers(double x, double y) {
    return {1, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y};
}

struct Spot {
    std::array<double, Light::most_terms> powers{};
    double log_value = 0;
    int fold = 0;
};

double fitted_value(const Spot& spot, const Eigen::VectorXd& terms) {
    double sum = 0;
    for (Eigen::Index i = 0; i < terms.size(); ++i) sum += terms[i] * spot.powers[static_cast<std::size_t>(i)];
    return sum;
}

// The median of absolute distances, as the standard deviation of normally spread ones (x 1.4826).
double robust_sd(std::vector<double> off) {
    for (double& one : off) one = std::abs(one);
    return 1.4826 * median(std::move(off));
}

// Reweighted least squares with Tukey's biweight (Beaton and Tukey, Technometrics 16:147, 1974), which drops what lies
// far off; begun from the medians.
Eigen::VectorXd robust_fit(std::span<const Spot> spots, std::size_t terms, int left_out) {
    const auto count = static_cast<Eigen::Index>(terms);
    Eigen::VectorXd result = Eigen::VectorXd::Zero(count);
    std::vector<double> values;
    for (const Spot& spot : spots) {
        if (spot.fold != left_out) values.push_back(spot.log_value);
    }
    if (values.empty()) return result;
    result[0] = median(values);
    for (int round = 0; round < 12; ++round) {
        std::vector<double> off;
        for (const Spot& spot : spots) {
            if (spot.fold != left_out) off.push_back(spot.log_value - fitted_value(spot, result));
        }
        // In the first rounds the light itself is still among what lies off.
        const double reach = std::max(4.685 * robust_sd(off), round < 3 ? 0.5 : 1e-4);
        Eigen::MatrixXd normal = Eigen::MatrixXd::Identity(count, count) * 1e-9;
        Eigen::VectorXd right = Eigen::VectorXd::Zero(count);
        for (const Spot& spot : spots) {
            if (spot.fold == left_out) continue;
            const double share = (spot.log_value - fitted_value(spot, result)) / reach;
            if (std::abs(share) >= 1) continue;
            const double weight = (1 - share * share) * (1 - share * share);
            const Eigen::Map<const Eigen::VectorXd> row(spot.powers.data(), count);
            normal += weight * row * row.transpose();
            right += weight * spot.log_value * row;
        }
        result = normal.ldlt().solve(right);
    }
    return result;
}

struct Stretch {
    double from = 0;
    double to = 0;
};

// Even places, at most a step apart, in what `taken` leaves of `whole`.
std::vector<double> places_between(std::vector<Stretch> taken, Stretch whole) {
    std::ranges::sort(taken, {}, &Stretch::from);
    taken.push_back({whole.to, whole.to});
    std::vector<double> places;
    double from = whole.from;
    for (const Stretch& one : taken) {
        const double to = std::min(one.from, whole.to);
        if (to >= from) {
            const int count = static_cast<int>((to - from) / spot_step_mm) + 1;
            for (int i = 0; i < count; ++i) places.push_back(from + (to - from) * (i + 0.5) / count);
        }
        from = std::max(from, one.to);
    }
    return places;
}

}  // namespace

double mm_a_pixel(const Sheet& sheet) { return base::millimetres_per_inch / sheet.ppi.value; }

double module_mm(const Sheet& sheet) { return sheet.marks[0].rect.width * mm_a_pixel(sheet) / mark_modules; }

base::RealRect in_mm(const Sheet& sheet, base::PixelRect rect) {
    const double mm = mm_a_pixel(sheet);
    return {rect.x * mm, rect.y * mm, rect.width * mm, rect.height * mm};
}

std::vector<Point> paper_spots(const Sheet& sheet) {
    std::vector<base::RealRect> printed;
    const auto add = [&](const auto& things) {
        for (const auto& thing : things) printed.push_back(in_mm(sheet, thing.rect));
    };
    add(sheet.cells);
    add(sheet.patches);
    add(sheet.marks);
    add(sheet.edges);
    add(sheet.lines);
    add(sheet.captions);
    // What lies beyond the marks may be cut off by the shop.
    const base::RealRect first = in_mm(sheet, sheet.marks[0].rect);
    const base::RealRect last = in_mm(sheet, sheet.marks[2].rect);
    const double room = paper_spot_mm / 2 + paper_margin_modules * module_mm(sheet);

    std::vector<Point> spots;
    for (double y = first.y + paper_spot_mm / 2; y <= last.y + last.height - paper_spot_mm / 2; y += spot_step_mm) {
        std::vector<Stretch> taken;
        for (const base::RealRect& rect : printed) {
            if (y > rect.y - room && y < rect.y + rect.height + room) {
                taken.push_back({rect.x - room, rect.x + rect.width + room});
            }
        }
        const Stretch whole{first.x + paper_spot_mm / 2, last.x + last.width - paper_spot_mm / 2};
        for (const double x : places_between(std::move(taken), whole)) spots.push_back({x, y});
    }
    // Low stretches between two such lines.
    const std::size_t lines = spots.size();
    for (double x = first.x + paper_spot_mm / 2; x <= last.x + last.width - paper_spot_mm / 2; x += spot_step_mm) {
        std::vector<Stretch> taken;
        for (const base::RealRect& rect : printed) {
            if (x > rect.x - room && x < rect.x + rect.width + room) {
                taken.push_back({rect.y - room, rect.y + rect.height + room});
            }
        }
        const Stretch whole{first.y + paper_spot_mm / 2, last.y + last.height - paper_spot_mm / 2};
        for (const double y : places_between(std::move(taken), whole)) {
            const bool is_new =
                std::none_of(spots.begin(), spots.begin() + static_cast<std::ptrdiff_t>(lines),
                             [&](Point one) { return std::hypot(one.x - x, one.y - y) < spot_step_mm; });
            if (is_new) spots.push_back({x, y});
        }
    }
    return spots;
}

std::string place_words(const Sheet& sheet, Point mm) {
    const auto third = [](double place, int pixels, double mm_each) {
        return std::clamp(static_cast<int>(3 * place / (pixels * mm_each)), 0, 2);
    };
    const int column = third(mm.x, sheet.size.width, mm_a_pixel(sheet));
    const int row = third(mm.y, sheet.size.height, mm_a_pixel(sheet));
    static constexpr const char* words[3][3] = {{"the upper left", "the top", "the upper right"},
                                                {"the left", "the middle", "the right"},
                                                {"the lower left", "the bottom", "the lower right"}};
    return words[row][column];
}

Light::Light(const Sheet& sheet, std::span<const Point> places, std::span<const double> values)
    : m_width(sheet.size.width * mm_a_pixel(sheet)), m_height(sheet.size.height * mm_a_pixel(sheet)) {
    assert(places.size() == values.size());
    std::vector<Spot> spots;
    for (std::size_t i = 0; i < places.size(); ++i) {
        const Point place = places[i];
        // Whole regions are left out together: neighbours would foretell one another under any order.
        const int region = static_cast<int>(place.x / 12) + 2 * static_cast<int>(place.y / 12);
        spots.push_back({powers(2 * place.x / m_width - 1, 2 * place.y / m_height - 1),
                         std::log(std::max(values[i], 1e-6)), region % folds});
    }
    std::size_t best_terms = 1;
    double best_error = 0;
    for (const std::size_t terms : terms_of_order) {
        if (spots.size() < 4 * terms) break;
        std::vector<double> off;
        for (int fold = 0; fold < folds; ++fold) {
            const Eigen::VectorXd fit = robust_fit(spots, terms, fold);
            for (const Spot& spot : spots) {
                if (spot.fold == fold) off.push_back(spot.log_value - fitted_value(spot, fit));
            }
        }
        const double error = robust_sd(std::move(off));
        // A higher order must earn its place.
        if (terms == 1 || error < 0.97 * best_error) {
            best_error = error;
            best_terms = terms;
        }
    }
    const Eigen::VectorXd fit = robust_fit(spots, best_terms, -1);
    for (Eigen::Index i = 0; i < fit.size(); ++i) m_terms[static_cast<std::size_t>(i)] = fit[i];
    std::vector<double> off;
    for (const Spot& spot : spots) off.push_back(spot.log_value - fitted_value(spot, fit));
    m_scatter = off.empty() ? 0 : robust_sd(std::move(off));
}

double Light::at(Point mm) const {
    const auto row = powers(2 * mm.x / m_width - 1, 2 * mm.y / m_height - 1);
    double sum = 0;
    for (std::size_t i = 0; i < most_terms; ++i) sum += m_terms[i] * row[i];
    return std::exp(sum);
}

}  // namespace hangtrue::trial

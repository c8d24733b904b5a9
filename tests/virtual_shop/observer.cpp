// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/observer.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;

// All cells count as off to one side where the nearest of them is seen to be off by more than this.
constexpr double clearly = 2;

std::array<double, 3> mean_step(std::span<const Lab> printed, std::span<const Lab> wanted) {
    std::array<double, 3> sum{};
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        sum[0] += printed[i].lightness - wanted[i].lightness;
        sum[1] += printed[i].a - wanted[i].a;
        sum[2] += printed[i].b - wanted[i].b;
    }
    for (double& value : sum) value /= static_cast<double>(wanted.size());
    return sum;
}

}  // namespace

double mean_difference(std::span<const Lab> printed, std::span<const Lab> wanted) {
    double sum = 0;
    for (std::size_t i = 0; i < wanted.size(); ++i) sum += colour::delta_e_2000(wanted[i], printed[i]);
    return sum / static_cast<double>(wanted.size());
}

Answer answered(std::span<const Cell> cells, std::span<const Lab> wanted, double error, Chance& chance) {
    struct Judged {
        double seen = 0;
        std::size_t cell = 0;
    };
    std::vector<Judged> judged;
    std::array<double, 3> least{}, most{};
    for (std::size_t i = 0; i < cells.size(); ++i) {
        judged.push_back({mean_difference(cells[i].blocks, wanted) + chance.normal(error), i});
        const auto step = mean_step(cells[i].blocks, wanted);
        for (std::size_t axis = 0; axis < 3; ++axis) {
            const double seen = step[axis] + chance.normal(error);
            least[axis] = i == 0 ? seen : std::min(least[axis], seen);
            most[axis] = i == 0 ? seen : std::max(most[axis], seen);
        }
    }
    std::stable_sort(judged.begin(), judged.end(), [](const Judged& a, const Judged& b) { return a.seen < b.seen; });
    Answer out;
    if (judged.empty()) return out;
    out.cell = cells[judged[0].cell].letter;
    if (judged.size() > 1) out.second = cells[judged[1].cell].letter;
    out.difference = mean_difference(cells[judged[0].cell].blocks, wanted);
    static const char* const above[] = {"too light", "magenta", "warm"};
    static const char* const below[] = {"too dark", "green", "cool"};
    double farthest = clearly;
    for (std::size_t axis = 0; axis < 3; ++axis) {
        if (least[axis] > farthest) {
            farthest = least[axis];
            out.all = above[axis];
        } else if (-most[axis] > farthest) {
            farthest = -most[axis];
            out.all = below[axis];
        }
    }
    return out;
}

std::string most_neutral(std::span<const GreyPatch> patches, double error, Chance& chance) {
    std::string best;
    double smallest = 0;
    for (const GreyPatch& patch : patches) {
        const double chroma =
            std::hypot(patch.relative.a + chance.normal(error), patch.relative.b + chance.normal(error));
        if (best.empty() || chroma < smallest) {
            best = patch.name;
            smallest = chroma;
        }
    }
    return best;
}

}  // namespace hangtrue::virtual_shop

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/ways_out.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <sstream>
#include <string_view>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/jobs/make.h"
#include "engine/plan/sizes.h"

namespace hangtrue::jobs {
namespace {

using checks::Finding;

/// Findings that a smaller print of the same shape may not have.
constexpr std::array<std::string_view, 10> of_size{"too-few-pixels",  "fewer-pixels-than-wanted",
                                                   "enlarged-much",   "too-little-detail",
                                                   "noise-shows",     "big-tiff-not-taken",
                                                   "big-tiff",        "file-too-large",
                                                   "too-many-pixels", "side-too-long"};

template <typename Names>
bool holds(const Names& names, std::string_view name) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

double area(base::SizeMm size) { return size.width.value * size.height.value; }

double shape(base::SizeMm size) {
    return std::max(size.width.value, size.height.value) / std::min(size.width.value, size.height.value);
}

/// Changed wishes are settled once each, whatever number of findings asks for them.
class Trials {
  public:
    Trials(const SettledWish& settled, const plan::Wish& wish, const OpenedPicture& picture, const Context& context)
        : m_wish(wish), m_picture(picture), m_context(context) {
        for (const Finding& finding : settled.findings) {
            if (finding.severity == checks::Severity::stop) m_stops.push_back(finding.name);
        }
    }

    bool cures(const std::string& option, const std::string& name) {
        const std::optional<std::vector<std::string>>& left = names_with(option);
        return left && !holds(*left, name);
    }

  private:
    /// Of the findings that are left; nothing where the wish cannot be met so, or a new stop comes.
    const std::optional<std::vector<std::string>>& names_with(const std::string& option) {
        const auto known = m_left.find(option);
        if (known != m_left.end()) return known->second;
        std::optional<std::vector<std::string>> names;
        m_context.progress.check();
        try {
            plan::Wish changed = m_wish;
            for (const auto& [key, value] : words_of_option(option)) set_wish_word(changed, key, value);
            bool has_new_stop = false;
            names.emplace();
            for (const Finding& finding : findings_untried(changed, m_picture, m_context)) {
                const bool is_stop = finding.severity == checks::Severity::stop;
                has_new_stop = has_new_stop || (is_stop && !holds(m_stops, finding.name));
                names->push_back(finding.name);
            }
            if (has_new_stop) names.reset();
        } catch (const base::InvalidWish&) {
            names.reset();
        }
        return m_left.emplace(option, std::move(names)).first->second;
    }

    const plan::Wish& m_wish;
    const OpenedPicture& m_picture;
    const Context& m_context;
    std::vector<std::string> m_stops;
    std::map<std::string, std::optional<std::vector<std::string>>> m_left;
};

/// What may help against that finding, the least change first.
std::vector<std::string> candidates(const Finding& finding, const std::vector<base::SizeMm>& sizes,
                                    const plan::Wish& wish, const plan::Plan& plan) {
    std::vector<std::string> options;
    if (!finding.option.empty()) options.push_back(finding.option);
    constexpr double same_shape = 0.01;
    std::vector<base::SizeMm> tried;
    if (holds(of_size, finding.name)) {
        for (const base::SizeMm size : sizes) {
            const bool is_alike = std::abs(shape(size) / shape(wish.size) - 1) <= same_shape;
            if (is_alike && area(size) < area(wish.size) * 0.999) tried.push_back(size);
        }
        std::sort(tried.begin(), tried.end(), [](auto a, auto b) { return area(a) > area(b); });
    } else if (finding.name == "shape-against-size") {
        const auto away = [&](base::SizeMm size) { return std::abs(std::log(area(size) / area(wish.size))); };
        tried = sizes;
        std::sort(tried.begin(), tried.end(), [&](auto a, auto b) { return away(a) < away(b); });
    }
    // Seen from as far as the larger one: of itself a smaller print is looked at from nearer.
    const bool is_of_place = finding.name == "too-little-detail" || finding.name == "noise-shows";
    const std::string place = " --distance " + base::number_text(plan.sharpening.design_distance.value, 0) + "mm";
    for (const base::SizeMm size : tried) {
        options.push_back("--size " + checks::size_word(size));
        if (is_of_place && !wish.distance) options.push_back(options.back() + place);
    }
    return options;
}

}  // namespace

WishWords words_of_option(const std::string& option) {
    static const std::vector<std::string> known = wish_words();
    WishWords words;
    std::istringstream parts(option);
    for (std::string name, value; parts >> name;) {
        if (!name.starts_with("--") || !holds(known, std::string_view(name).substr(2)) || !(parts >> value)) return {};
        words[name.substr(2)] = value;
    }
    return words;
}

void prove_options(SettledWish& settled, const plan::Wish& wish, const OpenedPicture& picture, const Context& context) {
    const shops::ShopFolder folder = known_shops(context);
    const shops::Shop& shop = shops::shop_named(folder, wish.shop);
    std::vector<base::SizeMm> sizes;
    for (const plan::SizeRow& row :
         plan::sizes_on(shop, shops::medium_named(shop, wish.medium), picture.facts.info.size).rows) {
        sizes.push_back(row.size);
    }
    Trials trials(settled, wish, picture, context);
    for (Finding& finding : settled.findings) {
        const auto options = candidates(finding, sizes, wish, settled.plans.front());
        const auto cure = std::find_if(options.begin(), options.end(),
                                       [&](const std::string& option) { return trials.cures(option, finding.name); });
        finding.option = cure == options.end() ? std::string() : *cure;
    }
}

}  // namespace hangtrue::jobs

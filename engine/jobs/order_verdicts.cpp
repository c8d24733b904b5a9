// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/order_verdicts.h"

#include <algorithm>

#include "engine/base/units_text.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/profiles.h"
#include "engine/plan/settle.h"

namespace hangtrue::jobs {
namespace {

/// Less of the picture lost to the shape is not worth a word.
constexpr double loss_told_from = 0.005;
/// Pixels that are nearly enough are not called enlarged.
constexpr double as_it_is = 1.005;

/// The share of the picture that the shape takes, where the crop was left open; 0 where it was asked for.
double taken_by_shape(const plan::Wish& wish, const plan::Plan& plan) {
    if (std::holds_alternative<base::RealRect>(wish.crop) || plan.panels > 1) return 0;
    const base::RealRect& crop = plan.geometry.crop;
    return 1 - crop.width * crop.height / static_cast<double>(plan.picture.size.count());
}

std::string words_of(const plan::Wish& wish, const plan::Plan& plan, const shops::Medium& medium,
                     const Context& context) {
    std::string text = base::size_text(plan.geometry.finished, context.units) + " on " + medium.name;
    const bool is_listed = std::any_of(medium.sizes.begin(), medium.sizes.end(),
                                       [&](const shops::Size& size) { return size.name == plan.size_name; });
    if (!is_listed) text += ", cut to order";
    if (plan.panels > 1) text += ", " + std::to_string(plan.panels) + " panels";
    text +=
        plan.enlarging <= as_it_is ? ": no enlarging" : ": enlarged " + base::number_text(plan.enlarging, 1) + " times";
    if (const double loss = taken_by_shape(wish, plan); loss >= loss_told_from) {
        text += ", its shape takes " + base::number_text(100 * loss, 0) + " % of the picture";
    }
    if (medium.ppi.least && plan.picture_ppi < *medium.ppi.least) {
        text += "; the picture brings " + base::number_text(plan.picture_ppi.value, 0) +
                " ppi, less than the shop asks for";
    }
    return text + ".";
}

std::string verdict(const MakeRequest& request, Context& context) {
    const shops::ShopFolder folder = known_shops(context);
    const shops::Shop& shop = shops::shop_named(folder, request.wish.shop);
    const shops::Medium& medium = shops::medium_named(shop, request.wish.medium);
    StageSeconds seconds;
    const OpenedPicture picture = unmeasured_picture(request.picture, scratch_folder(), context, seconds);
    const auto plans =
        plan::settled(request.wish, shop, medium, picture.facts, file_space_of(medium, context).facts, context.units);
    return words_of(request.wish, plans.front(), medium, context);
}

}  // namespace

std::vector<std::string> order_verdicts(const std::vector<MakeRequest>& requests, Context& context) {
    std::vector<std::string> said;
    for (const MakeRequest& request : requests) {
        context.progress.check();
        std::string sentence;
        const Ended end = ended([&] { sentence = verdict(request, context); });
        if (end.ending == Ending::cancelled) throw base::Cancelled();
        said.push_back(end.ending == Ending::done ? sentence : end.sentence);
    }
    return said;
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/order_verdicts.h"

#include <algorithm>
#include <cmath>

#include "engine/base/units_text.h"
#include "engine/jobs/look.h"
#include "engine/plan/edges.h"
#include "engine/plan/sizes.h"

namespace hangtrue::jobs {
namespace {

/// Sizes are the same within this, as plan::ordered_size takes them.
constexpr double same_size_mm = 0.5;
/// Less of the picture lost to the shape is not worth a word.
constexpr double loss_told_from = 0.005;

bool is_same(base::SizeMm a, base::SizeMm b) {
    const auto near = [](base::Millimetres x, base::Millimetres y) {
        return std::abs(x.value - y.value) < same_size_mm;
    };
    return (near(a.width, b.width) && near(a.height, b.height)) || (near(a.width, b.height) && near(a.height, b.width));
}

std::string words_of(const plan::SizeRow& row, const plan::MediumSizes& medium, const Context& context) {
    std::string text = base::size_text(row.size, context.units) + " on " + medium.medium_name + ": ";
    text += row.enlarging <= 1 ? "no enlarging" : "enlarged " + base::number_text(row.enlarging, 1) + " times";
    if (row.crop_loss >= loss_told_from) {
        text += ", its shape takes " + base::number_text(100 * row.crop_loss, 0) + " % of the picture";
    }
    if (row.below_least_ppi) {
        text +=
            "; the picture brings " + base::number_text(row.picture_ppi.value, 0) + " ppi, less than the shop asks for";
    }
    return text + ".";
}

std::string verdict(const MakeRequest& request, Context& context) {
    const PictureSizes found =
        sizes_by_headers({request.picture}, request.wish.shop, request.wish.medium, context).front();
    if (found.ending != Ending::done) return found.sentence;
    const plan::MediumSizes& offered = found.media.at(0);
    const auto row = std::find_if(offered.rows.begin(), offered.rows.end(),
                                  [&](const plan::SizeRow& one) { return is_same(one.size, request.wish.size); });
    if (row != offered.rows.end()) return words_of(*row, offered, context);
    // Not in the list: cut to order, or not offered, which ordered_size says with what is.
    const shops::ShopFolder folder = known_shops(context);
    const shops::Medium& medium =
        shops::medium_named(shops::shop_named(folder, request.wish.shop), request.wish.medium);
    plan::ordered_size(medium, request.wish.size, context.units);
    return base::size_text(request.wish.size, context.units) + " on " + offered.medium_name + ", cut to order.";
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

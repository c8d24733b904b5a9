// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/settle.h"

#include <algorithm>
#include <cmath>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/optics/vision.h"
#include "engine/plan/crop.h"
#include "engine/plan/edges.h"
#include "engine/plan/file_choice.h"
#include "engine/plan/file_name.h"
#include "engine/plan/grid.h"
#include "engine/plan/light.h"
#include "engine/plan/limits.h"
#include "engine/plan/words.h"
#include "engine/sharpen/design.h"
#include "engine/text/letters.h"

namespace hangtrue::plan {
namespace {

using base::InvalidWish;
using base::Millimetres;
using base::PixelsPerInch;
using base::SizeMm;

void refuse_wild_numbers(const Wish& wish, base::ShownUnits units) {
    if (wish.quantity < 1 || wish.quantity > most_quantity) {
        throw InvalidWish("A quantity is 1 to " + std::to_string(most_quantity) + ", not " +
                          std::to_string(wish.quantity) + ".");
    }
    if (wish.panels < 1 || wish.panels > most_panels) {
        throw InvalidWish("A picture is cut into 2 to " + std::to_string(most_panels) + " panels, not " +
                          std::to_string(wish.panels) + ".");
    }
    if (!(wish.gap.value >= 0 && wish.gap <= most_gap)) {
        throw InvalidWish("The gap between panels is 0 to " + in_both_units(most_gap, units) + ".");
    }
    if (wish.panels == 1 && wish.gap.value > 0) {
        throw InvalidWish("A gap of " + in_both_units(wish.gap, units) +
                          " lies between panels, and this wish has none: ask for 2 to " + std::to_string(most_panels) +
                          " with --panels, or leave --gap out.");
    }
    if (wish.distance && !(*wish.distance >= least_distance && *wish.distance <= most_distance)) {
        throw InvalidWish("A print is looked at from " + distance_in_both_units(least_distance, units) + " to " +
                          distance_in_both_units(most_distance, units) + ": give a distance between (--distance).");
    }
    if (wish.sharpen && !(*wish.sharpen >= 0 && *wish.sharpen <= most_sharpening)) {
        throw InvalidWish("Sharpening is 0 to " + base::number_text(most_sharpening * 100, 0) + " %.");
    }
}

PixelsPerInch settled_ppi(const Wish& wish, const shops::Medium& medium) {
    const auto& range = medium.ppi;
    if (!wish.ppi) return range.wanted;
    const PixelsPerInch ppi = *wish.ppi;
    if (medium.pixel_rule == shops::PixelRule::exact && ppi != range.wanted) {
        throw InvalidWish("The shop wants the exact pixels of " + ppi_text(range.wanted) + " ppi for " +
                          in_quotes(medium.name) + ": leave --ppi out.");
    }
    const PixelsPerInch least = range.least.value_or(least_ppi);
    const PixelsPerInch most = range.most.value_or(most_ppi);
    if (!(ppi >= least && ppi <= most)) {
        throw InvalidWish(in_quotes(medium.name) + " is printed at " + ppi_text(least) + " to " + ppi_text(most) +
                          " ppi, not at " + ppi_text(ppi) + ".");
    }
    return ppi;
}

/// The size in the orientation that keeps more of the crop; as wished where both keep the same.
OrderedSize oriented(const OrderedSize& size, const Wish& wish, const Crop& crop, base::PixelSize picture) {
    const auto kept = [&](const OrderedSize& candidate) {
        const SizeMm group = group_size(candidate.ordered, wish.panels, wish.gap);
        return share_kept(crop, picture, group.width.value, group.height.value);
    };
    const OrderedSize other = turned(size);
    return kept(other) > kept(size) * (1 + 1e-9) ? other : size;
}

/// File names are bytes; a plan's text is UTF-8.
std::string as_utf8(std::string_view name) {
    return text::is_utf8(name) ? std::string(name) : text::ascii_folded(name);
}

PlannedPicture planned_picture(const PictureFacts& picture) {
    PlannedPicture planned;
    planned.name = as_utf8(picture.file_name);
    planned.content = picture.content;
    planned.size = picture.info.size;
    planned.profile = picture.profile;
    planned.profile_assumed = picture.profile_assumed;
    planned.is_neutral = picture.measured.is_neutral || picture.info.model == raster::SampleModel::grey;
    planned.noise = picture.measured.noise;
    planned.blur = picture.measured.blur;
    planned.copyright = as_utf8(picture.info.copyright);
    planned.author = as_utf8(picture.info.author);
    return planned;
}

colour::ConversionSettings conversion_of(const Wish& wish) {
    colour::ConversionSettings settings;
    settings.black_point_compensation = wish.black_point_compensation;
    switch (wish.intent) {
        case Intent::perceptual: settings.intent = colour::Intent::perceptual; break;
        case Intent::relative: settings.intent = colour::Intent::relative_colorimetric; break;
        case Intent::saturation: settings.intent = colour::Intent::saturation; break;
        case Intent::absolute: settings.intent = colour::Intent::absolute_colorimetric; break;
    }
    return settings;
}

/// What follows from the scale of a panel's crop.
void set_scale(Plan& plan) {
    const auto& geometry = plan.geometry;
    plan.enlarging = geometry.image.width / geometry.crop.width;
    if (plan.enlarging > most_enlarging) {
        throw InvalidWish("This would enlarge each pixel of the picture " + base::number_text(plan.enlarging, 1) +
                          " times; beyond " + base::number_text(most_enlarging, 0) +
                          " there is no picture left to print. Choose a smaller size or a larger crop.");
    }
    if (plan.enlarging < least_enlarging) {
        throw InvalidWish("This would reduce the picture to " + px_text(geometry.file) +
                          ", less than can be computed from " + px_text(plan.picture.size) + ": choose a larger size.");
    }
    plan.picture_ppi = {plan.ppi.value / plan.enlarging};
    const auto is_whole = [](double value) { return value == std::floor(value); };
    const bool is_copy = plan.enlarging == 1 && is_whole(geometry.crop.x) && is_whole(geometry.crop.y);
    plan.resampling = is_copy              ? Resampling::none
                      : plan.enlarging < 1 ? Resampling::reduce_linear
                                           : Resampling::enlarge_encoded;
}

/// A pixel's own blur, sqrt(1/12) px: what is measured of a crisp picture.
constexpr double crisp_sigma_px = 0.2887;

/// A network gives back what the blur took that it undoes, and no more (measured: docs/enlarging.md). Blurs add as
/// squares.
optics::Blur blur_left(const Plan& plan) {
    const double sigma = plan.picture.blur.sigma_px;
    const double taken = plan.network.measures.undone_blur_px;
    const double least = std::min(sigma, crisp_sigma_px);
    return {std::sqrt(std::max(sigma * sigma - taken * taken, least * least))};
}

/// The network takes the grain away; kept, it is put back as it was.
optics::Noise noise_left(const Plan& plan) {
    const bool is_calm = plan.network.doublings > 0 && plan.network.grain == enlarge::Grain::calm;
    return is_calm ? optics::Noise{} : plan.picture.noise;
}

/// One filter for all panels: they hang as one picture.
PlannedSharpening planned_sharpening(const Wish& wish, const shops::Medium& medium, const Plan& plan, SizeMm group) {
    sharpen::Situation situation;
    situation.print_f50_cycles_per_mm = medium.f50_cycles_per_mm();
    situation.ppi = plan.ppi;
    situation.enlarging = plan.enlarging;
    situation.by_network = 1 << plan.network.doublings;
    situation.picture_blur = blur_left(plan);
    situation.picture_noise = noise_left(plan);
    situation.design_distance = optics::wall_distance(group, wish.distance, wish.room_depth);
    situation.closest_look = optics::closest_look(group, situation.design_distance);
    situation.strength = wish.sharpen.value_or(1);
    const sharpen::Design design = sharpen::designed(situation);

    PlannedSharpening planned;
    planned.filter = design.filter;
    planned.acutance_before = design.acutance_before;
    planned.acutance_after = design.acutance_after;
    planned.largest_gain = design.largest_gain;
    planned.design_distance = situation.design_distance;
    planned.closest_look = situation.closest_look;
    planned.reason = design.reason;
    return planned;
}

void set_order(Plan& plan, const Wish& wish, const shops::Shop& shop, const shops::Medium& medium,
               const OrderedSize& size, const EdgePlan& edges) {
    plan.shop = shop.id;
    plan.shop_name = shop.name;
    plan.medium = medium.id;
    plan.medium_name = medium.name;
    plan.size_name = size.name;
    plan.process = size.process;
    plan.price_cents = size.price_cents;
    plan.currency = shop.currency;
    plan.quantity = wish.quantity;
    plan.panels = wish.panels;
    plan.gap = wish.panels > 1 ? wish.gap : Millimetres{};
    plan.order_choices = medium.order_choices;
    if (medium.improvement_off && !medium.improvement_off->empty()) {
        plan.order_choices.push_back(*medium.improvement_off);
    }
    plan.order_choices.insert(plan.order_choices.end(), edges.order_choices.begin(), edges.order_choices.end());
}

}  // namespace

std::vector<Plan> settled(const Wish& wish, const shops::Shop& shop, const shops::Medium& medium,
                          const PictureFacts& picture, const FileSpaceFacts& file_space, base::ShownUnits units,
                          const std::optional<NetworkFacts>& network, const PlannedCorrection& correction) {
    refuse_wild_numbers(wish, units);
    const base::PixelSize pixels = picture.info.size;
    const Crop crop = checked_crop(wish.crop, pixels);
    const OrderedSize size = oriented(ordered_size(medium, wish.size, units), wish, crop, pixels);
    const EdgePlan edges = edges_of(wish, medium, size, units);

    Plan first;
    first.ppi = settled_ppi(wish, medium);
    first.picture = planned_picture(picture);
    set_order(first, wish, shop, medium, size, edges);
    first.geometry = geometry_of(edges, first.ppi, units);
    first.geometry.mirrored = medium.mirrored.value_or(false);
    first.geometry.safe_area = medium.safe_area.value_or(Millimetres{});
    first.file_profile = file_space.profile;
    first.file_profile_bytes = file_space.profile_bytes;
    first.file_space_name = file_space.name;
    first.conversion = conversion_of(wish);
    first.light = planned_light(wish, medium);
    first.correction = correction;

    const SizeMm group = group_size(edges.finished, wish.panels, wish.gap);
    const auto crops = fitted_crops(crop, pixels, print_grid(first.geometry, first.ppi, wish.panels, first.gap));
    first.geometry.crop = crops.front();
    set_scale(first);
    if (network) {
        first.network = planned_network(*network, picture.measured, picture.info, first.enlarging, wish.grain);
    }
    first.sharpening = planned_sharpening(wish, medium, first, group);
    first.file = chosen_file(wish, medium,
                             size_tags(first.geometry.file, 8, first.ppi,
                                       medium.rules.embed_profile.value_or(true) ? file_space.profile_bytes : 0,
                                       first.picture.copyright, first.picture.author));

    std::vector<Plan> plans;
    for (int i = 0; i < wish.panels; ++i) {
        Plan plan = first;
        plan.panel = i + 1;
        plan.geometry.crop = crops[static_cast<std::size_t>(i)];
        set_scale(plan);
        plan.file.name = file_name(medium.rules,
                                   {.picture = plan.picture.name,
                                    .shop = shop.id,
                                    .medium = medium.id,
                                    .size = size.ordered,
                                    .width_px = plan.geometry.file.width,
                                    .height_px = plan.geometry.file.height,
                                    .ppi = plan.ppi,
                                    .panel = plan.panel,
                                    .panels = plan.panels,
                                    .quantity = plan.quantity,
                                    .wrap = edges.wrap_made,
                                    .border = edges.border_made},
                                   plan.file.format == raster::FileFormat::jpeg ? ".jpg" : ".tif");
        plans.push_back(std::move(plan));
    }
    return plans;
}

}  // namespace hangtrue::plan

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What lies around a print's face, in millimetres, before any pixel is counted: bleed, wrap,
/// border, and where the picture's own pixels end. Pure, thread-safe.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/base/units_text.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"
#include "engine/shops/medium.h"

namespace hangtrue::plan {

/// A size as it is ordered: from the medium's list, or cut to order.
struct OrderedSize {
    std::string name;  ///< As the order form says it.
    base::SizeMm ordered;
    std::optional<base::SizeMm> file;  ///< Where the shop names the file's size itself; long side as `ordered`'s.
    std::string process;
    std::optional<std::int64_t> price_cents;
};

/// The size of `medium` that is `wanted`, in the orientation of `wanted`. Throws InvalidWish naming
/// what is offered, lengths in `units` first.
OrderedSize ordered_size(const shops::Medium& medium, base::SizeMm wanted, base::ShownUnits units);
/// The same from a row of the list, in the row's own orientation.
OrderedSize ordered_size(const shops::Size& size);
/// What a size cut to order costs; nothing where the shop has not told.
std::optional<std::int64_t> free_size_price(const shops::FreeSizes& free_sizes, base::SizeMm size);

/// The same size, turned by a quarter.
OrderedSize turned(OrderedSize size);

/// From the outside in: file, bleed or wrap, face (what hangs), border, picture. All in the file's
/// orientation.
struct EdgePlan {
    base::SizeMm file;
    base::SizeMm finished;  ///< What hangs.
    base::Edges<base::Millimetres> bleed;
    base::Edges<base::Millimetres> wrap;
    base::Edges<base::Millimetres> border;
    base::Edges<base::Millimetres> to_face;   ///< From the file's edge to what hangs.
    base::Edges<base::Millimetres> to_image;  ///< From the file's edge to the picture's own pixels.
    Fill fill = Fill::colour;
    FlatColour fill_colour;
    std::optional<WrapWish> wrap_made;       ///< In the file, or ordered from the shop.
    std::optional<BorderWish> border_made;   ///< Where any side has one.
    std::vector<std::string> order_choices;  ///< What the wish adds to choose on the form.
};

/// Throws InvalidWish where bleed, wrap and border contradict each other, the medium or the size.
EdgePlan edges_of(const Wish& wish, const shops::Medium& medium, const OrderedSize& size, base::ShownUnits units);

}  // namespace hangtrue::plan

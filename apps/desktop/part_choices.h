// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What each part of the order sentence says, and what can be chosen there.

#include <QString>
#include <functional>

#include "apps/desktop/order.h"
#include "apps/desktop/order_sentence.h"

namespace hangtrue::desktop {

/// As it stands in the sentence.
QString words_of(Part part, const Order& order);

/// What is the window's to do.
struct WindowActs {
    std::function<void()> open_picture;
    std::function<void()> crop_by_hand;
    std::function<void()> enlarge_alone;
};

/// Fills the popup of a part.
void fill(PartPopup& popup, Part part, Order& order, const WindowActs& acts);

/// What a size means for this picture, in words: sharp from where, and what the crop takes.
QString verdict(const plan::SizeRow& row, base::ShownUnits units);

}  // namespace hangtrue::desktop

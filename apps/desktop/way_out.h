// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The change of the wish that answers a finding, where one click can make it.

#include <QString>
#include <functional>
#include <optional>

#include "engine/checks/checks.h"

namespace hangtrue::desktop {

class Order;

struct WayOut {
    QString label;
    std::function<void()> act;
};

std::optional<WayOut> way_out_of(const checks::Finding& finding, Order& order);

}  // namespace hangtrue::desktop

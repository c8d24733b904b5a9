// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/way_out.h"

#include <QCoreApplication>

#include "apps/desktop/order.h"
#include "apps/desktop/size_frames.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {
namespace {

QString tr(const char* text) { return QCoreApplication::translate("way_out", text); }

/// The largest offered size that is smaller than the present one, and for which the picture brings enough.
std::optional<WayOut> smaller_size(Order& order) {
    if (!order.sizes()) return std::nullopt;
    const auto& rows = order.sizes()->rows;
    const int now = current_row(order);
    for (int i = (now < 0 ? static_cast<int>(rows.size()) : now) - 1; i >= 0; --i) {
        const plan::SizeRow& row = rows[static_cast<std::size_t>(i)];
        if (row.below_least_ppi) continue;
        const auto units = order.bridge().workplace().units;
        return WayOut{tr("Take %1").arg(QString::fromStdString(base::size_text(row.size, units))),
                      [&order, size = row.size] {
                          order.set_word(tr("size"), "size", QString::fromStdString(jobs::size_word(size)));
                      }};
    }
    return std::nullopt;
}

WayOut word(Order& order, const QString& label, const char* key, const QString& value) {
    return {label, [&order, label, key, value] { order.set_word(label, key, value); }};
}

}  // namespace

std::optional<WayOut> way_out_of(const checks::Finding& finding, Order& order) {
    const std::string& name = finding.name;
    if (name == "too-few-pixels" || name == "enlarged-much") return smaller_size(order);
    if (name == "no-bleed") return word(order, tr("Give it bleed"), "bleed", {});
    if (name == "wrapped-round") return word(order, tr("Mirror the edges instead"), "wrap", QStringLiteral("mirror"));
    if (name == "correction-old" || name == "paper-changed" || name == "correction-clips") {
        return word(order, tr("Print without the correction"), "correction", QStringLiteral("none"));
    }
    if (name == "format-not-taken") return word(order, tr("Take the shop's format"), "format", {});
    if (name == "depth-not-taken") return word(order, tr("Take the shop's bits"), "bits", {});
    if (name == "compression-not-taken") return word(order, tr("Take the shop's compression"), "compression", {});
    if (name == "pixels-not-exact" || name == "too-many-pixels" || name == "side-too-long") {
        return word(order, tr("Take the medium's ppi"), "ppi", {});
    }
    return std::nullopt;
}

}  // namespace hangtrue::desktop

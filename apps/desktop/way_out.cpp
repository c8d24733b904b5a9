// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/way_out.h"

#include <QCoreApplication>

#include "apps/desktop/order.h"
#include "engine/base/units_text.h"
#include "engine/jobs/ways_out.h"

namespace hangtrue::desktop {
namespace {

QString tr(const char* text) { return QCoreApplication::translate("hangtrue::desktop", text); }

QString label_of(const jobs::WishWords& words, base::ShownUnits units) {
    const std::string& key = words.begin()->first;
    const std::string& value = words.begin()->second;
    if (words.size() == 1 && key == "bleed") return tr("Give it bleed");
    if (words.size() == 1 && key == "wrap" && value == "mirror") return tr("Mirror the edges instead");
    if (words.size() == 1 && key == "correction") return tr("Print without the correction");
    if (words.size() == 1 && key == "sharpen") return tr("Leave its own sharpening off");
    if (words.size() == 1 && key == "grain") return tr("Calm the grain");
    if (words.size() == 1 && key == "ppi") return tr("Take %1 ppi").arg(QString::fromStdString(value));
    if (key == "format" || key == "bits" || key == "compression") return tr("Take what the shop takes");
    if (words.size() == 1 && key == "size") {
        return tr("Take %1").arg(QString::fromStdString(base::size_text(jobs::wish_of(words).size, units)));
    }
    if (words.size() == 2 && words.contains("size") && words.contains("distance")) {
        const plan::Wish wish = jobs::wish_of(words);
        return tr("Take %1, seen from %2")
            .arg(QString::fromStdString(base::size_text(wish.size, units)),
                 QString::fromStdString(base::distance_text(*wish.distance, units)));
    }
    if (words.size() == 1 && key == "light") return tr("Leave the tones as they are");
    return tr("Change the order so");
}

}  // namespace

std::optional<WayOut> way_out_of(const checks::Finding& finding, Order& order) {
    const jobs::WishWords words = jobs::words_of_option(finding.option);
    if (words.empty()) return std::nullopt;
    const QString label = label_of(words, order.bridge().workplace().units);
    return WayOut{label, [&order, words, label] {
                      jobs::WishWords changed = order.words();
                      for (const auto& [key, value] : words) changed[key] = value;
                      order.set_words(label, changed);
                  }};
}

}  // namespace hangtrue::desktop

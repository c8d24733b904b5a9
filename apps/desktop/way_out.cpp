// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/way_out.h"

#include <QCoreApplication>
#include <QStringList>
#include <algorithm>

#include "apps/desktop/order.h"
#include "apps/desktop/size_frames.h"
#include "engine/base/units_text.h"
#include "engine/jobs/make.h"

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

/// The finding's own option, as typed on the command line ("--bleed auto"), in words of the wish; empty where it holds
/// anything else.
jobs::WishWords words_of(const std::string& option) {
    const QStringList parts = QString::fromStdString(option).split(QLatin1Char(' '), Qt::SkipEmptyParts);
    if (parts.size() % 2 != 0) return {};
    static const std::vector<std::string> known = jobs::wish_words();
    jobs::WishWords words;
    for (int i = 0; i + 1 < parts.size(); i += 2) {
        const std::string key = parts[i].mid(2).toStdString();
        if (!parts[i].startsWith(QLatin1String("--")) || std::find(known.begin(), known.end(), key) == known.end()) {
            return {};
        }
        words[key] = parts[i + 1].toStdString();
    }
    return words;
}

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
    return tr("Change the order so");
}

}  // namespace

std::optional<WayOut> way_out_of(const checks::Finding& finding, Order& order) {
    const jobs::WishWords words = words_of(finding.option);
    if (words.empty()) {
        const bool is_too_large = finding.name == "too-few-pixels" || finding.name == "enlarged-much";
        return is_too_large ? smaller_size(order) : std::nullopt;
    }
    const QString label = label_of(words, order.bridge().workplace().units);
    return WayOut{label, [&order, words, label] {
                      jobs::WishWords changed = order.words();
                      for (const auto& [key, value] : words) changed[key] = value;
                      order.set_words(label, changed);
                  }};
}

}  // namespace hangtrue::desktop

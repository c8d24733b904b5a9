// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/shop_model.h"

#include <algorithm>

#include "apps/desktop/page_parts.h"

namespace hangtrue::desktop {
namespace {

/// An index's inside: 0 for a shop, else the shop's number and one.
constexpr quintptr is_shop = 0;

}  // namespace

ShopModel::ShopModel(QObject* parent) : QAbstractItemModel(parent) {}

QModelIndex ShopModel::index(int row, int column, const QModelIndex& parent) const {
    if (!hasIndex(row, column, parent)) return {};
    return createIndex(row, column, parent.isValid() ? static_cast<quintptr>(parent.row() + 1) : is_shop);
}

QModelIndex ShopModel::parent(const QModelIndex& index) const {
    if (!index.isValid() || index.internalId() == is_shop) return {};
    return createIndex(static_cast<int>(index.internalId()) - 1, 0, is_shop);
}

int ShopModel::rowCount(const QModelIndex& parent) const {
    if (!parent.isValid()) return static_cast<int>(m_shops.size());
    if (parent.internalId() != is_shop || parent.column() != 0) return 0;
    return static_cast<int>(m_shops[static_cast<std::size_t>(parent.row())].shop.media.size());
}

int ShopModel::columnCount(const QModelIndex&) const { return 1; }

QVariant ShopModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) return {};
    const jobs::ShopText& shop = m_shops[static_cast<std::size_t>(shop_of(index))];
    const bool is_broken = shop.ending != jobs::Ending::done;
    if (const int medium = medium_of(index); medium >= 0) {
        const shops::Medium& one = shop.shop.media[static_cast<std::size_t>(medium)];
        if (role == Qt::DisplayRole) return shown(one.name);
        if (role == Qt::ToolTipRole) return tr("%1, in %2").arg(shown(one.id), shown(shop.file));
        return {};
    }
    switch (role) {
        case Qt::DisplayRole:
            if (is_broken) return tr("%1 (cannot be read)").arg(shown(shop.file.filename()));
            return m_is_unsaved && m_is_unsaved(shop.file) ? tr("%1 (not saved)").arg(shown(shop.shop.name))
                                                           : shown(shop.shop.name);
        case Qt::ToolTipRole:
            if (is_broken) return shown(shop.sentence);
            return tr("%1: %2").arg(shown(shop.file), counted(static_cast<qsizetype>(shop.questions.size()),
                                                              tr("1 open question"), tr("%1 open questions")));
        case Qt::FontRole: return {};
        default: return {};
    }
}

void ShopModel::set_shops(std::vector<jobs::ShopText> shops) {
    beginResetModel();
    m_shops = std::move(shops);
    endResetModel();
}

void ShopModel::set_unsaved(std::function<bool(const std::filesystem::path&)> is_unsaved) {
    m_is_unsaved = std::move(is_unsaved);
    if (!m_shops.empty()) emit dataChanged(index(0, 0), index(rowCount() - 1, 0));
}

int ShopModel::shop_of(const QModelIndex& index) const {
    if (!index.isValid()) return -1;
    return index.internalId() == is_shop ? index.row() : static_cast<int>(index.internalId()) - 1;
}

int ShopModel::medium_of(const QModelIndex& index) const {
    return index.isValid() && index.internalId() != is_shop ? index.row() : -1;
}

}  // namespace hangtrue::desktop

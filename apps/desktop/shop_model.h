// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Shops and, beneath each, its media, as a tree for views. User's thread alone.

#include <QAbstractItemModel>
#include <filesystem>
#include <functional>
#include <vector>

#include "engine/jobs/shop_editing.h"

namespace hangtrue::desktop {

class ShopModel : public QAbstractItemModel {
    Q_OBJECT
  public:
    explicit ShopModel(QObject* parent = nullptr);

    QModelIndex index(int row, int column, const QModelIndex& parent = {}) const override;
    QModelIndex parent(const QModelIndex& index) const override;
    int rowCount(const QModelIndex& parent = {}) const override;
    int columnCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;

    void set_shops(std::vector<jobs::ShopText> shops);
    /// Which files have words that are not saved.
    void set_unsaved(std::function<bool(const std::filesystem::path&)> is_unsaved);
    const std::vector<jobs::ShopText>& shops() const { return m_shops; }
    /// The number of the shop that `index` is or belongs to; -1 for none.
    int shop_of(const QModelIndex& index) const;
    /// The number of the medium; -1 where `index` is a shop.
    int medium_of(const QModelIndex& index) const;

  private:
    std::vector<jobs::ShopText> m_shops;
    std::function<bool(const std::filesystem::path&)> m_is_unsaved;
};

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Shop, medium and size, each in a list of a form: for orders that are not begun at the print itself.

#include <QObject>
#include <optional>
#include <vector>

#include "engine/base/units.h"
#include "engine/jobs/shop_editing.h"

class QComboBox;
class QFormLayout;
class QWidget;

namespace hangtrue::desktop {

class MediumChooser : public QObject {
    Q_OBJECT
  public:
    /// Adds its three lines to the form; `size_words` is how the last is called there. `listed_only`: a size is chosen
    /// of those listed, also where the medium is cut to order.
    MediumChooser(QFormLayout& form, const QString& size_words, QWidget* parent, bool listed_only = false);

    /// What was chosen stays chosen where it is still there.
    void set_shops(const std::vector<jobs::ShopText>& shops);
    void choose(const QString& shop_id, const QString& medium_id, const QString& size_name);
    /// Null where there is none.
    const shops::Shop* shop() const;
    const shops::Medium* medium() const;
    const shops::Size* size() const;
    /// That size, or one that was typed where the medium is cut to order; nothing where there is none.
    std::optional<base::SizeMm> wanted() const;

  signals:
    void changed();

  private:
    void media_of_shop();
    void sizes_of_medium();

    bool m_listed_only;
    std::vector<shops::Shop> m_shops;
    QComboBox* m_shop;
    QComboBox* m_medium;
    QComboBox* m_size;
};

}  // namespace hangtrue::desktop

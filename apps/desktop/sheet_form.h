// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What a new test sheet is for: a picture, a medium, the size of the final print, and where its file goes.

#include <QWidget>
#include <filesystem>
#include <optional>

#include "engine/jobs/shop_editing.h"
#include "engine/jobs/test_sheets.h"

class QLineEdit;

namespace hangtrue::desktop {

class MediumChooser;

class SheetForm : public QWidget {
    Q_OBJECT
  public:
    explicit SheetForm(QWidget* parent);

    void set_shops(const std::vector<jobs::ShopText>& shops);
    void set_picture(const QString& path);
    void set_folder(const QString& path);
    void choose(const QString& shop_id, const QString& medium_id, const QString& size_name);
    /// What is to be given still; empty where nothing is.
    QString missing() const;
    /// Nothing where something is missing still.
    std::optional<jobs::TestSheetRequest> request() const;

  signals:
    void changed();

  private:
    QLineEdit* m_picture;
    QLineEdit* m_folder;
    MediumChooser* m_order;
};

}  // namespace hangtrue::desktop

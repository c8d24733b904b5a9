// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Asks how a picture is to be enlarged, without a print, and where to.

#include <QDialog>
#include <filesystem>

#include "engine/jobs/look.h"

class QComboBox;
class QDoubleSpinBox;
class QLineEdit;

namespace hangtrue::desktop {

class EnlargeDialog : public QDialog {
    Q_OBJECT
  public:
    EnlargeDialog(const std::filesystem::path& picture, const QString& folder, QWidget* parent);
    jobs::EnlargeRequest request() const;

  private:
    void choose_file();
    void propose();

    std::filesystem::path m_picture;
    QString m_folder;
    QDoubleSpinBox* m_factor;
    QComboBox* m_by;
    QComboBox* m_grain;
    QLineEdit* m_out;
    bool m_is_proposed = true;  ///< The name goes with the factor until it is typed.
};

}  // namespace hangtrue::desktop

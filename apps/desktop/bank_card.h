// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How large the screen's pixels are: a bank card is held against a drawn one.

#include <QDialog>

namespace hangtrue::desktop {

/// ISO/IEC 7810, ID-1.
inline constexpr double card_width_mm = 85.60;
inline constexpr double card_height_mm = 53.98;

class BankCard : public QDialog {
    Q_OBJECT
  public:
    /// Begins with `pixels_per_mm` (device pixels).
    BankCard(double pixels_per_mm, QWidget* parent);
    double pixels_per_mm() const { return m_pixels_per_mm; }
    void set_pixels_per_mm(double value);

  private:
    class Drawing;
    double m_pixels_per_mm;
    Drawing* m_drawing;
};

}  // namespace hangtrue::desktop

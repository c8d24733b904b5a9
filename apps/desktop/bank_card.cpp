// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/bank_card.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QPainter>
#include <QPushButton>
#include <QSlider>
#include <QVBoxLayout>
#include <algorithm>

#include "apps/desktop/style.h"

namespace hangtrue::desktop {

namespace {

/// From 50 to 400 ppi, a thousandth a step.
constexpr double least = 2, most = 16;

}  // namespace

class BankCard::Drawing : public QWidget {
  public:
    explicit Drawing(const BankCard& card) : m_card(card) { setMinimumSize(420, 280); }

  protected:
    void paintEvent(QPaintEvent*) override {
        QPainter painter(this);
        painter.setRenderHint(QPainter::Antialiasing);
        const double k = m_card.pixels_per_mm() / devicePixelRatioF();
        const double w = card_width_mm * k, h = card_height_mm * k;
        const QRectF card((width() - w) / 2, (height() - h) / 2, w, h);
        painter.setPen(QPen(tones().ink, 2));
        painter.setBrush(tones().raised);
        painter.drawRoundedRect(card, 3.18 * k, 3.18 * k);  // The card's own corner radius.
    }

  private:
    const BankCard& m_card;
};

BankCard::BankCard(double pixels_per_mm, QWidget* parent)
    : QDialog(parent), m_pixels_per_mm(std::clamp(pixels_per_mm, least, most)) {
    setWindowTitle(tr("How large is this screen?"));
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(space::large, space::large, space::large, space::large);
    layout->setSpacing(space::middle);
    auto* words =
        new QLabel(tr("Hold a bank card against the screen and move the slider until the drawn card is exactly as "
                      "large. From then on, 10 cm on the print are 10 cm on this screen."),
                   this);
    words->setWordWrap(true);
    layout->addWidget(words);
    m_drawing = new Drawing(*this);
    m_drawing->setMinimumSize(560, 380);
    layout->addWidget(m_drawing, 1);
    auto* slider = new QSlider(Qt::Horizontal, this);
    slider->setRange(0, 4000);
    slider->setValue(static_cast<int>((m_pixels_per_mm - least) / (most - least) * 4000));
    slider->setAccessibleName(tr("Size of the drawn card"));
    slider->setToolTip(tr("Arrow keys move it finely"));
    connect(slider, &QSlider::valueChanged, this,
            [this](int value) { set_pixels_per_mm(least + (most - least) * value / 4000); });
    layout->addWidget(slider);
    auto* buttons = new QHBoxLayout;
    buttons->addStretch(1);
    auto* leave = new QPushButton(tr("Leave it"), this);
    auto* take = new QPushButton(tr("It is as large as the card"), this);
    take->setProperty("weight", QStringLiteral("first"));
    take->setDefault(true);
    connect(leave, &QPushButton::clicked, this, &QDialog::reject);
    connect(take, &QPushButton::clicked, this, &QDialog::accept);
    buttons->addWidget(leave);
    buttons->addWidget(take);
    layout->addLayout(buttons);
    slider->setFocus();
}

void BankCard::set_pixels_per_mm(double value) {
    m_pixels_per_mm = std::clamp(value, least, most);
    m_drawing->update();
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/empty_wall.h"

#include <QLabel>
#include <QPainter>
#include <QPushButton>
#include <QVBoxLayout>
#include <algorithm>

#include "apps/desktop/style.h"

namespace hangtrue::desktop {

EmptyWall::EmptyWall(bool has_demo, QWidget* parent) : QWidget(parent) {
    setAccessibleName(tr("The empty wall"));
    m_inside = new QWidget(this);
    // The sheet is bright whatever the window's grey is, so its controls are dark in both.
    m_inside->setStyleSheet(QStringLiteral(
        "QLabel { color: #161616; }QPushButton { background: transparent; color: #161616; border: 1px solid #5a5a5a; "
        "border-radius: 2px; padding: 6px 14px; }QPushButton[weight=\"first\"] { background: #1c1c1c; color: #f2f2f2; "
        "border: 1px solid #1c1c1c; }QPushButton:focus, QPushButton[weight=\"first\"]:focus { border: 2px solid "
        "#161616; padding: 5px 13px; }QPushButton[weight=\"first\"]:focus { border-color: #8a8a8a; }QPushButton:hover "
        "{ border-color: #000000; }"));
    auto* layout = new QVBoxLayout(m_inside);
    layout->setSpacing(space::middle);
    layout->addStretch(1);
    m_heading = new QLabel(tr("Drop a picture here"), m_inside);
    m_heading->setAlignment(Qt::AlignCenter);
    m_heading->setFont(font_of(Text::sentence));
    layout->addWidget(m_heading);
    auto* words =
        new QLabel(tr("A finished TIFF, JPEG or PNG. It hangs here as the print will hang, and one press makes the "
                      "file that the print shop takes as it is. The picture itself is never changed."),
                   m_inside);
    words->setWordWrap(true);
    words->setAlignment(Qt::AlignCenter);
    layout->addWidget(words);
    m_trouble = new QLabel(m_inside);
    m_trouble->setWordWrap(true);
    m_trouble->setAlignment(Qt::AlignCenter);
    m_trouble->setStyleSheet(QStringLiteral("font-weight: 600;"));
    m_trouble->hide();
    layout->addWidget(m_trouble);
    auto* buttons = new QHBoxLayout;
    buttons->addStretch(1);
    m_open = new QPushButton(tr("Open a picture …"), m_inside);
    m_open->setProperty("weight", QStringLiteral("first"));
    m_open->setShortcut(QKeySequence::Open);
    m_open->setToolTip(tr("Open a picture (%1)").arg(m_open->shortcut().toString(QKeySequence::NativeText)));
    connect(m_open, &QPushButton::clicked, this, &EmptyWall::wants_picture);
    buttons->addWidget(m_open);
    if (has_demo) {
        m_demo = new QPushButton(tr("Try the demo"), m_inside);
        m_demo->setShortcut(QKeySequence(Qt::CTRL | Qt::Key_D));
        m_demo->setToolTip(tr("A demo photograph and two invented print shops (%1)")
                               .arg(m_demo->shortcut().toString(QKeySequence::NativeText)));
        connect(m_demo, &QPushButton::clicked, this, &EmptyWall::wants_demo);
        buttons->addWidget(m_demo);
    }
    buttons->addStretch(1);
    layout->addLayout(buttons);
    layout->addStretch(1);
}

void EmptyWall::set_trouble(const QString& sentence) {
    m_trouble->setText(sentence);
    m_trouble->setVisible(!sentence.isEmpty());
}

void EmptyWall::set_working(const QString& what) {
    m_heading->setText(what.isEmpty() ? tr("Drop a picture here") : tr("Opening the picture …"));
    m_open->setEnabled(what.isEmpty());
    if (m_demo != nullptr) m_demo->setEnabled(what.isEmpty());
}

/// Where a print would hang.
QRectF EmptyWall::frame() const {
    const double w = std::min(560.0, width() * 0.7);
    const double h = std::min(w * 0.64, height() * 0.74);
    return {(width() - w) / 2, (height() - h) / 2 - height() * 0.03, w, h};
}

void EmptyWall::resizeEvent(QResizeEvent*) { m_inside->setGeometry(frame().toRect().adjusted(30, 10, -30, -10)); }

void EmptyWall::paintEvent(QPaintEvent*) {
    QPainter painter(this);
    const Tones& t = tones();
    QLinearGradient wall(0, 0, 0, height());
    wall.setColorAt(0, t.wall_top);
    wall.setColorAt(1, t.wall_foot);
    painter.fillRect(rect(), wall);
    const double floor = height() * 0.93;
    painter.fillRect(QRectF(0, floor, width(), height() - floor), t.floor);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setPen(Qt::NoPen);
    constexpr int steps = 24;
    constexpr double lift = 16;
    painter.setBrush(QColor(0, 0, 0, 5));
    for (int step = 0; step < steps; ++step) {
        const double grown = lift * (1.1 - 1.6 * step / steps);
        painter.drawRoundedRect(frame().translated(lift * 0.45, lift * 0.9).adjusted(-grown, -grown, grown, grown),
                                std::max(0.0, grown), std::max(0.0, grown));
    }
    // A bare sheet, held up: brighter than all that is round it.
    painter.fillRect(frame(), QColor(0xEC, 0xEC, 0xEC));
}

}  // namespace hangtrue::desktop

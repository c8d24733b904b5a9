// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/style.h"

#include <QFontDatabase>
#include <QPalette>
#include <QStyleFactory>

namespace hangtrue::desktop {
namespace {

Grey current_grey = Grey::dark;
Tones current_tones = tones_of(Grey::dark);

QString sheet(const Tones& t) {
    QString text = QStringLiteral(R"(
* { outline: none; }
QToolTip { background: @raised; color: @ink; border: 1px solid @edge; padding: 4px 6px; }
QPushButton { background: @raised; color: @ink; border: 1px solid @edge; border-radius: 2px; padding: 6px 14px; }
QPushButton:hover { border-color: @ink; }
QPushButton:focus { border: 2px solid @ink; padding: 5px 13px; }
QPushButton:pressed { background: @line; }
QPushButton:disabled { color: @edge; border-color: @line; }
QPushButton[weight="first"] { background: @ink; color: @ground; border: 1px solid @ink; font-weight: 600; }
QPushButton[weight="first"]:focus { border: 2px solid @ground; }
QPushButton[weight="first"]:disabled { background: @line; border-color: @line; color: @quiet; }
QPushButton[weight="word"] { background: transparent; border: none; border-bottom: 1px solid @edge; border-radius: 0;
    padding: 2px 0; text-align: left; }
QPushButton[weight="word"]:hover { border-bottom: 1px solid @ink; }
QPushButton[weight="word"]:focus { border-bottom: 2px solid @ink; padding: 2px 0 1px 0; }
QPushButton[weight="place"] { background: transparent; border: none; border-radius: 0; padding: 6px 2px 4px 2px;
    border-bottom: 2px solid transparent; color: @quiet; }
QPushButton[weight="place"]:checked { color: @ink; border-bottom: 2px solid @ink; }
QPushButton[weight="place"]:disabled { color: @edge; }
QPushButton[weight="place"]:hover { color: @ink; }
QPushButton[weight="place"]:focus { color: @ink; border-bottom: 2px solid @edge; }
QPushButton[weight="place"]:checked:focus { border-bottom: 3px solid @ink; padding-bottom: 3px; }
QLabel[quiet="true"] { color: @quiet; }
QFrame[card="true"] { background: @raised; border: 1px solid @line; border-radius: 3px; }
QLineEdit, QPlainTextEdit, QTextEdit, QSpinBox, QDoubleSpinBox, QComboBox { background: @raised; color: @ink;
    border: 1px solid @edge; border-radius: 2px; padding: 4px 6px; selection-background-color: @ink;
    selection-color: @ground; }
QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus, QSpinBox:focus, QDoubleSpinBox:focus, QComboBox:focus {
    border: 2px solid @ink; padding: 3px 5px; }
QCheckBox::indicator { width: 14px; height: 14px; border: 1px solid @edge; border-radius: 2px; background: @raised; }
QCheckBox::indicator:checked { background: @ink; border-color: @ink; }
QCheckBox::indicator:focus { border: 2px solid @ink; width: 12px; height: 12px; }
QComboBox QAbstractItemView { background: @raised; color: @ink; selection-background-color: @ink;
    selection-color: @ground; border: 1px solid @edge; }
QAbstractItemView { background: @ground; color: @ink; border: 1px solid @line; selection-background-color: @ink;
    selection-color: @ground; alternate-background-color: @raised; }
QHeaderView::section { background: @ground; color: @quiet; border: none; border-bottom: 1px solid @edge;
    padding: 6px 8px; }
QMenu { background: @raised; color: @ink; border: 1px solid @edge; padding: 4px; }
QMenu::item { padding: 6px 18px; }
QMenu::item:selected { background: @ink; color: @ground; }
QMenu::item:disabled { color: @quiet; }
QScrollArea { border: none; background: transparent; }
QScrollBar:vertical { background: transparent; width: 10px; margin: 0; }
QScrollBar::handle:vertical { background: @edge; min-height: 30px; border-radius: 3px; margin: 0 2px; }
QScrollBar:horizontal { background: transparent; height: 10px; margin: 0; }
QScrollBar::handle:horizontal { background: @edge; min-width: 30px; border-radius: 3px; margin: 2px 0; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }
QProgressBar { background: @line; border: none; border-radius: 2px; max-height: 6px; }
QProgressBar::chunk { background: @ink; border-radius: 2px; }
QSplitter::handle { background: @line; }
)");
    text.replace(QLatin1String("@ground"), t.ground.name());
    text.replace(QLatin1String("@raised"), t.raised.name());
    text.replace(QLatin1String("@ink"), t.ink.name());
    text.replace(QLatin1String("@quiet"), t.quiet_ink.name());
    text.replace(QLatin1String("@edge"), t.edge.name());
    text.replace(QLatin1String("@line"), t.line.name());
    return text;
}

QPalette palette_of(const Tones& t) {
    QPalette palette;
    palette.setColor(QPalette::Window, t.ground);
    palette.setColor(QPalette::WindowText, t.ink);
    palette.setColor(QPalette::Base, t.raised);
    palette.setColor(QPalette::AlternateBase, t.ground);
    palette.setColor(QPalette::Text, t.ink);
    palette.setColor(QPalette::Button, t.raised);
    palette.setColor(QPalette::ButtonText, t.ink);
    palette.setColor(QPalette::BrightText, t.ink);
    palette.setColor(QPalette::Highlight, t.ink);
    palette.setColor(QPalette::HighlightedText, t.ground);
    palette.setColor(QPalette::ToolTipBase, t.raised);
    palette.setColor(QPalette::ToolTipText, t.ink);
    palette.setColor(QPalette::PlaceholderText, t.quiet_ink);
    palette.setColor(QPalette::Link, t.ink);
    palette.setColor(QPalette::LinkVisited, t.ink);
    palette.setColor(QPalette::Light, t.raised);
    palette.setColor(QPalette::Midlight, t.line);
    palette.setColor(QPalette::Mid, t.line);
    palette.setColor(QPalette::Dark, t.edge);
    palette.setColor(QPalette::Shadow, t.edge);
    for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText}) {
        palette.setColor(QPalette::Disabled, role, t.quiet_ink);
    }
    return palette;
}

double system_points() {
    static const double points = QApplication::font().pointSizeF() > 0 ? QApplication::font().pointSizeF() : 10;
    return points;
}

}  // namespace

Tones tones_of(Grey grey) {
    const auto tone = [](int value) { return QColor(value, value, value); };
    if (grey == Grey::light) {
        return {.ground = tone(0xD2),
                .raised = tone(0xDE),
                .ink = tone(0x16),
                .quiet_ink = tone(0x48),
                .edge = tone(0x6C),
                .line = tone(0xBE),
                .wall_top = tone(0xC2),
                .wall_foot = tone(0xB2),
                .floor = tone(0x86)};
    }
    return {.ground = tone(0x2C),
            .raised = tone(0x38),
            .ink = tone(0xE2),
            .quiet_ink = tone(0xB2),
            .edge = tone(0x88),
            .line = tone(0x46),
            .wall_top = tone(0x7E),
            .wall_foot = tone(0x6C),
            .floor = tone(0x44)};
}

const Tones& tones() { return current_tones; }
Grey grey() { return current_grey; }

QFont font_of(Text text) {
    QFont font = QApplication::font();
    const double points = system_points();
    switch (text) {
        case Text::small: font.setPointSizeF(points * 0.9); break;
        case Text::body: font.setPointSizeF(points); break;
        case Text::strong:
            font.setPointSizeF(points);
            font.setWeight(QFont::DemiBold);
            break;
        case Text::heading:
            font.setPointSizeF(points * 1.3);
            font.setWeight(QFont::DemiBold);
            break;
        case Text::sentence: font.setPointSizeF(points * 1.75); break;
    }
    return font;
}

void set_look(QApplication& application, Grey grey) {
    current_grey = grey;
    current_tones = tones_of(grey);
    const double points = system_points();
    QApplication::setStyle(QStyleFactory::create(QStringLiteral("Fusion")));
    QFont font(QStringLiteral("Inter"));
    font.setStyleHint(QFont::SansSerif);
    font.setPointSizeF(points);
    QApplication::setFont(font);
    QApplication::setPalette(palette_of(current_tones));
    application.setStyleSheet(sheet(current_tones));
}

}  // namespace hangtrue::desktop

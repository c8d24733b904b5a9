// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/part_popup.h"

#include <QCloseEvent>
#include <QComboBox>
#include <QEnterEvent>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QPainter>
#include <QScreen>
#include <QScrollArea>
#include <QScrollBar>
#include <QVBoxLayout>
#include <algorithm>
#include <utility>

#include "apps/desktop/style.h"

namespace hangtrue::desktop {

namespace {

constexpr int popup_width = 430;
constexpr int bar = 3;

}  // namespace

Choice::Choice(const QString& title, const QString& meaning, const QString& why_not, bool is_current, QWidget* parent)
    : QAbstractButton(parent), m_meaning(meaning), m_why_not(why_not), m_is_current(is_current) {
    setText(title);
    setFocusPolicy(Qt::StrongFocus);
    setAccessibleName(title);
    setAccessibleDescription(is_current ? tr("Chosen. %1").arg(below()) : below());
    setEnabled(why_not.isEmpty());
    setMouseTracking(true);
}

QString Choice::below() const { return m_why_not.isEmpty() ? m_meaning : m_why_not; }

QSize Choice::sizeHint() const {
    return {popup_width - 2 * space::small, heightForWidth(popup_width - 2 * space::small)};
}

int Choice::heightForWidth(int width) const {
    const int inner = width - space::middle - space::small - bar;
    int height = QFontMetrics(font_of(Text::strong)).height() + 2 * space::small;
    if (!below().isEmpty()) {
        height +=
            QFontMetrics(font_of(Text::small)).boundingRect(0, 0, inner, 1000, Qt::TextWordWrap, below()).height() + 2;
    }
    return height;
}

void Choice::paintEvent(QPaintEvent*) {
    QPainter painter(this);
    const Tones& t = tones();
    const bool is_lit = isEnabled() && (hasFocus() || underMouse());
    if (is_lit) painter.fillRect(rect(), t.line);
    if (hasFocus()) {
        painter.setPen(t.ink);
        painter.drawRect(rect().adjusted(0, 0, -1, -1));
    }
    if (m_is_current) painter.fillRect(QRect(0, space::small, bar, height() - 2 * space::small), t.ink);
    const int left = bar + space::middle - space::hair;
    QRect text(left, space::small, width() - left - space::small, height());
    painter.setFont(font_of(m_is_current ? Text::strong : Text::body));
    painter.setPen(isEnabled() ? t.ink : t.quiet_ink);
    const int line = QFontMetrics(font_of(Text::strong)).height();
    painter.drawText(text, Qt::AlignTop | Qt::AlignLeft, this->text());
    text.setTop(space::small + line + 2);
    painter.setFont(font_of(Text::small));
    painter.setPen(t.quiet_ink);
    painter.drawText(text, Qt::TextWordWrap | Qt::AlignTop, below());
}

void Choice::enterEvent(QEnterEvent*) { update(); }
void Choice::leaveEvent(QEvent*) { update(); }

PartPopup::PartPopup(QWidget* parent) : QFrame(parent, Qt::Popup) {
    setAttribute(Qt::WA_DeleteOnClose);
    setObjectName(QStringLiteral("part_popup"));
    setStyleSheet(QStringLiteral("#part_popup { background: %1; border: 1px solid %2; }")
                      .arg(tones().raised.name(), tones().edge.name()));
    auto* outer = new QVBoxLayout(this);
    outer->setContentsMargins(1, space::small, 1, space::small);
    m_scroll = new QScrollArea(this);
    m_scroll->setWidgetResizable(true);
    m_scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    m_scroll->setFocusPolicy(Qt::NoFocus);  // Tab goes through what is in it.
    m_scroll->viewport()->setAutoFillBackground(false);
    m_inside = new QWidget;
    m_layout = new QVBoxLayout(m_inside);
    m_layout->setContentsMargins(space::small, 0, space::small, 0);
    m_layout->setSpacing(0);
    m_scroll->setWidget(m_inside);
    m_inside->setAutoFillBackground(false);  // The scroll area has just switched it on.
    outer->addWidget(m_scroll);
}

void PartPopup::add_heading(const QString& text) {
    auto* label = new QLabel(text, m_inside);
    label->setFont(font_of(Text::small));
    label->setProperty("quiet", true);
    label->setContentsMargins(space::middle, space::middle, space::small, space::hair);
    m_layout->addWidget(label);
}

void PartPopup::add_words(const QString& text) {
    auto* label = new QLabel(text, m_inside);
    label->setWordWrap(true);
    label->setContentsMargins(space::middle, space::small, space::small, space::small);
    m_layout->addWidget(label);
}

Choice* PartPopup::add_choice(const QString& title, const QString& meaning, bool is_current, std::function<void()> act,
                              const QString& why_not) {
    auto* choice = new Choice(title, meaning, why_not, is_current, m_inside);
    connect(choice, &Choice::clicked, this, [this, act = std::move(act)] {
        close();
        act();
    });
    m_layout->addWidget(choice);
    if (is_current && m_first_focus == nullptr) m_first_focus = choice;
    return choice;
}

void PartPopup::add_field(const QString& label, QWidget* field, const QString& meaning) {
    auto* row = new QWidget(m_inside);
    auto* layout = new QVBoxLayout(row);
    layout->setContentsMargins(space::middle, space::small, space::small, space::small);
    layout->setSpacing(space::hair);
    auto* line = new QHBoxLayout;
    auto* name = new QLabel(label, row);
    name->setBuddy(field);
    field->setAccessibleName(label);
    field->setMinimumWidth(190);
    line->addWidget(name, 1);
    line->addWidget(field);
    layout->addLayout(line);
    if (!meaning.isEmpty()) {
        auto* words = new QLabel(meaning, row);
        words->setFont(font_of(Text::small));
        words->setProperty("quiet", true);
        words->setWordWrap(true);
        layout->addWidget(words);
    }
    m_layout->addWidget(row);
}

void PartPopup::add_list(const QString& label, const QList<std::pair<QString, QString>>& values, const QString& current,
                         std::function<void(const QString&)> act, const QString& meaning) {
    auto* box = new QComboBox(m_inside);
    box->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    box->setMinimumContentsLength(20);
    for (const auto& [shown, value] : values) box->addItem(shown, value);
    box->setCurrentIndex(std::max(0, box->findData(current)));
    connect(box, &QComboBox::activated, this,
            [box, act = std::move(act)](int index) { act(box->itemData(index).toString()); });
    add_field(label, box, meaning);
}

void PartPopup::add_line(const QString& label, const QString& current, const QString& example,
                         std::function<void(const QString&)> act, const QString& meaning) {
    auto* line = new QLineEdit(current, m_inside);
    line->setPlaceholderText(example);
    connect(line, &QLineEdit::editingFinished, this, [this, line, current, act = std::move(act)] {
        if (m_is_left) return;
        if (line->text().trimmed() != line->property("taken").toString() || line->isModified()) {
            line->setProperty("taken", line->text().trimmed());
            line->setModified(false);
            act(line->text().trimmed());
        }
    });
    line->setProperty("taken", current);
    add_field(label, line, meaning);
}

void PartPopup::open_under(QWidget* anchor) {
    m_anchor = anchor;
    m_layout->addStretch(1);
    setFixedWidth(popup_width);
    const QPoint below = anchor->mapToGlobal(QPoint(0, anchor->height() + space::hair));
    const QRect window = anchor->window()->geometry();
    const QRect screen = anchor->screen()->availableGeometry();
    m_inside->setFixedWidth(popup_width - 2);
    const int wanted = m_layout->heightForWidth(popup_width - 2) + 2 * space::small + 2;
    const int room_below = std::min(screen.bottom(), window.bottom()) - below.y() - space::small;
    const int top = anchor->mapToGlobal(QPoint(0, 0)).y();
    const int room_above = top - std::max(screen.top(), window.top()) - space::small;
    const bool opens_up = room_below < wanted && room_above > room_below;
    const int most = std::max(200, opens_up ? room_above : room_below);
    if (wanted > most) m_inside->setFixedWidth(popup_width - 14);
    setFixedHeight(std::min(wanted, most));
    move(std::clamp(below.x(), screen.left(), std::max(screen.left(), screen.right() - popup_width)),
         opens_up ? top - space::hair - height() : below.y());
    show();
    if (m_first_focus == nullptr) m_first_focus = findChild<Choice*>();
    if (m_first_focus != nullptr) {
        m_first_focus->setFocus();
        m_scroll->ensureWidgetVisible(m_first_focus);
    }
}

void PartPopup::keyPressEvent(QKeyEvent* event) {
    switch (event->key()) {
        case Qt::Key_Down: focusNextChild(); return;
        case Qt::Key_Up: focusPreviousChild(); return;
        case Qt::Key_Return:
        case Qt::Key_Enter:
            if (auto* choice = qobject_cast<Choice*>(focusWidget())) choice->click();
            return;
        case Qt::Key_Escape:
            m_is_left = true;
            close();
            return;
        default: QFrame::keyPressEvent(event);
    }
}

void PartPopup::closeEvent(QCloseEvent* event) {
    QFrame::closeEvent(event);
    // Opened by its key, the part did not have the focus before.
    if (m_anchor) m_anchor->setFocus(Qt::PopupFocusReason);
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/order_sentence.h"

#include <QLabel>
#include <QPushButton>

#include "apps/desktop/flow_layout.h"
#include "apps/desktop/order.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/part_choices.h"
#include "apps/desktop/part_popup.h"
#include "apps/desktop/style.h"

namespace hangtrue::desktop {

OrderSentence::OrderSentence(Order& order, QWidget* parent) : QWidget(parent), m_order(order) {
    setAccessibleName(tr("The order"));
    auto* flow = new FlowLayout(this, 7, 6);
    setLayout(flow);
    QSizePolicy policy(QSizePolicy::Preferred, QSizePolicy::Minimum);
    policy.setHeightForWidth(true);
    setSizePolicy(policy);
    add_part(Part::picture, tr("Picture"), QStringLiteral("Alt+P"));
    add_words(tr("on"), false);
    add_part(Part::medium, tr("Medium"), QStringLiteral("Alt+M"));
    add_words(tr("from"), false);
    add_part(Part::shop, tr("Shop"), QStringLiteral("Alt+S"));
    add_words(tr(","), true);
    add_part(Part::size, tr("Size"), QStringLiteral("Alt+Z"));
    add_words(tr(","), true);
    add_part(Part::quantity, tr("How many"), QStringLiteral("Alt+N"));
    add_words(tr(","), true);
    add_part(Part::edges, tr("Edges"), QStringLiteral("Alt+E"));
    add_words(tr(", seen from"), true);
    add_part(Part::distance, tr("Distance"), QStringLiteral("Alt+D"));
    add_words(tr("."), true);
    connect(&m_order, &Order::words_changed, this, &OrderSentence::show_words);
    connect(&m_order, &Order::picture_changed, this, &OrderSentence::show_words);
    connect(&m_order, &Order::shops_changed, this, &OrderSentence::show_words);
    connect(&m_order, &Order::settled_changed, this, &OrderSentence::show_words);
    connect(&m_order, &Order::sizes_changed, this, &OrderSentence::show_words);
    show_words();
}

void OrderSentence::add_words(const QString& text, bool joined) {
    auto* label = new QLabel(text, this);
    label->setFont(font_of(Text::sentence));
    label->setProperty("quiet", true);
    label->setContentsMargins(0, 2, 0, 4);
    if (joined) static_cast<FlowLayout*>(layout())->join_next();
    layout()->addWidget(label);
    m_between.push_back(label);
}

void OrderSentence::add_part(Part part, const QString& name, const QString& key) {
    auto* button = new QPushButton(this);
    button->setProperty("weight", QStringLiteral("word"));
    button->setFont(font_of(Text::sentence));
    // The style sheet's own font size would win over the widget's.
    button->setStyleSheet(QStringLiteral("font-size: %1pt;").arg(font_of(Text::sentence).pointSizeF()));
    button->setShortcut(QKeySequence(key));
    button->setToolTip(
        tr("%1: click to change it (%2)").arg(name, button->shortcut().toString(QKeySequence::NativeText)));
    button->setProperty("part_name", name);
    button->setCursor(Qt::PointingHandCursor);
    connect(button, &QPushButton::clicked, this, [this, part] { open_part(part); });
    layout()->addWidget(button);
    m_parts[static_cast<std::size_t>(part)] = button;
}

void OrderSentence::show_words() {
    for (const Part part :
         {Part::picture, Part::medium, Part::shop, Part::size, Part::quantity, Part::edges, Part::distance}) {
        QPushButton* shown = button(part);
        // An ampersand would be taken for a key.
        set_words(*shown, words_of(part, m_order).replace(QLatin1Char('&'), QLatin1String("&&")));
        shown->setAccessibleName(tr("%1: %2").arg(shown->property("part_name").toString(), words_of(part, m_order)));
    }
    layout()->invalidate();
    updateGeometry();
}

QString OrderSentence::text() const {
    return tr("%1 on %2 from %3, %4, %5, %6, seen from %7.")
        .arg(words_of(Part::picture, m_order), words_of(Part::medium, m_order), words_of(Part::shop, m_order),
             words_of(Part::size, m_order), words_of(Part::quantity, m_order), words_of(Part::edges, m_order),
             words_of(Part::distance, m_order));
}

void OrderSentence::open_part(Part part) {
    auto* popup = new PartPopup(this);
    popup->setAccessibleName(button(part)->property("part_name").toString());
    fill(*popup, part, m_order,
         {.open_picture = [this] { emit wants_picture(); },
          .crop_by_hand = [this] { emit wants_crop(); },
          .enlarge_alone = [this] { emit wants_enlarging(); }});
    popup->open_under(button(part));
}

}  // namespace hangtrue::desktop

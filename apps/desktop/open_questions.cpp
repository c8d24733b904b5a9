// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/open_questions.h"

#include <QBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QScrollArea>
#include <algorithm>

#include "apps/desktop/bridge.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/style.h"

namespace hangtrue::desktop {

OpenQuestions::OpenQuestions(Bridge& bridge, QWidget* parent) : QWidget(parent), m_bridge(bridge) {
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::small);
    auto* area = new QScrollArea(this);
    area->setWidgetResizable(true);
    area->setFocusPolicy(Qt::NoFocus);
    auto* inside = new QWidget(area);
    m_rows = new QVBoxLayout(inside);
    m_rows->setContentsMargins(0, 0, space::middle, 0);
    m_rows->setSpacing(space::middle);
    area->setWidget(inside);
    layout->addWidget(area, 1);
    m_words = plain_words(QString(), this);
    layout->addWidget(m_words);
}

QString OpenQuestions::words() const { return m_words->text(); }

void OpenQuestions::clear() {
    while (QLayoutItem* item = m_rows->takeAt(0)) {
        if (item->widget() != nullptr) {
            item->widget()->hide();
            // Its fields are still there until then, and are not to be taken for the new ones.
            for (QLineEdit* field : item->widget()->findChildren<QLineEdit*>()) field->setObjectName({});
            item->widget()->deleteLater();
        }
        delete item;
    }
}

QWidget* OpenQuestions::row(const shops::Question& question, const std::string& medium_id) {
    auto* row = new QWidget(this);
    auto* layout = new QVBoxLayout(row);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::hair);
    layout->addWidget(plain_words(shown(question.text), row));
    auto* line = new QHBoxLayout;
    line->setSpacing(space::small);
    auto* where = quiet_words(question.medium.empty() ? tr("The shop: %1").arg(shown(question.key))
                                                      : tr("%1: %2").arg(shown(question.medium), shown(question.key)),
                              row);
    where->setFont(font_of(Text::small));
    if (!jobs::takes_one_answer(question.key)) {
        auto* to_file = button(tr("Write it into the file"),
                               tr("This answer has several parts: it goes into the file's text"), {}, "", row);
        connect(to_file, &QPushButton::clicked, this, &OpenQuestions::wants_the_file);
        line->addWidget(to_file);
    } else {
        auto* field = new QLineEdit(row);
        field->setAccessibleName(shown(question.text));
        field->setPlaceholderText(tr("what the shop answers"));
        field->setToolTip(tr("For example: yes, 0.25 in, tiff, jpeg, 14.50. Enter fills it in."));
        field->setMaximumWidth(360);
        auto* fill_in = button(tr("Fill in"), tr("Writes the answer into the shop's file (Enter)"), {}, "", row);
        const QString place = place_of(medium_id, question.key);
        field->setObjectName(place);
        field->setText(m_typed.value(place));
        connect(field, &QLineEdit::textEdited, this, [this, place](const QString& text) { m_typed[place] = text; });
        const auto give = [this, field, medium_id, key = question.key] { answer(medium_id, key, field->text()); };
        connect(field, &QLineEdit::returnPressed, this, give);
        connect(fill_in, &QPushButton::clicked, this, give);
        line->addWidget(field, 1);
        line->addWidget(fill_in);
    }
    line->addStretch(1);
    layout->addLayout(line);
    layout->addWidget(where);
    return row;
}

QString OpenQuestions::place_of(const std::string& medium_id, const std::string& key) const {
    return QString::fromStdString(m_shop.file.string() + "\n" + medium_id + "\n" + key);
}

void OpenQuestions::show_shop(const jobs::ShopText& shop, int medium) {
    // The keys' place is kept: where the question was answered, at the one after it.
    QString focused;
    bool is_past = false;
    for (QLineEdit* field : findChildren<QLineEdit*>()) {
        if (is_past && focused.isEmpty() && field->isVisible()) focused = field->objectName();
        if (field->hasFocus()) is_past = true;
    }
    QString own;
    for (QLineEdit* field : findChildren<QLineEdit*>()) {
        if (field->hasFocus()) own = field->objectName();
    }
    m_shop = shop;
    clear();
    const std::string only = medium < 0 ? std::string() : shop.shop.media[static_cast<std::size_t>(medium)].name;
    int count = 0;
    for (const shops::Question& question : shop.questions) {
        if (medium >= 0 && question.medium != only) continue;
        const auto found = std::find_if(shop.shop.media.begin(), shop.shop.media.end(),
                                        [&](const shops::Medium& one) { return one.name == question.medium; });
        QWidget* added = row(question, found == shop.shop.media.end() ? std::string() : found->id);
        m_rows->addWidget(added);
        added->show();  // Now: what is not shown yet takes no focus.
        ++count;
    }
    if (count == 0) m_rows->addWidget(quiet_words(tr("Nothing is left to ask."), this));
    m_rows->addStretch(1);
    if (!is_past) return;
    QLineEdit* next = nullptr;
    for (QLineEdit* field : findChildren<QLineEdit*>()) {
        if (field->objectName().isEmpty()) continue;  // Of the rows that are being taken away.
        if (field->objectName() == own) next = field;
        if (field->objectName() == focused && next == nullptr) next = field;
    }
    if (next != nullptr) next->setFocus();
}

void OpenQuestions::answer(const std::string& medium_id, const std::string& key, const QString& answer) {
    m_bridge.run<bool>(
        Lane::keep, QString::fromStdString("answer " + medium_id + " " + key), this,
        [file = m_shop.file, medium_id, key, given = answer.toStdString()](jobs::Context& context) {
            const jobs::ShopText now = jobs::shop_text_in(file);
            jobs::save_shop_text(file, jobs::with_answer(now.text, file, medium_id, key, given), now.text, context);
            return true;
        },
        [this, key, place = place_of(medium_id, key)](Result<bool> result) {
            if (result.is_done()) m_typed.remove(place);
            m_words->setText(result.is_done() ? tr("Filled in: %1.").arg(shown(key)) : shown(result.ended.sentence));
            if (result.is_done()) emit was_filled_in();
            emit was_answered();
        });
}

}  // namespace hangtrue::desktop

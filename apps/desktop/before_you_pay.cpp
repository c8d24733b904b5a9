// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/before_you_pay.h"

#include <QApplication>
#include <QEvent>
#include <QGridLayout>
#include <QLabel>
#include <QPainter>
#include <QPushButton>
#include <QRegularExpression>
#include <QScrollArea>
#include <QTimer>
#include <QVBoxLayout>
#include <algorithm>

#include "apps/desktop/order.h"
#include "apps/desktop/size_frames.h"
#include "apps/desktop/style.h"
#include "apps/desktop/way_out.h"

namespace hangtrue::desktop {

namespace {

QString kind(checks::Severity severity) {
    switch (severity) {
        case checks::Severity::stop: return BeforeYouPay::tr("Stops the print");
        case checks::Severity::look: return BeforeYouPay::tr("Worth a look");
        case checks::Severity::note: return BeforeYouPay::tr("To know");
    }
    return {};
}

/// Ways out name the command line's options in brackets; here buttons stand for them.
QString without_options(const std::string& way_out) {
    static const QRegularExpression option(QStringLiteral("\\s*\\(--[^)]*\\)"));
    return QString::fromStdString(way_out).remove(option);
}

}  // namespace

BeforeYouPay::BeforeYouPay(Order& order, QWidget* parent) : QWidget(parent), m_order(order) {
    setAccessibleName(tr("Before you pay"));
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::small);
    m_state = new QLabel(this);
    m_state->setProperty("quiet", true);
    m_state->setWordWrap(true);
    layout->addWidget(m_state);
    m_list = new QWidget(this);
    m_rows = new QVBoxLayout(m_list);
    m_rows->setContentsMargins(0, 0, 0, 0);
    m_rows->setSpacing(space::small);
    layout->addWidget(m_list);
    m_keep = new QPushButton(tr("Keep this as a page …"), this);
    m_keep->setProperty("weight", QStringLiteral("word"));
    m_keep->setShortcut(QKeySequence(Qt::CTRL | Qt::Key_P));
    m_keep->setToolTip(tr("Writes a PDF: the picture with its flags, and what each says (%1)")
                           .arg(m_keep->shortcut().toString(QKeySequence::NativeText)));
    connect(m_keep, &QPushButton::clicked, this, &BeforeYouPay::wants_pages);
    layout->addWidget(m_keep, 0, Qt::AlignLeft);
    connect(&m_order, &Order::findings_changed, this, &BeforeYouPay::show_findings);
    connect(&m_order, &Order::working_changed, this, &BeforeYouPay::show_findings);
    connect(&m_order, &Order::trouble_changed, this, &BeforeYouPay::show_findings);
    show_findings();
}

/// The rows are about to go: the list itself holds the focus until the finding is there again.
void BeforeYouPay::remember_focus() {
    QWidget* focus = m_list->isAncestorOf(QApplication::focusWidget()) ? QApplication::focusWidget() : nullptr;
    if (focus == nullptr) return;
    QWidget* row = focus;
    while (row->parentWidget() != m_list) row = row->parentWidget();
    m_focus = Focus{row->objectName(), row->property("finding").toInt(), focus != row};
    setFocus(Qt::OtherFocusReason);
}

/// To the finding that had it; where that is gone for good, to the one that stands there now.
void BeforeYouPay::give_focus_back() {
    if (!m_focus) return;
    if (!hasFocus()) {  // It went elsewhere meanwhile.
        m_focus.reset();
        return;
    }
    QWidget* row = m_list->findChild<QWidget*>(m_focus->finding, Qt::FindDirectChildrenOnly);
    const bool is_gone = row == nullptr;
    if (is_gone && (!m_order.are_findings_whole() || m_rows->count() == 0)) return;
    if (is_gone) row = m_rows->itemAt(std::min(m_focus->row, m_rows->count() - 1))->widget();
    auto* button = row->findChild<QPushButton*>();
    if (m_focus->is_on_button && !is_gone && button != nullptr)
        button->setFocus(Qt::OtherFocusReason);
    else
        row->setFocus(Qt::OtherFocusReason);
    scroll_to(row);
    m_focus.reset();
}

void BeforeYouPay::scroll_to(QWidget* row) {
    // Once it is laid out: rows that have just come have no place yet.
    QTimer::singleShot(0, row, [this, row] {
        QWidget* outside = parentWidget();
        while (outside != nullptr && qobject_cast<QScrollArea*>(outside) == nullptr) outside = outside->parentWidget();
        if (outside != nullptr) static_cast<QScrollArea*>(outside)->ensureWidgetVisible(row);
    });
}

void BeforeYouPay::show_findings() {
    remember_focus();
    while (QLayoutItem* item = m_rows->takeAt(0)) {
        // Later: a row may be answering the very press that changes the findings.
        item->widget()->hide();
        item->widget()->setObjectName({});
        item->widget()->deleteLater();
        delete item;
    }
    m_keep->setVisible(m_order.settled() != nullptr);
    if (!m_order.settled()) {
        m_state->setText(m_order.working().isEmpty() ? QString() : tr("Looking at the picture closely …"));
        m_state->setVisible(!m_state->text().isEmpty());
        return;
    }
    if (!m_order.are_findings_whole()) {
        m_state->setText(tr("Looking at the print's own pixels …"));
    } else {
        m_state->setText(m_order.findings().empty() ? tr("Nothing speaks against this print.") : QString());
    }
    m_state->setVisible(!m_state->text().isEmpty());
    int number = 0;
    for (const checks::Finding& finding : m_order.findings()) {
        auto* row = new QWidget(m_list);
        row->setFocusPolicy(Qt::StrongFocus);
        row->setProperty("finding", number);
        row->setObjectName(QString::fromStdString(finding.name));
        row->installEventFilter(this);
        row->setAccessibleName(QString::fromStdString(finding.sentence));
        auto* grid = new QGridLayout(row);
        grid->setContentsMargins(space::hair, space::hair, space::hair, space::hair);
        grid->setHorizontalSpacing(space::small);
        grid->setVerticalSpacing(2);
        auto* flag = new QLabel(QString::number(++number), row);
        const bool is_stop = finding.severity == checks::Severity::stop;
        flag->setAlignment(Qt::AlignCenter);
        flag->setFixedSize(20, 20);
        flag->setFont(font_of(Text::small));
        flag->setStyleSheet(QStringLiteral("background: %1; color: %2; border: 1px solid %3; border-radius: %4px;")
                                .arg((is_stop ? tones().ink : tones().raised).name(),
                                     (is_stop ? tones().ground : tones().ink).name(), tones().edge.name())
                                .arg(is_stop ? 0 : 10));
        grid->addWidget(flag, 0, 0, Qt::AlignTop);
        auto* what = new QLabel(kind(finding.severity), row);
        what->setFont(font_of(Text::small));
        what->setProperty("quiet", true);
        grid->addWidget(what, 0, 1);
        auto* sentence = new QLabel(QString::fromStdString(finding.sentence), row);
        sentence->setWordWrap(true);
        if (!finding.unit.empty()) {
            sentence->setToolTip(tr("Found: %1 %3; the line is at %2 %3.")
                                     .arg(finding.figure)
                                     .arg(finding.limit)
                                     .arg(QString::fromStdString(finding.unit)));
        }
        grid->addWidget(sentence, 1, 1);
        int line = 2;
        if (!finding.way_out.empty()) {
            auto* way = new QLabel(without_options(finding.way_out), row);
            way->setWordWrap(true);
            way->setFont(font_of(Text::small));
            way->setProperty("quiet", true);
            grid->addWidget(way, line++, 1);
        }
        if (const auto out = way_out_of(finding, m_order)) {
            auto* button = new QPushButton(out->label, row);
            button->setProperty("weight", QStringLiteral("word"));
            connect(button, &QPushButton::clicked, this, out->act);
            grid->addWidget(button, line, 1, Qt::AlignLeft);
        }
        grid->setColumnStretch(1, 1);
        m_rows->addWidget(row);
    }
    // Once the rows are laid out: what is not shown yet takes no focus.
    QMetaObject::invokeMethod(this, &BeforeYouPay::give_focus_back, Qt::QueuedConnection);
}

bool BeforeYouPay::eventFilter(QObject* watched, QEvent* event) {
    switch (event->type()) {
        case QEvent::Enter:
        case QEvent::FocusIn: emit looked_at(watched->property("finding").toInt()); break;
        case QEvent::Leave:
        case QEvent::FocusOut: emit looked_at(-1); break;
        case QEvent::Paint: {
            // A plain widget draws nothing itself: the focus is shown here.
            auto* row = static_cast<QWidget*>(watched);
            if (!row->hasFocus()) break;
            QPainter painter(row);
            painter.setPen(tones().ink);
            painter.drawRect(row->rect().adjusted(0, 0, -1, -1));
            break;
        }
        default: break;
    }
    return QWidget::eventFilter(watched, event);
}

void BeforeYouPay::show_finding(int index) {
    QLayoutItem* item = m_rows->itemAt(index);
    if (item == nullptr) return;
    item->widget()->setFocus();
    scroll_to(item->widget());
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/task_line.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QProgressBar>
#include <QPushButton>

#include "apps/desktop/page_parts.h"
#include "apps/desktop/style.h"

namespace hangtrue::desktop {

TaskLine::TaskLine(QWidget* parent) : QWidget(parent) {
    auto* layout = new QHBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::middle);
    m_words = new QLabel(this);
    layout->addWidget(m_words);
    m_bar = new QProgressBar(this);
    m_bar->setTextVisible(false);
    m_bar->setRange(0, 1000);
    m_bar->setAccessibleName(tr("How far it is"));
    layout->addWidget(m_bar, 1);
    m_cancel = button(tr("Stop"), tr("Stops this; nothing is changed by it"), {}, "word", this);
    layout->addWidget(m_cancel);
    connect(m_cancel, &QPushButton::clicked, this, &TaskLine::cancel);
    hide();
}

void TaskLine::begin(const QString& words) {
    m_what = words;
    m_words->setText(words);
    m_bar->setValue(0);
    m_cancel->setEnabled(true);
    show();
}

void TaskLine::show_progress(const base::ProgressReport& report) {
    m_words->setText(tr("%1 (%2)").arg(m_what, shown(report.step)));
    m_bar->setValue(static_cast<int>(report.fraction * 1000));
}

void TaskLine::end() { hide(); }

void TaskLine::cancel() {
    m_cancel->setEnabled(false);
    m_task.cancel();
}

QString TaskLine::words() const { return m_words->text(); }

}  // namespace hangtrue::desktop

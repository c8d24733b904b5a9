// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/shop_file_editor.h"

#include <QBoxLayout>
#include <QFontDatabase>
#include <QLabel>
#include <QPlainTextEdit>
#include <QPushButton>
#include <QTextBlock>
#include <utility>

#include "apps/desktop/bridge.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/style.h"

namespace hangtrue::desktop {
namespace {

constexpr int pause_ms = 250;  ///< Typing is not interrupted by complaints about half a word.

}  // namespace

ShopFileEditor::ShopFileEditor(Bridge& bridge, QWidget* parent) : QWidget(parent), m_bridge(bridge) {
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::small);
    m_edit = new QPlainTextEdit(this);
    m_edit->setAccessibleName(tr("The shop's file"));
    m_edit->setLineWrapMode(QPlainTextEdit::NoWrap);
    m_edit->setTabChangesFocus(true);
    layout->addWidget(m_edit, 1);
    auto* foot = new QHBoxLayout;
    foot->setSpacing(space::middle);
    m_words = plain_words(QString(), this);
    foot->addWidget(m_words, 1);
    m_give_up = button(tr("As it was"), tr("Gives up what was written and not saved"), {}, "", this);
    foot->addWidget(m_give_up, 0, Qt::AlignTop);
    m_save = button(tr("Save"), tr("Writes the file; possible when it is in order"), QKeySequence::Save, "first", this);
    foot->addWidget(m_save, 0, Qt::AlignTop);
    layout->addLayout(foot);
    m_pause.setSingleShot(true);
    m_pause.setInterval(pause_ms);
    connect(m_edit, &QPlainTextEdit::textChanged, this, [this] {
        m_save->setEnabled(false);
        m_give_up->setEnabled(has_changes());
        if (std::exchange(m_had_changes, has_changes()) != has_changes()) emit unsaved_changed();
        m_pause.start();
    });
    connect(m_give_up, &QPushButton::clicked, this, &ShopFileEditor::give_up_changes);
    m_give_up->setEnabled(false);
    connect(&m_pause, &QTimer::timeout, this, &ShopFileEditor::check);
    connect(m_save, &QPushButton::clicked, this, &ShopFileEditor::save);
    m_save->setEnabled(false);
}

void ShopFileEditor::show_file(const jobs::ShopText& file) {
    keep_draft();
    m_file = file.file;
    m_on_disk = file.text;
    std::string now = file.text;
    if (const auto draft = m_drafts.find(file.file); draft != m_drafts.end()) {
        now = draft->second.text;
        // Saving refuses where the file became another meanwhile.
        m_on_disk = draft->second.on_disk;
        m_drafts.erase(draft);
    }
    if (text().toStdString() != now) m_edit->setPlainText(shown(now));
    m_had_changes = has_changes();
    m_give_up->setEnabled(m_had_changes);
    emit unsaved_changed();
    m_pause.stop();
    check();
}

void ShopFileEditor::keep_draft() {
    if (has_changes()) m_drafts[m_file] = {text().toStdString(), m_on_disk};
}

bool ShopFileEditor::has_unsaved_files() const { return has_changes() || !m_drafts.empty(); }

bool ShopFileEditor::has_unsaved(const std::filesystem::path& file) const {
    return file == m_file ? has_changes() : m_drafts.contains(file);
}

void ShopFileEditor::give_up_changes() {
    m_bridge.run<jobs::ShopText>(
        Lane::list, QStringLiteral("shop text"), this,
        [file = m_file](jobs::Context&) { return jobs::shop_text_in(file); },
        [this](Result<jobs::ShopText> result) {
            if (!result.is_done()) {
                m_words->setText(shown(result.ended.sentence));
            } else if (result.value->file == m_file) {
                m_on_disk = result.value->text;
                m_edit->setPlainText(shown(m_on_disk));
            }
        });
}

QString ShopFileEditor::text() const { return m_edit->toPlainText(); }
void ShopFileEditor::set_text(const QString& text) { m_edit->setPlainText(text); }
bool ShopFileEditor::has_changes() const { return !m_file.empty() && text().toStdString() != m_on_disk; }
QString ShopFileEditor::words() const { return m_words->text(); }

void ShopFileEditor::show_medium(int number) {
    int found = -1;
    for (QTextBlock block = m_edit->document()->begin(); block.isValid(); block = block.next()) {
        if (!block.text().trimmed().startsWith(QLatin1String("[[medium]]")) || ++found != number) continue;
        m_edit->moveCursor(QTextCursor::End);
        m_edit->setTextCursor(QTextCursor(block));
        return;
    }
}

void ShopFileEditor::mark_line(int line) {
    QList<QTextEdit::ExtraSelection> marks;
    if (line > 0) {
        QTextEdit::ExtraSelection mark;
        mark.format.setBackground(tones().line);
        mark.format.setProperty(QTextFormat::FullWidthSelection, true);
        mark.cursor = QTextCursor(m_edit->document()->findBlockByNumber(line - 1));
        marks.append(mark);
    }
    m_edit->setExtraSelections(marks);
}

void ShopFileEditor::check() {
    if (m_file.empty()) return;
    m_bridge.run<jobs::ShopText>(
        Lane::list, QStringLiteral("shop check"), this,
        [file = m_file, now = text().toStdString()](jobs::Context&) { return jobs::read_shop_text(file, now); },
        [this](Result<jobs::ShopText> result) {
            if (!result.is_done() || m_pause.isActive()) return;
            const jobs::ShopText& read = *result.value;
            const bool is_in_order = read.ending == jobs::Ending::done;
            mark_line(read.line);
            m_save->setEnabled(is_in_order && has_changes());
            if (!is_in_order) {
                m_words->setText(shown(read.sentence));
            } else if (read.questions.empty()) {
                m_words->setText(tr("In order; nothing is left to ask."));
            } else {
                m_words->setText(counted(static_cast<qsizetype>(read.questions.size()),
                                         tr("In order; 1 question is still open."),
                                         tr("In order; %1 questions are still open.")));
            }
            emit was_checked(is_in_order);
        });
}

void ShopFileEditor::save() {
    if (!has_changes()) return;
    const std::string now = text().toStdString();
    m_save->setEnabled(false);
    m_bridge.run<bool>(
        Lane::keep, QStringLiteral("save ") + QString::fromStdString(m_file.string()), this,
        [file = m_file, now, was = m_on_disk](jobs::Context& context) {
            jobs::save_shop_text(file, now, was, context);
            return true;
        },
        [this, now, file = m_file](Result<bool> result) {
            // Meanwhile somebody may have typed on, or look at another shop.
            if (!result.is_done()) {
                if (file != m_file) return;
                m_words->setText(shown(result.ended.sentence));
                if (text().toStdString() == now) m_save->setEnabled(true);
                return;
            }
            if (const auto draft = m_drafts.find(file); draft != m_drafts.end()) {
                draft->second.on_disk = now;
                if (draft->second.text == now) m_drafts.erase(draft);
            }
            if (file == m_file) {
                m_on_disk = now;
                m_had_changes = has_changes();
                m_give_up->setEnabled(m_had_changes);
            }
            emit unsaved_changed();
            emit was_saved();
        });
}

}  // namespace hangtrue::desktop

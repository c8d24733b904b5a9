// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/make_row.h"

#include <QApplication>
#include <QClipboard>
#include <QDesktopServices>
#include <QDrag>
#include <QFileInfo>
#include <QHBoxLayout>
#include <QLabel>
#include <QMimeData>
#include <QMouseEvent>
#include <QProgressBar>
#include <QPushButton>
#include <QUrl>
#include <QVBoxLayout>

#include "apps/desktop/page_parts.h"
#include "apps/desktop/style.h"

namespace hangtrue::desktop {

namespace {

QPushButton* word_button(const QString& text, const QString& tip, QWidget* parent) {
    auto* button = new QPushButton(text, parent);
    button->setProperty("weight", QStringLiteral("word"));
    button->setToolTip(tip);
    return button;
}

/// The made file's name: a click opens it, dragging it carries the file to where it is wanted.
class FileName : public QPushButton {
  public:
    FileName(const QString& file, QWidget* parent) : QPushButton(QFileInfo(file).fileName(), parent), m_file(file) {
        setProperty("weight", QStringLiteral("word"));
        setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Fixed);
        ensurePolished();  // What the words take is known only in the style's own type.
        setMaximumWidth(QPushButton::sizeHint().width());
        setToolTip(MakeRow::tr("%1\nDrag it to the shop's upload page, or click to open it.").arg(file));
        QObject::connect(this, &QPushButton::clicked, [file] { QDesktopServices::openUrl(QUrl::fromLocalFile(file)); });
    }

  protected:
    void mousePressEvent(QMouseEvent* event) override {
        m_pressed_at = event->position().toPoint();
        QPushButton::mousePressEvent(event);
    }
    void mouseMoveEvent(QMouseEvent* event) override {
        if ((event->buttons() & Qt::LeftButton) == 0) return;
        // A hand that trembles clicks; only what is carried on is dragged.
        const QPoint moved = event->position().toPoint() - m_pressed_at;
        if (moved.manhattanLength() < QApplication::startDragDistance()) return;
        auto* carried = new QMimeData;
        carried->setUrls({QUrl::fromLocalFile(m_file)});
        auto* drag = new QDrag(this);
        drag->setMimeData(carried);
        setDown(false);
        drag->exec(Qt::CopyAction);
    }
    void resizeEvent(QResizeEvent* event) override {
        setText(fontMetrics().elidedText(QFileInfo(m_file).fileName(), Qt::ElideMiddle, width()));
        QPushButton::resizeEvent(event);
    }
    QSize minimumSizeHint() const override { return {80, QPushButton::minimumSizeHint().height()}; }

  private:
    QString m_file;
    QPoint m_pressed_at;
};

}  // namespace

MakeRow::MakeRow(const QString& title, QWidget* parent) : QWidget(parent) {
    m_layout = new QVBoxLayout(this);
    m_layout->setContentsMargins(0, space::small, 0, space::small);
    m_layout->setSpacing(space::hair);
    auto* name = new QLabel(title, this);
    name->setWordWrap(true);
    name->setFont(font_of(Text::strong));
    m_layout->addWidget(name);
    auto* line = new QHBoxLayout;
    m_words = new QLabel(tr("Waiting"), this);
    m_words->setWordWrap(true);
    m_words->setProperty("quiet", true);
    m_cancel = word_button(tr("Cancel"), tr("Stops this one; nothing unfinished is left behind"), this);
    line->addWidget(m_words, 1);
    line->addWidget(m_cancel, 0, Qt::AlignTop);
    m_layout->addLayout(line);
    m_bar = new QProgressBar(this);
    m_bar->setTextVisible(false);
    m_bar->setRange(0, 1000);
    m_bar->setAccessibleName(tr("How far it is"));
    m_layout->addWidget(m_bar);
    connect(m_cancel, &QPushButton::clicked, this, [this] {
        if (m_is_over)
            emit wants_removal();
        else
            emit wants_cancel();
    });
}

void MakeRow::show_progress(const QString& step, double fraction) {
    m_has_begun = true;
    m_words->setText(step);
    m_bar->setValue(static_cast<int>(fraction * 1000));
}

void MakeRow::show_end(const QString& sentence) {
    m_is_over = true;
    m_bar->hide();
    m_words->setText(sentence);
    m_cancel->setText(tr("Clear"));
    m_cancel->setToolTip(tr("Takes this line away; files stay"));
}

void MakeRow::show_outcome(const jobs::MakeOutcome& outcome, const std::vector<std::filesystem::path>& order_sheets) {
    if (outcome.ending == jobs::Ending::done) {
        show_end(!outcome.sentence.empty() ? shown(outcome.sentence)
                 : outcome.files.size() == 1
                     ? tr("Made, read back from the disk and found right.")
                     : tr("%1 files made, read back and found right.").arg(outcome.files.size()));
        show_files(outcome.files, order_sheets);
        return;
    }
    show_end(shown(outcome.sentence));
    m_results = new QWidget(this);
    auto* layout = new QHBoxLayout(m_results);
    layout->setContentsMargins(0, 0, 0, 0);
    const bool may_pass = outcome.ending == jobs::Ending::refused && checks::stops(outcome.findings, true).empty();
    if (may_pass) {
        auto* anyway = word_button(tr("Make it anyway"), tr("In spite of what was found"), m_results);
        connect(anyway, &QPushButton::clicked, this, [this] { emit wants_again(false, true); });
        layout->addWidget(anyway);
    }
    if (outcome.ending == jobs::Ending::unwritable && !outcome.is_name_of_another) {
        auto* replace = word_button(tr("Replace it"), tr("Where a file of that name is in the way"), m_results);
        connect(replace, &QPushButton::clicked, this, [this] { emit wants_again(true, false); });
        layout->addWidget(replace);
    }
    layout->addStretch(1);
    m_layout->addWidget(m_results);
    m_results->show();  // Now, so that the queue is made high enough for it.
}

void MakeRow::show_files(const std::vector<jobs::MadeFile>& files,
                         const std::vector<std::filesystem::path>& order_sheets) {
    m_results = new QWidget(this);
    auto* layout = new QVBoxLayout(m_results);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::hair);
    // The file's name, and a line of what goes with it.
    const auto line_of = [this, layout](const std::filesystem::path& file) {
        auto* name = new QHBoxLayout;
        name->addWidget(new FileName(shown(file), m_results), 1);
        name->addStretch(0);
        layout->addLayout(name);
        auto* line = new QHBoxLayout;
        line->setSpacing(space::middle);
        auto* folder = word_button(tr("Folder"), tr("Opens the folder that the file lies in"), m_results);
        connect(folder, &QPushButton::clicked, this,
                [path = shown(file.parent_path())] { QDesktopServices::openUrl(QUrl::fromLocalFile(path)); });
        line->addWidget(folder);
        layout->addLayout(line);
        return line;
    };
    for (const jobs::MadeFile& made : files) {
        auto* line = line_of(made.file);
        if (!made.ticket.empty()) {
            auto* ticket =
                made.plan.test_sheet > 0
                    ? word_button(tr("How to judge it"), tr("The page that says how the printed sheet is judged"),
                                  m_results)
                    : word_button(tr("Ticket"), tr("The page that says to the shop what the file is"), m_results);
            connect(ticket, &QPushButton::clicked, this,
                    [path = shown(made.ticket)] { QDesktopServices::openUrl(QUrl::fromLocalFile(path)); });
            line->addWidget(ticket);
        }
        if (!made.order_note.empty()) {
            const QString note = shown(made.order_note);
            auto* copy = word_button(tr("Copy the order note"), note, m_results);
            connect(copy, &QPushButton::clicked, copy, [copy, note] {
                QApplication::clipboard()->setText(note);
                copy->setText(tr("Copied"));
            });
            line->addWidget(copy);
        }
        line->addStretch(1);
    }
    for (const std::filesystem::path& sheet : order_sheets) line_of(sheet)->addStretch(1);
    m_layout->addWidget(m_results);
    m_results->show();  // Now, so that the queue is made high enough for it.
}

}  // namespace hangtrue::desktop

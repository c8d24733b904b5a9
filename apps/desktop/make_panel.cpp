// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/make_panel.h"

#include <QApplication>
#include <QClipboard>
#include <QDesktopServices>
#include <QDir>
#include <QDrag>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QLabel>
#include <QMimeData>
#include <QMouseEvent>
#include <QProgressBar>
#include <QPushButton>
#include <QStandardPaths>
#include <QUrl>
#include <QVBoxLayout>
#include <algorithm>
#include <utility>

#include "apps/desktop/make_queue.h"
#include "apps/desktop/order.h"
#include "apps/desktop/part_choices.h"
#include "apps/desktop/style.h"
#include "engine/jobs/check_report.h"

namespace hangtrue::desktop {

namespace {

constexpr int most_queue_height = 210;  ///< In the panel beside the print.

QString text_of(const std::filesystem::path& path) { return QString::fromStdString(path.string()); }

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

void MakeRow::show_outcome(const jobs::MakeOutcome& outcome) {
    if (outcome.ending == jobs::Ending::done) {
        show_end(!outcome.sentence.empty() ? QString::fromStdString(outcome.sentence)
                 : outcome.files.size() == 1
                     ? tr("Made, read back from the disk and found right.")
                     : tr("%1 files made, read back and found right.").arg(outcome.files.size()));
        show_files(outcome.files);
        return;
    }
    show_end(QString::fromStdString(outcome.sentence));
    m_results = new QWidget(this);
    auto* layout = new QHBoxLayout(m_results);
    layout->setContentsMargins(0, 0, 0, 0);
    const bool may_pass = outcome.ending == jobs::Ending::refused && checks::stops(outcome.findings, true).empty();
    if (may_pass) {
        auto* anyway = word_button(tr("Make it anyway"), tr("In spite of what was found"), m_results);
        connect(anyway, &QPushButton::clicked, this, [this] { emit wants_again(false, true); });
        layout->addWidget(anyway);
    }
    if (outcome.ending == jobs::Ending::unwritable) {
        auto* replace = word_button(tr("Replace it"), tr("Where a file of that name is in the way"), m_results);
        connect(replace, &QPushButton::clicked, this, [this] { emit wants_again(true, false); });
        layout->addWidget(replace);
    }
    layout->addStretch(1);
    m_layout->addWidget(m_results);
    m_results->show();  // Now, so that the queue is made high enough for it.
}

void MakeRow::show_files(const std::vector<jobs::MadeFile>& files) {
    m_results = new QWidget(this);
    auto* layout = new QVBoxLayout(m_results);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::hair);
    for (const jobs::MadeFile& made : files) {
        auto* name = new QHBoxLayout;
        name->addWidget(new FileName(text_of(made.file), m_results), 1);
        name->addStretch(0);
        layout->addLayout(name);
        auto* line = new QHBoxLayout;
        line->setSpacing(space::middle);
        auto* folder = word_button(tr("Folder"), tr("Opens the folder that the file lies in"), m_results);
        connect(folder, &QPushButton::clicked, this,
                [path = text_of(made.file.parent_path())] { QDesktopServices::openUrl(QUrl::fromLocalFile(path)); });
        line->addWidget(folder);
        if (!made.ticket.empty()) {
            auto* ticket =
                made.plan.test_sheet > 0
                    ? word_button(tr("How to judge it"), tr("The page that says how the printed sheet is judged"),
                                  m_results)
                    : word_button(tr("Ticket"), tr("The page that says to the shop what the file is"), m_results);
            connect(ticket, &QPushButton::clicked, this,
                    [path = text_of(made.ticket)] { QDesktopServices::openUrl(QUrl::fromLocalFile(path)); });
            line->addWidget(ticket);
        }
        if (!made.order_note.empty()) {
            const QString note = QString::fromStdString(made.order_note);
            auto* copy = word_button(tr("Copy the order note"), note, m_results);
            connect(copy, &QPushButton::clicked, copy, [copy, note] {
                QApplication::clipboard()->setText(note);
                copy->setText(tr("Copied"));
            });
            line->addWidget(copy);
        }
        line->addStretch(1);
        layout->addLayout(line);
    }
    m_layout->addWidget(m_results);
    m_results->show();  // Now, so that the queue is made high enough for it.
}

MakePanel::MakePanel(Order& order, Bridge& bridge, Habits habits, QWidget* parent)
    : QWidget(parent), m_order(order), m_bridge(bridge), m_habits(std::move(habits)) {
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::small);
    m_make = new QPushButton(tr("Make the print file"), this);
    m_make->setProperty("weight", QStringLiteral("first"));
    m_make->setShortcut(QKeySequence(Qt::CTRL | Qt::Key_Return));
    m_make->setToolTip(tr("Makes the file, reads it back and writes its ticket (%1)")
                           .arg(m_make->shortcut().toString(QKeySequence::NativeText)));
    connect(m_make, &QPushButton::clicked, this, &MakePanel::make);
    layout->addWidget(m_make);
    m_make_all = new QPushButton(this);
    m_make_all->setToolTip(tr("All pictures that were opened together, with this order; each gets as much as fits"));
    connect(m_make_all, &QPushButton::clicked, this, [this] {
        make();
        make_all(m_order.others());
    });
    layout->addWidget(m_make_all);
    auto* line = new QHBoxLayout;
    line->setSpacing(6);
    auto* into = new QLabel(tr("into"), this);
    into->setProperty("quiet", true);
    line->addWidget(into);
    m_into = word_button({}, {}, this);
    connect(m_into, &QPushButton::clicked, this, &MakePanel::choose_folder);
    line->addWidget(m_into);
    line->addStretch(1);
    layout->addLayout(line);
    m_queue = new MakeQueue(m_bridge, this);
    layout->addWidget(m_queue);
    QString folder = m_habits.last_folder();
    if (folder.isEmpty()) {
        folder = QStandardPaths::writableLocation(QStandardPaths::PicturesLocation) + QStringLiteral("/prints");
    }
    set_folder(folder);
    for (auto change :
         {&Order::settled_changed, &Order::picture_changed, &Order::trouble_changed, &Order::others_changed}) {
        connect(&m_order, change, this, &MakePanel::show_state);
    }
    show_state();
}

void MakePanel::set_folder(const QString& folder) {
    m_folder = folder;
    m_into->setText(QDir(folder).dirName());
    m_into->setToolTip(tr("%1\nClick to make files elsewhere").arg(folder));
    m_into->setAccessibleName(tr("Folder for print files: %1").arg(folder));
}

void MakePanel::choose_folder() {
    const QString chosen = QFileDialog::getExistingDirectory(this, tr("Where shall the print files go?"), m_folder);
    if (chosen.isEmpty()) return;
    set_folder(chosen);
    m_habits.set_last_folder(chosen);
}

void MakePanel::show_state() {
    const bool can_be_made = m_order.has_picture() && m_order.words().contains("size");
    m_make->setEnabled(can_be_made);
    m_make_all->setEnabled(can_be_made);
    m_make_all->setVisible(!m_order.others().empty());
    m_make_all->setText(tr("Make all %1 pictures so").arg(m_order.others().size() + 1));
}

void MakePanel::make() {
    if (!m_order.has_picture() || !m_order.words().contains("size")) return;
    jobs::MakeRequest request;
    request.picture = m_order.path();
    request.wish = m_order.wish();
    request.to = m_folder.toStdString();
    queue(request,
          tr("%1, %2, %3").arg(m_order.title(), words_of(Part::medium, m_order), words_of(Part::size, m_order)));
}

void MakePanel::make_all(const std::vector<std::filesystem::path>& pictures) {
    for (const auto& picture : pictures) {
        jobs::MakeRequest request;
        request.picture = picture;
        request.wish = m_order.wish();
        request.wish.crop = plan::CropAround{};
        request.to = m_folder.toStdString();
        queue(request,
              tr("%1, %2, %3")
                  .arg(text_of(picture.stem()), words_of(Part::medium, m_order), words_of(Part::size, m_order)));
    }
}

void MakePanel::queue(const jobs::MakeRequest& request, const QString& title) {
    QDir().mkpath(m_folder);
    MakeJob job = print_job(title, request);
    job.done = [this, words = m_order.words()](const jobs::MakeOutcome& outcome) {
        if (outcome.ending == jobs::Ending::done && words == m_order.words() &&
            outcome.request.picture == m_order.path()) {
            m_order.set_made(outcome.files);
        }
        emit made(outcome);
    };
    m_queue->add(job);
}

void MakePanel::keep_findings(const std::filesystem::path& out) {
    if (!m_order.has_picture() || !m_order.words().contains("size")) return;
    queue(file_job(tr("Findings: %1, %2, %3")
                       .arg(m_order.title(), words_of(Part::medium, m_order), words_of(Part::size, m_order)),
                   out, tr("Written: a page with the picture, its flags, and what each says."),
                   [picture = m_order.path(), wish = m_order.wish(), out](bool replace, jobs::Context& context) {
                       jobs::expect_free_name(picture, out, replace, context);
                       const jobs::CheckOutcome print = jobs::check(picture, wish, context);
                       jobs::write_check_report(picture, {&print, 1}, out, replace, false, context);
                   }),
          out, false);
}

void MakePanel::enlarge(const jobs::EnlargeRequest& request) {
    queue(file_job(tr("%1, enlarged %2 times").arg(text_of(request.in.stem())).arg(request.factor), request.out,
                   tr("Made: a picture, neither sharpened nor changed for a print."),
                   [request](bool replace, jobs::Context& context) {
                       jobs::EnlargeRequest asked = request;
                       asked.replace = replace;
                       jobs::enlarge(asked, context);
                   }),
          request.out, request.replace);
}

void MakePanel::queue(MakeJob job, const std::filesystem::path& file, bool replace) {
    if (file.parent_path() == std::filesystem::path(m_folder.toStdString())) QDir().mkpath(m_folder);
    job.done = [this](const jobs::MakeOutcome& outcome) { emit file_made(outcome.ending); };
    m_queue->add(job, replace);
}

void MakePanel::take_queue_back() {
    layout()->addWidget(m_queue);
    m_queue->set_most_height(most_queue_height);
}

}  // namespace hangtrue::desktop

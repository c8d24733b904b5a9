// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/ledger_page.h"

#include <QBoxLayout>
#include <QFileDialog>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QResizeEvent>
#include <QTableView>
#include <array>
#include <filesystem>

#include "apps/desktop/bridge.h"
#include "apps/desktop/ledger_model.h"
#include "apps/desktop/make_queue.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/row_delegate.h"
#include "apps/desktop/style.h"
#include "apps/desktop/task_line.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {
namespace {

constexpr int most_rows = 5000;

}  // namespace

LedgerPage::LedgerPage(Bridge& bridge, MakeQueue& queue, QWidget* parent)
    : QWidget(parent), m_bridge(bridge), m_queue(queue) {
    setAccessibleName(tr("Ledger"));
    auto* layout = new QVBoxLayout(this);
    set_page_margins(*layout);

    auto* top = new QHBoxLayout;
    top->addWidget(heading(tr("Ledger"), this));
    top->addStretch(1);
    m_search = new QLineEdit(this);
    m_search->setPlaceholderText(tr("Search picture, shop, medium or size"));
    m_search->setAccessibleName(tr("Search the ledger"));
    m_search->setToolTip(tr("Part of the name of a picture, a shop, a medium or a size"));
    m_search->setClearButtonEnabled(true);
    empty_by_escape(*m_search);
    m_search->setMinimumWidth(340);
    top->addWidget(m_search);
    layout->addLayout(top);

    m_model = new LedgerModel(this);
    m_view = new QTableView(this);
    m_view->setAccessibleName(tr("What was made, newest first"));
    m_view->setModel(m_model);
    m_view->setSelectionBehavior(QAbstractItemView::SelectRows);
    m_view->setSelectionMode(QAbstractItemView::SingleSelection);
    m_view->setShowGrid(false);
    m_view->setTabKeyNavigation(false);
    m_view->setWordWrap(false);
    m_view->setFrameShape(QFrame::NoFrame);
    m_view->setStyleSheet(QStringLiteral("QTableView, QHeaderView { border: none; }"));
    m_view->setItemDelegate(new RowDelegate(m_view));
    m_view->setTextElideMode(Qt::ElideMiddle);
    m_view->verticalHeader()->hide();
    m_view->verticalHeader()->setDefaultSectionSize(QFontMetrics(font_of(Text::body)).height() + space::middle);
    m_view->horizontalHeader()->setHighlightSections(false);
    m_view->horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    m_view->horizontalHeader()->setStretchLastSection(true);
    layout->addWidget(m_view, 1);

    m_details = quiet_words(QString(), this);
    layout->addWidget(m_details);
    m_words = plain_words(QString(), this);
    layout->addWidget(m_words);
    m_look = button(tr("Look for the picture in a folder…"),
                    tr("It is known by what it holds, whatever it is called now"), {}, "", this);
    m_look->hide();
    layout->addWidget(m_look, 0, Qt::AlignLeft);
    connect(m_look, &QPushButton::clicked, this, [this] {
        const QString folder = QFileDialog::getExistingDirectory(this, tr("Where shall the picture be looked for?"));
        if (!folder.isEmpty()) look_for_picture_in(folder.toStdString());
    });
    m_reading = new TaskLine(this);
    layout->addWidget(m_reading);

    auto* foot = new QHBoxLayout;
    foot->setSpacing(space::middle);
    m_hang = button(tr("Hang it again"),
                    tr("Hangs the record's picture with its order: medium, size, crop, edges and all the rest. "
                       "Corrections are those of today"),
                    QKeySequence(Qt::CTRL | Qt::Key_Return), "", this);
    m_show = button(tr("Show in folder"), tr("Opens the folder where the print file lies"),
                    QKeySequence(Qt::CTRL | Qt::Key_F), "", this);
    m_verify = button(tr("Read it again"), tr("Holds the print file, sample for sample, against its record"),
                      QKeySequence(Qt::CTRL | Qt::Key_R), "", this);
    m_again = button(tr("Make it again…"), tr("The same print from the same picture, into a folder of your choice"),
                     QKeySequence(Qt::CTRL | Qt::Key_M), "first", this);
    foot->addWidget(m_hang);
    foot->addStretch(1);
    foot->addWidget(m_show);
    foot->addWidget(m_verify);
    foot->addWidget(m_again);
    layout->addLayout(foot);

    connect(m_search, &QLineEdit::textChanged, this, &LedgerPage::read);
    connect(m_view->selectionModel(), &QItemSelectionModel::selectionChanged, this, &LedgerPage::mark_changed);
    connect(m_view, &QTableView::activated, this, [this] {
        if (const jobs::ListedRecord* record = marked()) show_in_folder(record->row.file_path);
    });
    connect(m_show, &QPushButton::clicked, this, [this] {
        if (const jobs::ListedRecord* record = marked()) show_in_folder(record->row.file_path);
    });
    connect(m_verify, &QPushButton::clicked, this, &LedgerPage::verify_marked);
    connect(m_again, &QPushButton::clicked, this, &LedgerPage::choose_folder_and_make_again);
    connect(m_hang, &QPushButton::clicked, this, &LedgerPage::hang_marked);
    connect(&m_bridge, &Bridge::units_changed, this, [this] { m_model->set_units(m_bridge.workplace().units); });
    connect(m_view->horizontalHeader(), &QHeaderView::sectionHandleDoubleClicked, m_view,
            &QTableView::resizeColumnToContents);
    connect(m_view->horizontalHeader(), &QHeaderView::sectionResized, this, [this](int column) {
        // The last one is stretched by the view itself.
        if (!m_is_sharing && column != LedgerModel::file_column) m_is_drawn = true;
    });
    connect(&m_bridge, &Bridge::making_changed, this, [this] {
        if (!m_bridge.is_making() && isVisible()) read();
    });
    mark_changed();
}

void LedgerPage::showEvent(QShowEvent* event) {
    QWidget::showEvent(event);
    read();
}

QString LedgerPage::words() const { return m_words->text(); }

void LedgerPage::search(const QString& words) {
    if (m_search->text() == words) {
        read();
    } else {
        m_search->setText(words);
    }
}

void LedgerPage::read() {
    m_bridge.run<std::vector<jobs::ListedRecord>>(
        Lane::list, QStringLiteral("ledger"), this,
        [search = m_search->text().toStdString()](jobs::Context& context) {
            return jobs::listed_records(search, most_rows, context);
        },
        [this](Result<std::vector<jobs::ListedRecord>> result) {
            if (!result.is_done()) {
                m_words->setText(shown(result.ended.sentence));
                emit was_read();
                return;
            }
            m_is_known = true;
            const jobs::ListedRecord* before = marked();
            const std::int64_t id = before == nullptr ? 0 : before->row.id;
            m_model->set_records(std::move(*result.value), m_bridge.workplace().units);
            for (int row = 0; row < m_model->rowCount(); ++row) {
                if (m_model->row(row).id == id) m_view->selectRow(row);
            }
            if (!m_is_shared) share_width();
            mark_changed();
            emit was_read();
        });
}

void LedgerPage::share_width() {
    if (m_model->rowCount() == 0 || m_is_drawn) return;
    m_is_sharing = true;
    // Days, kinds and sizes are whole; names share what is left and are cut in their middle.
    const std::array whole{LedgerModel::made_column, LedgerModel::what_column, LedgerModel::size_column};
    int left = m_view->viewport()->width();
    for (const int column : whole) {
        m_view->resizeColumnToContents(column);
        m_view->setColumnWidth(column, m_view->columnWidth(column) + space::middle);
        left -= m_view->columnWidth(column);
    }
    m_view->setColumnWidth(LedgerModel::picture_column, left * 28 / 100);
    m_view->setColumnWidth(LedgerModel::medium_column, left * 26 / 100);
    m_view->setColumnWidth(LedgerModel::shop_column, left * 18 / 100);  // The file's takes the rest.
    m_is_shared = true;
    m_is_sharing = false;
}

void LedgerPage::resizeEvent(QResizeEvent* event) {
    QWidget::resizeEvent(event);
    share_width();
}

const jobs::ListedRecord* LedgerPage::marked() const {
    const QModelIndexList rows = m_view->selectionModel()->selectedRows();
    return rows.isEmpty() ? nullptr : &m_model->record(rows.front().row());
}

void LedgerPage::mark(int row) { m_view->selectRow(row); }

void LedgerPage::mark_changed() {
    const jobs::ListedRecord* record = marked();
    for (QPushButton* one : {m_hang, m_show, m_verify, m_again}) one->setEnabled(record != nullptr);
    if (record != nullptr) {
        const bool is_sheet = record->test_sheet > 0;
        // A sheet's cells go by what is known on its day: another is made on the page of test sheets.
        m_again->setEnabled(!is_sheet);
        m_hang->setEnabled(!is_sheet);
        m_details->setText(
            tr("Record %1, made %2 by Hangtrue %3. The file: %4, %5. The picture: %6")
                .arg(record->row.id)
                .arg(moment_of(record->row.made_at), shown(record->row.program_version), shown(record->row.file_path),
                     shown(base::bytes_text(record->row.bytes)), shown(record->row.picture_path)) +
            (is_sheet ? tr(". A test sheet is not made again: the next one goes by what is known then.") : QString()));
    } else if (!m_is_known) {
        m_details->setText(tr("Looking …"));
    } else if (m_model->rowCount() > 0) {
        m_details->setText(counted(m_model->rowCount(), tr("1 record. Mark it to make its print again."),
                                   tr("%1 records. Mark one to make its print again.")));
    } else if (m_search->text().isEmpty()) {
        m_details->setText(tr("Nothing was made yet. Each print file that you make is kept here with its whole plan."));
    } else {
        m_details->setText(tr("No record holds \"%1\".").arg(m_search->text()));
    }
}

void LedgerPage::hang_marked() {
    const jobs::ListedRecord* record = marked();
    if (record == nullptr || record->test_sheet > 0) return;
    m_bridge.run<jobs::RecordedOrder>(
        Lane::list, QStringLiteral("order"), this,
        [id = record->row.id](jobs::Context& context) { return jobs::order_of_record(id, context); },
        [this](Result<jobs::RecordedOrder> result) {
            if (result.is_done()) {
                emit order_chosen(shown(result.value->picture), result.value->words);
            } else {
                m_words->setText(shown(result.ended.sentence));
            }
        });
}

void LedgerPage::choose_folder_and_make_again() {
    const jobs::ListedRecord* record = marked();
    if (record == nullptr) return;
    const std::int64_t id = record->row.id;
    const QString folder = QFileDialog::getExistingDirectory(
        this, tr("Make it again into"), shown(std::filesystem::path(record->row.file_path).parent_path()));
    if (!folder.isEmpty()) make_again(id, folder.toStdString());
}

void LedgerPage::make_again(std::int64_t id, const std::filesystem::path& folder) {
    jobs::AgainRequest request;
    request.id = id;
    request.to = folder;
    make_again(request);
}

void LedgerPage::make_again(const jobs::AgainRequest& request) {
    m_words->clear();
    m_look->hide();
    QString what;
    for (int row = 0; row < m_model->rowCount(); ++row) {
        if (m_model->row(row).id == request.id) what = shown(m_model->record(row).picture_name);
    }
    MakeJob job = again_job(tr("Record %1 again: %2").arg(request.id).arg(what), request);
    job.done = [this, request](const jobs::MakeOutcome& outcome) {
        m_words->setText(shown(outcome.sentence) +
                         (outcome.files.empty() ? QString() : tr(" It is %1.").arg(shown(outcome.files.front().file))));
        // Its folder was moved: the picture is known by what it holds, so that a folder is enough to find it.
        if (outcome.ending == jobs::Ending::unreadable) {
            m_lost = request;
            m_look->show();
        }
        read();
        emit was_answered();
    };
    m_queue.add(job);
}

void LedgerPage::look_for_picture_in(const std::filesystem::path& folder) {
    if (!m_lost) return;
    jobs::AgainRequest request = *m_lost;
    request.picture = folder;
    make_again(request);
}

void LedgerPage::verify_marked() {
    const jobs::ListedRecord* record = marked();
    if (record == nullptr) return;
    const std::filesystem::path file = record->row.file_path;
    m_words->clear();
    m_reading->begin(tr("Reading %1").arg(shown(file.filename())));
    m_reading->set_task(m_bridge.run<jobs::Verified>(
        Lane::measure, QStringLiteral("verify"), this,
        [file](jobs::Context& context) { return jobs::verify(file, std::nullopt, context); },
        [this](Result<jobs::Verified> result) {
            m_reading->end();
            if (!result.is_done()) {
                m_words->setText(shown(result.ended.sentence));
            } else if (result.value->matches) {
                m_words->setText(
                    tr("%1 is as it was made, sample for sample.").arg(shown(result.value->file.filename())));
            } else {
                QStringList differences;
                for (const std::string& sentence : result.value->differences) differences.append(shown(sentence));
                m_words->setText(differences.join(QLatin1Char(' ')));
            }
            emit was_answered();
        },
        [this](const base::ProgressReport& report) { m_reading->show_progress(report); }));
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/ledger_page.h"

#include <QBoxLayout>
#include <QFileDialog>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTableView>
#include <filesystem>

#include "apps/desktop/bridge.h"
#include "apps/desktop/ledger_model.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/style.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {
namespace {

constexpr int most_rows = 5000;

}  // namespace

LedgerPage::LedgerPage(Bridge& bridge, QWidget* parent) : QWidget(parent), m_bridge(bridge) {
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

    auto* foot = new QHBoxLayout;
    foot->setSpacing(space::middle);
    m_hang = button(tr("Hang its picture"), tr("Opens the record's picture on the wall"),
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
        if (const ledger::Row* row = marked()) show_in_folder(row->file_path);
    });
    connect(m_show, &QPushButton::clicked, this, [this] {
        if (const ledger::Row* row = marked()) show_in_folder(row->file_path);
    });
    connect(m_verify, &QPushButton::clicked, this, &LedgerPage::verify_marked);
    connect(m_again, &QPushButton::clicked, this, &LedgerPage::choose_folder_and_make_again);
    connect(m_hang, &QPushButton::clicked, this, [this] {
        if (const ledger::Row* row = marked()) emit picture_chosen(shown(row->picture_path));
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
    m_bridge.run<std::vector<ledger::Row>>(
        Lane::measure, QStringLiteral("ledger"), this,
        [search = m_search->text().toStdString()](jobs::Context& context) {
            return jobs::ledger_rows(search, most_rows, context);
        },
        [this](Result<std::vector<ledger::Row>> result) {
            if (!result.is_done()) {
                m_words->setText(shown(result.ended.sentence));
                emit was_read();
                return;
            }
            const ledger::Row* before = marked();
            const std::int64_t id = before == nullptr ? 0 : before->id;
            const bool is_first = m_model->rowCount() == 0;
            m_model->set_rows(std::move(*result.value));
            for (int row = 0; row < m_model->rowCount(); ++row) {
                if (m_model->row(row).id == id) m_view->selectRow(row);
            }
            if (is_first) {
                m_view->resizeColumnsToContents();
                for (int column = 0; column + 1 < LedgerModel::columns; ++column) {
                    m_view->setColumnWidth(column, m_view->columnWidth(column) + space::middle);
                }
            }
            mark_changed();
            emit was_read();
        });
}

const ledger::Row* LedgerPage::marked() const {
    const QModelIndexList rows = m_view->selectionModel()->selectedRows();
    return rows.isEmpty() ? nullptr : &m_model->row(rows.front().row());
}

void LedgerPage::mark(int row) { m_view->selectRow(row); }

void LedgerPage::mark_changed() {
    const ledger::Row* row = marked();
    for (QPushButton* one : {m_hang, m_show, m_verify, m_again}) one->setEnabled(row != nullptr);
    if (row != nullptr) {
        m_details->setText(tr("Record %1, made %2 by Hangtrue %3. The file: %4, %5. The picture: %6")
                               .arg(row->id)
                               .arg(shown(row->made_at), shown(row->program_version), shown(row->file_path),
                                    shown(base::bytes_text(row->bytes)), shown(row->picture_path)));
    } else if (m_model->rowCount() > 0) {
        m_details->setText(counted(m_model->rowCount(), tr("1 record. Mark it to make its print again."),
                                   tr("%1 records. Mark one to make its print again.")));
    } else if (m_search->text().isEmpty()) {
        m_details->setText(tr("Nothing was made yet. Each print file that you make is kept here with its whole plan."));
    } else {
        m_details->setText(tr("No record holds \"%1\".").arg(m_search->text()));
    }
}

void LedgerPage::choose_folder_and_make_again() {
    const ledger::Row* row = marked();
    if (row == nullptr) return;
    const std::int64_t id = row->id;
    const QString folder = QFileDialog::getExistingDirectory(
        this, tr("Make it again into"), shown(std::filesystem::path(row->file_path).parent_path()));
    if (!folder.isEmpty()) make_again(id, folder.toStdString());
}

void LedgerPage::make_again(std::int64_t id, const std::filesystem::path& folder) {
    m_words->setText(tr("Making record %1 again …").arg(id));
    jobs::AgainRequest request;
    request.id = id;
    request.to = folder;
    m_bridge.run<jobs::Again>(
        Lane::make, QStringLiteral("again"), this,
        [request](jobs::Context& context) { return jobs::again(request, context); },
        [this](Result<jobs::Again> result) {
            m_words->setText(
                result.is_done()
                    ? shown(result.value->sentence) +
                          (result.value->file.empty() ? QString() : tr(" It is %1.").arg(shown(result.value->file)))
                    : shown(result.ended.sentence));
            read();
            emit was_answered();
        });
}

void LedgerPage::verify_marked() {
    const ledger::Row* row = marked();
    if (row == nullptr) return;
    const std::filesystem::path file = row->file_path;
    m_words->setText(tr("Reading %1 …").arg(shown(file.filename())));
    m_bridge.run<jobs::Verified>(
        Lane::measure, QStringLiteral("verify"), this,
        [file](jobs::Context& context) { return jobs::verify(file, std::nullopt, context); },
        [this](Result<jobs::Verified> result) {
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
        });
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/many_prints.h"

#include <QBoxLayout>
#include <QDir>
#include <QFileDialog>
#include <QFormLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QSpinBox>
#include <QTableWidget>
#include <algorithm>

#include "apps/desktop/make_queue.h"
#include "apps/desktop/medium_chooser.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/row_delegate.h"
#include "apps/desktop/style.h"
#include "engine/jobs/order_verdicts.h"

namespace hangtrue::desktop {

struct ManyPrints::Looked {
    std::vector<jobs::MakeRequest> listed;
    std::vector<std::string> said;
};

ManyPrints::ManyPrints(Bridge& bridge, MakeQueue& queue, const QString& folder, QWidget* parent)
    : QDialog(parent), m_bridge(bridge), m_queue(queue) {
    setWindowTitle(tr("Several prints"));
    auto* layout = new QVBoxLayout(this);
    set_page_margins(*layout);
    m_heading = heading(QString(), this);
    m_heading->setWordWrap(true);
    layout->addWidget(m_heading);
    m_order_lines = new QWidget(this);
    auto* form = new QFormLayout(m_order_lines);
    form->setContentsMargins(0, 0, 0, 0);
    form->setHorizontalSpacing(space::middle);
    form->setVerticalSpacing(space::small);
    m_order = new MediumChooser(*form, tr("Size of each"), m_order_lines);
    m_prints = new QSpinBox(m_order_lines);
    m_prints->setRange(1, 9999);
    m_prints->setButtonSymbols(QAbstractSpinBox::NoButtons);
    m_prints->setToolTip(tr("From 1 to 9999; arrow keys count"));
    m_prints->setAccessibleName(tr("Prints of each"));
    form->addRow(tr("Prints of each"), m_prints);
    layout->addWidget(m_order_lines);
    m_table = new QTableWidget(0, 2, this);
    m_table->setAccessibleName(tr("The pictures, and what the order comes to"));
    m_table->setHorizontalHeaderLabels({tr("Picture"), tr("What the order comes to")});
    m_table->horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    m_table->horizontalHeader()->setStretchLastSection(true);
    m_table->verticalHeader()->hide();
    m_table->setShowGrid(false);
    m_table->setEditTriggers(QAbstractItemView::NoEditTriggers);
    m_table->setSelectionBehavior(QAbstractItemView::SelectRows);
    m_table->setTabKeyNavigation(false);
    m_table->setFrameShape(QFrame::NoFrame);
    m_table->setStyleSheet(QStringLiteral("QTableView, QHeaderView { border: none; }"));
    m_table->setWordWrap(true);
    m_table->verticalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
    m_table->setItemDelegate(new RowDelegate(m_table));
    layout->addWidget(m_table, 1);
    auto* into = new QHBoxLayout;
    into->setSpacing(space::small);
    into->addWidget(new QLabel(tr("Into folder"), this));
    m_folder = new QLineEdit(folder, this);
    m_folder->setAccessibleName(tr("Folder for print files"));
    into->addWidget(m_folder, 1);
    auto* other = button(tr("Choose…"), tr("Where the print files, tickets and the order sheet go"), {}, "", this);
    other->setAutoDefault(false);
    into->addWidget(other);
    layout->addLayout(into);
    auto* foot = new QHBoxLayout;
    foot->setSpacing(space::middle);
    m_words = plain_words(QString(), this);
    foot->addWidget(m_words, 1);
    auto* leave = button(tr("Not now"), tr("Makes nothing (Esc)"), {}, "", this);
    leave->setAutoDefault(false);
    foot->addWidget(leave);
    m_make = button(QString(), tr("One after the other; what a check refuses is told in its line"),
                    QKeySequence(Qt::CTRL | Qt::Key_Return), "first", this);
    m_make->setDefault(true);
    foot->addWidget(m_make);
    layout->addLayout(foot);
    resize(860, 620);
    connect(m_order, &MediumChooser::changed, this, &ManyPrints::look);
    connect(m_folder, &QLineEdit::textChanged, this, &ManyPrints::show_lines);
    connect(other, &QPushButton::clicked, this, [this] {
        const QString chosen =
            QFileDialog::getExistingDirectory(this, tr("Where shall the print files go?"), m_folder->text());
        if (!chosen.isEmpty()) set_folder(chosen);
    });
    connect(leave, &QPushButton::clicked, this, &QDialog::reject);
    connect(m_make, &QPushButton::clicked, this, &ManyPrints::make);
    ask_for_shops();
    show_lines();
}

void ManyPrints::set_folder(const QString& folder) { m_folder->setText(folder); }
QString ManyPrints::folder() const { return m_folder->text(); }
QString ManyPrints::words() const { return m_words->text(); }
QString ManyPrints::words_of(int line) const { return m_table->item(line, 1)->text(); }

void ManyPrints::ask_for_shops() {
    m_bridge.run<std::vector<jobs::ShopText>>(
        Lane::list, QStringLiteral("shops"), this, [](jobs::Context& context) { return jobs::shop_texts(context); },
        [this](Result<std::vector<jobs::ShopText>> result) {
            if (!result.is_done()) {
                m_words->setText(shown(result.ended.sentence));
                return;
            }
            m_order->set_shops(*result.value);
            if (m_wanted.size() == 3) m_order->choose(m_wanted[0], m_wanted[1], m_wanted[2]);
            if (m_order->shop() == nullptr && m_list.empty()) {
                m_words->setText(tr("No shop is known yet: begin one on the page Shops."));
            }
        });
}

void ManyPrints::show_pictures(std::vector<std::filesystem::path> pictures) {
    m_pictures = std::move(pictures);
    m_heading->setText(counted(count(), tr("One picture"), tr("%1 pictures, one order for all")));
    show_lines();
    look();
}

void ManyPrints::show_list(const std::filesystem::path& list) {
    m_list = list;
    m_order_lines->hide();
    m_heading->setText(tr("The prints of %1").arg(shown(list.filename())));
    look();
}

void ManyPrints::choose(const QString& shop_id, const QString& medium_id, const QString& size_name) {
    m_wanted = {shop_id, medium_id, size_name};  // Where the shops are still being read.
    m_order->choose(shop_id, medium_id, size_name);
}

std::vector<jobs::MakeRequest> ManyPrints::requests() const {
    std::vector<jobs::MakeRequest> requests = m_listed;
    const std::optional<base::SizeMm> size = m_order->wanted();
    if (m_list.empty() && size) {
        for (const auto& picture : m_pictures) {
            jobs::MakeRequest& request = requests.emplace_back();
            request.picture = picture;
            request.wish.shop = m_order->shop()->id;
            request.wish.medium = m_order->medium()->id;
            request.wish.size = *size;
            request.wish.quantity = m_prints->value();
        }
    }
    for (jobs::MakeRequest& request : requests) request.to = m_folder->text().toStdString();
    return requests;
}

void ManyPrints::look() {
    // What is still being looked at, or was and is not told yet, is no longer what was chosen.
    m_looking.cancel();
    const int turn = ++m_turn;
    m_said.clear();
    if (m_list.empty() && (m_pictures.empty() || !m_order->wanted())) {
        if (m_order->shop() != nullptr) m_said.assign(m_pictures.size(), tr("Choose a size."));
        show_lines();
        return;
    }
    show_lines();
    m_looking = m_bridge.run<Looked>(
        Lane::list, QStringLiteral("look"), this,
        [list = m_list, requests = requests()](jobs::Context& context) {
            Looked looked;
            looked.listed = list.empty() ? requests : jobs::requests_from_list(list, {});
            looked.said = jobs::order_verdicts(looked.listed, context);
            return looked;
        },
        [this, turn](Result<Looked> result) {
            if (turn != m_turn) return;
            if (!result.is_done()) {
                m_words->setText(shown(result.ended.sentence));
                m_said.assign(m_pictures.size(), QString());
                show_lines();
                emit was_looked_at();
                return;
            }
            if (!m_list.empty()) {
                m_listed = std::move(result.value->listed);
                m_pictures.clear();
                for (const jobs::MakeRequest& request : m_listed) m_pictures.push_back(request.picture);
            }
            m_said.clear();
            for (const std::string& sentence : result.value->said) m_said.push_back(shown(sentence));
            m_words->clear();
            show_lines();
            emit was_looked_at();
        });
}

void ManyPrints::show_lines() {
    m_table->setRowCount(count());
    for (int line = 0; line < count(); ++line) {
        const auto at = static_cast<std::size_t>(line);
        const QString said = at < m_said.size() ? m_said[at] : tr("Looking …");
        for (const auto& [column, text] : {std::pair{0, shown(m_pictures[at].filename())}, std::pair{1, said}}) {
            auto* item = new QTableWidgetItem(text);
            item->setToolTip(text);
            m_table->setItem(line, column, item);
        }
    }
    m_table->setColumnWidth(0, std::max(200, width() / 3));
    m_make->setText(counted(count(), tr("Make the print file"), tr("Make %1 print files")));
    m_make->setShortcut(QKeySequence(Qt::CTRL | Qt::Key_Return));  // Qt takes it away with the words.
    m_make->setAccessibleName(m_make->text());
    m_make->setEnabled(!requests().empty() && !m_folder->text().isEmpty());
}

void ManyPrints::make() {
    const std::vector<jobs::MakeRequest> asked = requests();
    if (asked.empty() || m_folder->text().isEmpty()) return;
    QDir().mkpath(m_folder->text());
    m_queue.add_prints(asked);
    accept();
}

}  // namespace hangtrue::desktop

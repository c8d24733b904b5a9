// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/shops_page.h"

#include <QBoxLayout>
#include <QButtonGroup>
#include <QClipboard>
#include <QGuiApplication>
#include <QHeaderView>
#include <QInputDialog>
#include <QLabel>
#include <QPlainTextEdit>
#include <QPushButton>
#include <QStackedWidget>
#include <QTableWidget>
#include <QTreeView>
#include <algorithm>

#include "apps/desktop/bridge.h"
#include "apps/desktop/open_questions.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/row_delegate.h"
#include "apps/desktop/settings.h"
#include "apps/desktop/shop_file_editor.h"
#include "apps/desktop/shop_model.h"
#include "apps/desktop/style.h"
#include "engine/jobs/shop_files.h"
#include "engine/shops/listing.h"

namespace hangtrue::desktop {
namespace {

QTableWidget* plain_table(int columns, QWidget* parent) {
    auto* table = new QTableWidget(0, columns, parent);
    table->setEditTriggers(QAbstractItemView::NoEditTriggers);
    table->setSelectionMode(QAbstractItemView::NoSelection);
    table->setFocusPolicy(Qt::TabFocus);
    table->setTabKeyNavigation(false);
    table->setShowGrid(false);
    table->setFrameShape(QFrame::NoFrame);
    table->setStyleSheet(QStringLiteral("QTableWidget, QHeaderView { border: none; background: transparent; }"));
    table->verticalHeader()->hide();
    table->horizontalHeader()->setStretchLastSection(true);
    table->horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    table->verticalHeader()->setDefaultSectionSize(QFontMetrics(font_of(Text::body)).height() + space::small);
    return table;
}

void put(QTableWidget& table, int row, int column, const QString& text, bool is_quiet = false) {
    auto* item = new QTableWidgetItem(text);
    if (is_quiet) item->setForeground(tones().quiet_ink);
    table.setItem(row, column, item);
}

}  // namespace

ShopsPage::ShopsPage(Bridge& bridge, QWidget* parent) : QWidget(parent), m_bridge(bridge) {
    setAccessibleName(tr("Shops"));
    auto* layout = new QHBoxLayout(this);
    layout->setContentsMargins(space::page, space::large, space::page, space::large);
    layout->setSpacing(space::page);
    layout->addWidget(left_side(), 2);
    layout->addWidget(right_side(), 5);
    connect(m_tree->selectionModel(), &QItemSelectionModel::currentChanged, this, &ShopsPage::mark_changed);
    connect(&m_bridge, &Bridge::units_changed, this, &ShopsPage::mark_changed);
    connect(m_editor, &ShopFileEditor::was_saved, this, &ShopsPage::refresh);
    connect(m_editor, &ShopFileEditor::unsaved_changed, this, [this] {
        m_model->set_unsaved([this](const std::filesystem::path& file) { return m_editor->has_unsaved(file); });
    });
    connect(m_questions, &OpenQuestions::was_filled_in, this, &ShopsPage::refresh);
    connect(m_questions, &OpenQuestions::wants_the_file, this, [this] { show_view(View::file); });
    show_view(View::known);
    mark_changed();
}

QWidget* ShopsPage::left_side() {
    auto* side = new QWidget(this);
    auto* layout = new QVBoxLayout(side);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::middle);
    layout->addWidget(heading(tr("Shops"), side));
    m_model = new ShopModel(this);
    m_tree = new QTreeView(side);
    m_tree->setAccessibleName(tr("Shops and their media"));
    m_tree->setModel(m_model);
    m_tree->setHeaderHidden(true);
    m_tree->setRootIsDecorated(false);
    m_tree->setItemsExpandable(false);
    m_tree->setIndentation(space::middle);
    m_tree->setFrameShape(QFrame::NoFrame);
    m_tree->setAllColumnsShowFocus(false);
    m_tree->setTextElideMode(Qt::ElideRight);
    m_tree->setStyleSheet(QStringLiteral("QTreeView { border: none; background: transparent; }"));
    m_tree->setItemDelegate(new RowDelegate(m_tree));
    layout->addWidget(m_tree, 1);
    m_words = quiet_words(tr("Looking …"), side);
    layout->addWidget(m_words);
    auto* buttons = new QHBoxLayout;
    buttons->setSpacing(space::small);
    auto* begin = button(tr("New shop…"), tr("Begins a shop's file, with comments, to be filled in"), QKeySequence::New,
                         "", side);
    auto* demo =
        button(tr("Add the demo shops"), tr("Two invented shops, to try Hangtrue with and to copy from"), {}, "", side);
    buttons->addWidget(begin);
    buttons->addWidget(demo);
    buttons->addStretch(1);
    layout->addLayout(buttons);
    connect(begin, &QPushButton::clicked, this, &ShopsPage::ask_name);
    connect(demo, &QPushButton::clicked, this, &ShopsPage::add_demo_shops);
    return side;
}

QWidget* ShopsPage::right_side() {
    auto* side = new QWidget(this);
    auto* layout = new QVBoxLayout(side);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::middle);
    m_title = heading(QString(), side);
    m_title->setWordWrap(true);
    layout->addWidget(m_title);
    auto* words = new QHBoxLayout;
    words->setSpacing(space::large);
    m_views = new QButtonGroup(this);
    const QStringList names{tr("What is known"), tr("Open questions"), tr("The letter"), tr("The file")};
    const QStringList tips{tr("How the medium is and what its sizes cost"), tr("Answers go into the shop's file"),
                           tr("Asks the shop for what it has not told"), tr("The shop's text, comments and all")};
    for (int i = 0; i < names.size(); ++i) {
        auto* one =
            button(names[i], tips[i], QKeySequence(Qt::ALT | static_cast<Qt::Key>(Qt::Key_1 + i)), "place", side);
        one->setCheckable(true);
        m_views->addButton(one, i);
        words->addWidget(one);
    }
    words->addStretch(1);
    layout->addLayout(words);
    connect(m_views, &QButtonGroup::idClicked, this, [this](int id) { show_view(static_cast<View>(id)); });

    m_stack = new QStackedWidget(side);
    auto* known = new QWidget(m_stack);
    auto* known_layout = new QVBoxLayout(known);
    known_layout->setContentsMargins(0, 0, 0, 0);
    known_layout->setSpacing(space::middle);
    m_facts = plain_table(2, known);
    m_facts->setAccessibleName(tr("What is known"));
    m_facts->horizontalHeader()->hide();
    m_facts->setItemDelegate(new RowDelegate(m_facts));
    m_facts->setWordWrap(true);
    known_layout->addWidget(m_facts, 3);
    m_facts->verticalHeader()->setMinimumSectionSize(QFontMetrics(font_of(Text::body)).height() + space::small);
    m_prices = plain_table(5, known);
    m_prices->setItemDelegate(new RowDelegate(m_prices));
    m_prices->setAccessibleName(tr("Sizes and prices"));
    m_prices->setHorizontalHeaderLabels({tr("Size"), tr("Hangs"), tr("File"), tr("Printed by"), tr("Price")});
    known_layout->addWidget(m_prices, 2);
    m_stack->addWidget(known);
    m_questions = new OpenQuestions(m_bridge, m_stack);
    m_stack->addWidget(m_questions);
    auto* letter = new QWidget(m_stack);
    auto* letter_layout = new QVBoxLayout(letter);
    letter_layout->setContentsMargins(0, 0, 0, 0);
    letter_layout->setSpacing(space::middle);
    m_letter = new QPlainTextEdit(letter);
    m_letter->setReadOnly(true);
    m_letter->setAccessibleName(tr("The letter"));
    m_letter->setTabChangesFocus(true);
    letter_layout->addWidget(m_letter, 1);
    auto* copy = button(tr("Copy the letter"), tr("To paste it into a mail"),
                        QKeySequence(Qt::CTRL | Qt::SHIFT | Qt::Key_C), "first", letter);
    letter_layout->addWidget(copy, 0, Qt::AlignRight);
    connect(copy, &QPushButton::clicked, this,
            [this] { QGuiApplication::clipboard()->setText(m_letter->toPlainText()); });
    m_stack->addWidget(letter);
    m_editor = new ShopFileEditor(m_bridge, m_stack);
    m_stack->addWidget(m_editor);
    layout->addWidget(m_stack, 1);
    return side;
}

void ShopsPage::showEvent(QShowEvent* event) {
    QWidget::showEvent(event);
    refresh();
}

void ShopsPage::show_view(View view) {
    m_views->button(static_cast<int>(view))->setChecked(true);
    m_stack->setCurrentIndex(static_cast<int>(view));
}

QString ShopsPage::letter() const { return m_letter->toPlainText(); }
QString ShopsPage::words() const { return m_words->text(); }

void ShopsPage::refresh() {
    struct Read {
        std::vector<jobs::ShopText> shops;
        std::vector<jobs::ListedSheet> sheets;
    };
    m_bridge.run<Read>(
        Lane::list, QStringLiteral("shops"), this,
        [](jobs::Context& context) {
            Read read{jobs::shop_texts(context), {}};
            // A ledger that cannot be used is no reason to hide the shops.
            jobs::ended([&] { read.sheets = jobs::listed_sheets(context); });
            return read;
        },
        [this](Result<Read> result) {
            if (!result.is_done()) {
                m_words->setText(shown(result.ended.sentence));
                return;
            }
            if (m_wanted_shop.isEmpty()) {
                // What was marked stays marked.
                const QModelIndex now = m_tree->currentIndex();
                if (const jobs::ShopText* shop = marked_shop()) {
                    m_wanted_shop = shown(shop->file.stem());
                    const int medium = m_model->medium_of(now);
                    if (medium >= 0) m_wanted_medium = shown(shop->shop.media[static_cast<std::size_t>(medium)].id);
                }
            }
            const auto is_same = [](const jobs::ShopText& a, const jobs::ShopText& b) {
                return a.file == b.file && a.text == b.text;
            };
            const bool are_others =
                m_was_read && !std::equal(m_model->shops().begin(), m_model->shops().end(), result.value->shops.begin(),
                                          result.value->shops.end(), is_same);
            m_was_read = true;
            m_sheets = std::move(result.value->sheets);
            m_model->set_shops(std::move(result.value->shops));
            m_tree->expandAll();
            m_words->setText(
                m_model->rowCount() == 0
                    ? tr("No shop is known yet. Begin one with what its web page says, or try the demo shops.")
                    : QString());
            if (m_wanted_shop.isEmpty() && m_model->rowCount() > 0) {
                m_wanted_shop = shown(m_model->shops().front().file.stem());
            }
            const QString shop = std::exchange(m_wanted_shop, QString());
            const QString medium = std::exchange(m_wanted_medium, QString());
            mark(shop, medium);
            if (are_others) emit shops_changed();
        });
}

void ShopsPage::mark(const QString& shop_id, const QString& medium_id) {
    for (int row = 0; row < m_model->rowCount(); ++row) {
        const jobs::ShopText& shop = m_model->shops()[static_cast<std::size_t>(row)];
        if (shown(shop.file.stem()) != shop_id) continue;
        QModelIndex index = m_model->index(row, 0);
        for (std::size_t i = 0; i < shop.shop.media.size(); ++i) {
            if (shown(shop.shop.media[i].id) == medium_id) index = m_model->index(static_cast<int>(i), 0, index);
        }
        m_tree->setCurrentIndex(index);
        return;
    }
    // Not there yet: when the list comes.
    m_wanted_shop = shop_id;
    m_wanted_medium = medium_id;
    mark_changed();
}

const jobs::ShopText* ShopsPage::marked_shop() const {
    const int shop = m_model->shop_of(m_tree->currentIndex());
    return shop < 0 || shop >= m_model->rowCount() ? nullptr : &m_model->shops()[static_cast<std::size_t>(shop)];
}

void ShopsPage::mark_changed() {
    const jobs::ShopText* shop = marked_shop();
    const bool has_shop = shop != nullptr;
    for (QAbstractButton* one : m_views->buttons()) one->setVisible(has_shop);
    m_stack->setVisible(has_shop);
    if (!has_shop) {
        m_title->clear();
        return;
    }
    const int medium = m_model->medium_of(m_tree->currentIndex());
    const bool is_broken = shop->ending != jobs::Ending::done;
    m_title->setText(is_broken    ? shown(shop->file.filename())
                     : medium < 0 ? shown(shop->shop.name)
                                  : tr("%1 from %2")
                                        .arg(shown(shop->shop.media[static_cast<std::size_t>(medium)].name),
                                             shown(shop->shop.name)));
    // Words that somebody is writing are never taken away: the editor keeps them, each shop's by itself.
    if (m_edited != shop->file || !m_editor->has_changes()) {
        m_editor->show_file(*shop);
        if (medium >= 0 && !m_editor->has_changes()) m_editor->show_medium(medium);
        m_edited = shop->file;
    }
    if (is_broken) {
        show_view(View::file);
        return;
    }
    show_known(*shop, medium);
    m_questions->show_shop(*shop, medium);
    m_letter->setPlainText(shop->letter.empty() ? tr("There is nothing left to ask.") : shown(shop->letter));
}

void ShopsPage::show_known(const jobs::ShopText& text, int medium) {
    const shops::Shop& shop = text.shop;
    m_facts->setRowCount(0);
    m_prices->setRowCount(0);
    m_prices->setVisible(medium >= 0);
    const auto add = [this](const QString& label, const QString& value, bool is_told) {
        const int row = m_facts->rowCount();
        m_facts->insertRow(row);
        put(*m_facts, row, 0, label, true);
        put(*m_facts, row, 1, value, !is_told);
    };
    const QString not_told = tr("not told");
    const auto money = [&](const std::optional<shops::Price>& price) {
        return price ? tr("%1 %2").arg(static_cast<double>(price->cents) / 100, 0, 'f', 2).arg(shown(shop.currency))
                     : not_told;
    };
    if (medium < 0) {
        add(tr("Order page"), shop.order_page.empty() ? not_told : shown(shop.order_page), !shop.order_page.empty());
        add(tr("Contact"), shop.contact.empty() ? not_told : shown(shop.contact), !shop.contact.empty());
        add(tr("Smallest order"), money(shop.smallest_order), shop.smallest_order.has_value());
        add(tr("Postage"), money(shop.postage), shop.postage.has_value());
        add(tr("Ready in"), shop.days ? counted(*shop.days, tr("1 working day"), tr("%1 working days")) : not_told,
            shop.days.has_value());
        for (std::size_t i = 0; i < shop.media.size(); ++i) {
            const shops::Medium& one = shop.media[i];
            add(i == 0 ? tr("Prints on") : QString(),
                one.free_sizes ? tr("%1: cut to order").arg(shown(one.name))
                               : tr("%1: %2").arg(shown(one.name), counted(static_cast<qsizetype>(one.sizes.size()),
                                                                           tr("1 size"), tr("%1 sizes"))),
                true);
        }
        add(tr("Its file"), shown(text.file), true);
    } else {
        const shops::Medium& one = shop.media[static_cast<std::size_t>(medium)];
        const base::ShownUnits units = m_bridge.workplace().units;
        add(tr("Test prints"), test_words(shop, one), true);
        for (const shops::Fact& fact : shops::facts(one, units)) {
            QString label = shown(fact.label);
            if (fact.label != "ppi") label[0] = label[0].toUpper();
            add(label, shown(fact.value), fact.is_told);
        }
        for (const shops::PriceLine& line : shops::price_list(one, units)) {
            const int row = m_prices->rowCount();
            m_prices->insertRow(row);
            put(*m_prices, row, 0, shown(line.name));
            put(*m_prices, row, 1, shown(line.finished));
            put(*m_prices, row, 2, shown(line.file));
            put(*m_prices, row, 3, line.process.empty() ? not_told : shown(line.process), line.process.empty());
            // The last line may be of sizes that are cut to order.
            const bool is_by_area = one.free_sizes && row == static_cast<int>(one.sizes.size());
            put(*m_prices, row, 4,
                line.price.empty() ? not_told
                : is_by_area       ? tr("%1 %2 a square metre").arg(shown(line.price), shown(shop.currency))
                                   : tr("%1 %2").arg(shown(line.price), shown(shop.currency)),
                line.price.empty());
        }
    }
    m_facts->resizeColumnToContents(0);
    // As high as its words: the hidden header, which has more room, is not asked.
    const QAbstractItemView& facts = *m_facts;
    for (int row = 0; row < m_facts->rowCount(); ++row) m_facts->setRowHeight(row, facts.sizeHintForRow(row));
    bool names_files = false;
    for (int row = 0; row < m_prices->rowCount(); ++row) names_files |= !m_prices->item(row, 2)->text().isEmpty();
    m_prices->setColumnHidden(2, !names_files);
    m_prices->resizeColumnsToContents();
    for (int column = 0; column + 1 < m_prices->columnCount(); ++column) {
        m_prices->setColumnWidth(column, m_prices->columnWidth(column) + space::large);
    }
}

QString ShopsPage::test_words(const shops::Shop& shop, const shops::Medium& medium) const {
    int made = 0, answered = 0, measured = 0;
    for (const jobs::ListedSheet& sheet : m_sheets) {
        if (sheet.printed.shop != shop.id || sheet.printed.medium != medium.id) continue;
        ++made;
        answered += sheet.answers > 0 ? 1 : 0;
        measured += sheet.measurements > 0 ? 1 : 0;
    }
    if (made == 0) return tr("none yet: one small print can save a large one (page Test sheets)");
    const QString sheets = counted(made, tr("1 sheet"), tr("%1 sheets"));
    if (measured > 0) return tr("%1, %2 measured; prints are corrected by what was read").arg(sheets).arg(measured);
    if (answered > 0) return tr("%1, %2 answered by eye").arg(sheets).arg(answered);
    return tr("%1, not answered yet").arg(sheets);
}

void ShopsPage::ask_name() {
    bool is_given = false;
    const QString name = QInputDialog::getText(this, tr("New shop"), tr("The shop's name, as it writes it"),
                                               QLineEdit::Normal, QString(), &is_given);
    if (is_given && !name.trimmed().isEmpty()) begin_shop(name.trimmed());
}

void ShopsPage::begin_shop(const QString& name) {
    m_bridge.run<std::filesystem::path>(
        Lane::keep, QStringLiteral("begin shop ") + name, this,
        [given = name.toStdString()](jobs::Context& context) { return jobs::begun_shop_file(given, context); },
        [this](Result<std::filesystem::path> result) {
            if (!result.is_done()) {
                m_words->setText(shown(result.ended.sentence));
                return;
            }
            m_wanted_shop = shown(result.value->stem());
            m_wanted_medium.clear();
            show_view(View::file);
            refresh();
        });
}

void ShopsPage::add_demo_shops() {
    m_bridge.run<int>(
        Lane::keep, QStringLiteral("demo shops"), this,
        [from = demo_shops_folder()](jobs::Context& context) { return jobs::add_missing_shops(from, context); },
        [this](Result<int> result) {
            if (!result.is_done()) m_words->setText(shown(result.ended.sentence));
            refresh();
        });
}

}  // namespace hangtrue::desktop

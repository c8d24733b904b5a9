// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/main_window.h"

#include <QApplication>
#include <QButtonGroup>
#include <QCloseEvent>
#include <QGuiApplication>
#include <QHBoxLayout>
#include <QLabel>
#include <QMessageBox>
#include <QPushButton>
#include <QScreen>
#include <QStackedWidget>
#include <QVBoxLayout>
#include <QWindow>

#include "apps/desktop/ledger_page.h"
#include "apps/desktop/make_panel.h"
#include "apps/desktop/make_queue.h"
#include "apps/desktop/order.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/pictures_page.h"
#include "apps/desktop/print_page.h"
#include "apps/desktop/screen_profile.h"
#include "apps/desktop/shop_file_editor.h"
#include "apps/desktop/shops_page.h"
#include "apps/desktop/tests_page.h"

namespace hangtrue::desktop {

MainWindow::MainWindow(Bridge& bridge, Habits habits, QWidget* parent)
    : QMainWindow(parent), m_bridge(bridge), m_habits(std::move(habits)) {
    setWindowTitle(tr("Hangtrue"));
    auto* whole = new QWidget(this);
    auto* layout = new QVBoxLayout(whole);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(0);
    m_places = new QButtonGroup(this);
    m_stack = new QStackedWidget(whole);
    m_print = new PrintPage(m_bridge, m_habits, m_stack);
    MakeQueue& queue = m_print->make_panel().queue();
    m_pictures = new PicturesPage(m_bridge, queue, m_habits, m_stack);
    m_shops = new ShopsPage(m_bridge, m_stack);
    m_tests = new TestsPage(m_bridge, queue, m_stack);
    m_ledger = new LedgerPage(m_bridge, queue, m_stack);
    for (QWidget* page :
         {static_cast<QWidget*>(m_print), static_cast<QWidget*>(m_pictures), static_cast<QWidget*>(m_shops),
          static_cast<QWidget*>(m_tests), static_cast<QWidget*>(m_ledger)}) {
        m_stack->addWidget(page);
    }
    layout->addWidget(places_row());
    layout->addWidget(m_stack, 1);
    m_foot = new QWidget(whole);
    m_foot_layout = new QVBoxLayout(m_foot);
    m_foot_layout->setContentsMargins(space::page, 0, space::page, space::middle);
    layout->addWidget(m_foot);
    setCentralWidget(whole);
    const auto hang = [this](const QString& path) {
        m_print->open({path.toStdString()});
        go_to(Place::print);
    };
    connect(m_pictures, &PicturesPage::picture_chosen, this, hang);
    connect(m_ledger, &LedgerPage::order_chosen, this, [this](const QString& path, const jobs::WishWords& order) {
        m_print->open_as(path.toStdString(), order);
        go_to(Place::print);
    });
    connect(&queue, &MakeQueue::lines_changed, this, [this] { place_queue(); });
    connect(&m_print->order(), &Order::picture_changed, this, &MainWindow::place_queue);
    connect(m_shops, &ShopsPage::shops_changed, this, [this] { m_print->order().load_shops(); });
    setMinimumSize(900, 600);
    resize(1280, 800);
    go_to(Place::print);
}

QWidget* MainWindow::places_row() {
    auto* row = new QWidget(this);
    auto* layout = new QHBoxLayout(row);
    layout->setContentsMargins(space::page, space::small, space::page, 0);
    layout->setSpacing(space::large);
    const QStringList names{tr("The print"), tr("Pictures"), tr("Shops"), tr("Test sheets"), tr("Ledger")};
    for (int i = 0; i < names.size(); ++i) {
        auto* button = new QPushButton(names[i], row);
        button->setProperty("weight", QStringLiteral("place"));
        button->setCheckable(true);
        button->setShortcut(QKeySequence(Qt::CTRL | static_cast<Qt::Key>(Qt::Key_1 + i)));
        button->setToolTip(tr("%1 (%2)").arg(names[i], button->shortcut().toString(QKeySequence::NativeText)));
        m_places->addButton(button, i);
        layout->addWidget(button);
    }
    m_places->setExclusive(true);
    connect(m_places, &QButtonGroup::idClicked, this, [this](int id) { go_to(static_cast<Place>(id)); });
    layout->addStretch(1);
    m_screen = new QLabel(row);
    m_screen->setProperty("quiet", true);
    m_screen->setFont(font_of(Text::small));
    m_screen->setAccessibleName(tr("The screen's colours"));
    layout->addWidget(m_screen);
    const auto add_word = [&](const QString& text, const QString& tip, const QKeySequence& key, auto act) {
        auto* button = new QPushButton(text, row);
        button->setProperty("weight", QStringLiteral("place"));
        button->setShortcut(key);
        button->setToolTip(tr("%1 (%2)").arg(tip, key.toString(QKeySequence::NativeText)));
        connect(button, &QPushButton::clicked, this, act);
        layout->addWidget(button);
        return button;
    };
    auto* units = add_word(QString(), tr("Lengths in inches or in centimetres"), QKeySequence(Qt::CTRL | Qt::Key_U),
                           [this] { switch_units(); });
    const auto name_units = [this, units] {
        set_words(*units, m_bridge.workplace().units == base::ShownUnits::inches ? tr("inches") : tr("centimetres"));
    };
    connect(&m_bridge, &Bridge::units_changed, units, name_units);
    name_units();
    auto* look = add_word(QString(), tr("Light or dark grey round the print"), QKeySequence(Qt::CTRL | Qt::Key_G),
                          [this] { switch_grey(); });
    set_words(*look, grey() == Grey::dark ? tr("dark grey") : tr("light grey"));
    look->setObjectName(QStringLiteral("grey_switch"));
    return row;
}

void MainWindow::open(const std::vector<std::filesystem::path>& pictures) {
    if (pictures.empty()) return;
    m_print->open(pictures);
    go_to(Place::print);
}

void MainWindow::go_to(Place place) {
    m_places->button(static_cast<int>(place))->setChecked(true);
    m_stack->setCurrentIndex(static_cast<int>(place));
    place_queue();
}

void MainWindow::place_queue() {
    constexpr int most_height_at_foot = 150;
    MakePanel& panel = m_print->make_panel();
    MakeQueue& queue = panel.queue();
    const bool stands_beside = m_stack->currentWidget() == m_print && m_print->order().picture_size().width > 0;
    if (stands_beside && queue.parentWidget() == m_foot) {
        panel.take_queue_back();
    } else if (!stands_beside && queue.parentWidget() != m_foot) {
        m_foot_layout->addWidget(&queue);
        queue.set_most_height(most_height_at_foot);
    }
    m_foot->setVisible(!stands_beside && !queue.is_empty());
}

void MainWindow::switch_grey() {
    const Grey other = grey() == Grey::dark ? Grey::light : Grey::dark;
    m_habits.set_grey(other);
    set_look(*qApp, other);
    if (auto* look = findChild<QPushButton*>(QStringLiteral("grey_switch"))) {
        set_words(*look, other == Grey::dark ? tr("dark grey") : tr("light grey"));
    }
    for (QWidget* child : findChildren<QWidget*>()) child->update();
}

void MainWindow::switch_units() {
    const auto other = m_bridge.workplace().units == base::ShownUnits::inches ? base::ShownUnits::centimetres
                                                                              : base::ShownUnits::inches;
    m_habits.set_units(other);
    m_bridge.set_units(other);
}

void MainWindow::showEvent(QShowEvent* event) {
    QMainWindow::showEvent(event);
    if (m_was_shown) return;
    m_was_shown = true;
    connect(windowHandle(), &QWindow::screenChanged, this, &MainWindow::ask_screen);
    ask_screen();
}

void MainWindow::ask_screen() {
    const QScreen* on = screen();
    const auto number = static_cast<int>(QGuiApplication::screens().indexOf(on));
    m_bridge.run<SharedScreen>(
        Lane::measure, QStringLiteral("screen"), this,
        [number, name = on->name()](jobs::Context&) { return screen_profile(number, name); },
        [this](Result<SharedScreen> result) {
            if (!result.is_done()) return;
            const ScreenProfile& screen = **result.value;
            m_screen->setText(screen.from == ScreenProfile::From::nowhere
                                  ? tr("screen taken as sRGB")
                                  : tr("screen: %1").arg(QString::fromStdString(screen.name)));
            m_screen->setToolTip(words_of(screen));
            const std::vector<std::byte> before = m_bridge.screen() ? m_bridge.screen()->icc : std::vector<std::byte>();
            if (before != screen.icc) m_bridge.set_screen(*result.value);
        });
}

void MainWindow::closeEvent(QCloseEvent* event) {
    if (m_bridge.is_making()) {
        QMessageBox box(QMessageBox::NoIcon, tr("Print files are being made"),
                        tr("Print files are still being made. Closing stops them; nothing unfinished is left behind."),
                        QMessageBox::NoButton, this);
        auto* go_on = box.addButton(tr("Go on making"), QMessageBox::RejectRole);
        auto* stop = box.addButton(tr("Stop and close"), QMessageBox::AcceptRole);
        box.setDefaultButton(go_on);
        box.exec();
        if (box.clickedButton() != stop) {
            event->ignore();
            return;
        }
    }
    if (m_shops->editor().has_unsaved_files()) {
        QMessageBox box(QMessageBox::NoIcon, tr("A shop's file is not saved"),
                        tr("What you wrote in a shop's file on the page Shops is not saved."), QMessageBox::NoButton,
                        this);
        auto* go_back = box.addButton(tr("Go back to it"), QMessageBox::RejectRole);
        auto* leave = box.addButton(tr("Close without it"), QMessageBox::AcceptRole);
        box.setDefaultButton(go_back);
        box.exec();
        if (box.clickedButton() != leave) {
            go_to(Place::shops);
            event->ignore();
            return;
        }
    }
    m_print->keep_now();
    event->accept();
}

}  // namespace hangtrue::desktop

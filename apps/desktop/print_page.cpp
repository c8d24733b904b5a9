// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/print_page.h"

#include <QDragEnterEvent>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QLabel>
#include <QMimeData>
#include <QPushButton>
#include <QScrollArea>
#include <QShortcut>
#include <QStackedWidget>
#include <QUrl>
#include <QVBoxLayout>

#include "apps/desktop/before_you_pay.h"
#include "apps/desktop/empty_wall.h"
#include "apps/desktop/enlarge_dialog.h"
#include "apps/desktop/make_panel.h"
#include "apps/desktop/order.h"
#include "apps/desktop/order_sentence.h"
#include "apps/desktop/size_frames.h"
#include "apps/desktop/stage.h"
#include "apps/desktop/wall_view.h"
#include "engine/jobs/shop_files.h"

namespace hangtrue::desktop {

namespace {

constexpr int side_width = 340;

QLabel* heading(const QString& text, QWidget* parent) {
    auto* label = new QLabel(text, parent);
    label->setFont(font_of(Text::heading));
    return label;
}

}  // namespace

PrintPage::PrintPage(Bridge& bridge, Habits habits, QWidget* parent)
    : QWidget(parent), m_bridge(bridge), m_habits(std::move(habits)) {
    setAccessibleName(tr("The print"));
    setAcceptDrops(true);
    m_order = new Order(m_bridge, m_habits, this);
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(0);
    m_stack = new QStackedWidget(this);
    layout->addWidget(m_stack);

    m_empty = new EmptyWall(demo_picture().has_value(), m_stack);
    connect(m_empty, &EmptyWall::wants_picture, this, &PrintPage::ask_for_picture);
    connect(m_empty, &EmptyWall::wants_demo, this, &PrintPage::open_demo);
    m_stack->addWidget(m_empty);

    m_hung = new QWidget(m_stack);
    auto* hung = new QVBoxLayout(m_hung);
    hung->setContentsMargins(0, 0, 0, 0);
    hung->setSpacing(0);
    hung->addWidget(head());
    auto* below = new QHBoxLayout;
    below->setSpacing(0);
    m_stage = new Stage(*m_order, m_habits, m_hung);
    below->addWidget(m_stage, 1);
    below->addWidget(side_column());
    hung->addLayout(below, 1);
    m_stack->addWidget(m_hung);

    connect(m_order, &Order::picture_changed, this, &PrintPage::show_state);
    connect(m_order, &Order::shops_changed, this, &PrintPage::show_state);
    connect(m_order, &Order::trouble_changed, this, &PrintPage::show_state);
    connect(m_order, &Order::working_changed, this, &PrintPage::show_state);
    connect(m_sentence, &OrderSentence::wants_picture, this, &PrintPage::ask_for_picture);
    connect(m_sentence, &OrderSentence::wants_crop, m_stage, &Stage::begin_crop);
    connect(m_sentence, &OrderSentence::wants_enlarging, this, &PrintPage::ask_for_enlarging);
    connect(m_findings, &BeforeYouPay::wants_pages, this, &PrintPage::ask_for_pages);
    connect(m_stage, &Stage::finding_chosen, m_findings, &BeforeYouPay::show_finding);
    const auto key = [this](const QKeySequence& keys, auto act) {
        // Of what hangs: the empty wall has its own key for opening, and a key with two meanings has none.
        connect(new QShortcut(keys, m_hung), &QShortcut::activated, this, act);
    };
    key(QKeySequence::Open, [this] { ask_for_picture(); });
    key(QKeySequence(Qt::Key_C), [this] { m_stage->begin_crop(); });
    show_state();
}

QWidget* PrintPage::head() {
    auto* head = new QWidget(m_hung);
    auto* layout = new QVBoxLayout(head);
    layout->setContentsMargins(space::page, space::middle, space::page, space::middle);
    layout->setSpacing(space::small);
    m_sentence = new OrderSentence(*m_order, head);
    auto* line = new QHBoxLayout;
    line->setSpacing(space::middle);
    line->addWidget(m_sentence, 1);
    QUndoStack& steps = m_order->undo_stack();
    const auto add_step = [&](const QString& name, const QKeySequence& key, auto can, auto what, auto act) {
        auto* button = new QPushButton(name, head);
        button->setProperty("weight", QStringLiteral("place"));
        button->setShortcut(key);
        button->setEnabled(false);
        connect(button, &QPushButton::clicked, &steps, act);
        connect(&steps, can, button, &QWidget::setEnabled);
        connect(&steps, what, button, [button, name, key](const QString& text) {
            button->setToolTip(tr("%1: %2 (%3)").arg(name, text, key.toString(QKeySequence::NativeText)));
        });
        line->addWidget(button, 0, Qt::AlignTop);
    };
    add_step(tr("Undo"), QKeySequence(Qt::CTRL | Qt::Key_Z), &QUndoStack::canUndoChanged, &QUndoStack::undoTextChanged,
             &QUndoStack::undo);
    add_step(tr("Redo"), QKeySequence(Qt::CTRL | Qt::SHIFT | Qt::Key_Z), &QUndoStack::canRedoChanged,
             &QUndoStack::redoTextChanged, &QUndoStack::redo);
    layout->addLayout(line);
    m_trouble = new QLabel(head);
    m_trouble->setWordWrap(true);
    m_trouble->setFont(font_of(Text::strong));
    layout->addWidget(m_trouble);
    return head;
}

QWidget* PrintPage::side_column() {
    auto* side = new QWidget(m_hung);
    side->setFixedWidth(side_width);
    auto* layout = new QVBoxLayout(side);
    layout->setContentsMargins(space::large, space::small, space::large, space::middle);
    layout->setSpacing(space::small);
    auto* scroll = new QScrollArea(side);
    scroll->setWidgetResizable(true);
    scroll->setAccessibleName(tr("Sizes, and what is to be known before you pay"));
    scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    auto* inside = new QWidget;
    auto* list = new QVBoxLayout(inside);
    list->setContentsMargins(0, 0, space::small, 0);
    list->setSpacing(space::small);
    list->addWidget(heading(tr("Sizes of this medium"), inside));
    auto* sizes = new SizeFrames(*m_order, inside);
    connect(sizes, &SizeFrames::looked_at, this, [this](QSizeF size) { m_stage->wall().show_frame(size); });
    list->addWidget(sizes);
    list->addSpacing(space::middle);
    list->addWidget(heading(tr("Before you pay"), inside));
    m_findings = new BeforeYouPay(*m_order, inside);
    list->addWidget(m_findings);
    connect(m_findings, &BeforeYouPay::looked_at, this, [this](int index) { m_stage->wall().show_places(index); });
    list->addStretch(1);
    scroll->setWidget(inside);
    layout->addWidget(scroll, 1);
    m_make = new MakePanel(*m_order, m_bridge, m_habits, side);
    layout->addWidget(m_make);
    return side;
}

void PrintPage::show_state() {
    const bool hangs = m_order->has_picture() && m_order->picture_size().width > 0;
    m_stack->setCurrentWidget(hangs ? m_hung : static_cast<QWidget*>(m_empty));
    m_empty->set_trouble(m_order->trouble());
    m_empty->set_working(m_order->has_picture() && !hangs ? m_order->working() : QString());
    QString said = m_order->trouble();
    if (said.isEmpty() && hangs && m_order->shops().shops.empty()) {
        said = tr("No shop is known yet: begin one on the page Shops.");
    }
    m_trouble->setText(said);
    m_trouble->setVisible(!said.isEmpty());
}

void PrintPage::ask_for_picture() {
    const QStringList chosen = QFileDialog::getOpenFileNames(
        this, tr("Which picture shall hang?"), {}, tr("Pictures (*.tif *.tiff *.jpg *.jpeg *.png);;All files (*)"));
    std::vector<std::filesystem::path> pictures;
    for (const QString& file : chosen) pictures.emplace_back(file.toStdString());
    open(pictures);
}

void PrintPage::ask_for_pages() {
    const QString proposed =
        QStringLiteral("%1/%2 findings.pdf").arg(m_make->folder(), QString::fromStdString(m_order->path().stem()));
    const QString out = QFileDialog::getSaveFileName(this, tr("Where shall the page go?"), proposed, tr("PDF (*.pdf)"),
                                                     nullptr, QFileDialog::DontConfirmOverwrite);
    if (!out.isEmpty()) m_make->keep_findings(out.toStdString());
}

void PrintPage::ask_for_enlarging() {
    EnlargeDialog dialog(m_order->path(), m_make->folder(), this);
    if (dialog.exec() == QDialog::Accepted) m_make->enlarge(dialog.request());
}

void PrintPage::open(const std::vector<std::filesystem::path>& pictures) {
    if (pictures.empty()) return;
    m_order->hang(pictures.front());
    m_order->set_others({pictures.begin() + 1, pictures.end()});
}

void PrintPage::open_as(const std::filesystem::path& picture, const jobs::WishWords& wish) {
    m_order->hang(picture, wish);
}

void PrintPage::open_demo() {
    const auto picture = demo_picture();
    if (!picture) return;
    m_bridge.run<bool>(
        Lane::look, QStringLiteral("demo"), this,
        [from = demo_shops_folder()](jobs::Context& context) {
            jobs::add_demo_shops(from, context);
            return true;
        },
        [this, picture](Result<bool> result) {
            if (!result.is_done()) {
                m_empty->set_trouble(QString::fromStdString(result.ended.sentence));
                return;
            }
            m_order->load_shops();
            m_order->hang(*picture);
        });
}

void PrintPage::keep_now() { m_order->keep_now(); }

void PrintPage::dragEnterEvent(QDragEnterEvent* event) {
    if (event->mimeData()->hasUrls()) event->acceptProposedAction();
}

void PrintPage::dropEvent(QDropEvent* event) {
    std::vector<std::filesystem::path> pictures;
    for (const QUrl& url : event->mimeData()->urls()) {
        if (url.isLocalFile()) pictures.emplace_back(url.toLocalFile().toStdString());
    }
    open(pictures);
    event->acceptProposedAction();
}

}  // namespace hangtrue::desktop

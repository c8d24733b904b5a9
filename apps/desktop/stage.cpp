// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/stage.h"

#include <QButtonGroup>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QScreen>
#include <QStackedWidget>
#include <QVBoxLayout>
#include <charconv>

#include "apps/desktop/bank_card.h"
#include "apps/desktop/crop_view.h"
#include "apps/desktop/file_view.h"
#include "apps/desktop/order.h"
#include "apps/desktop/part_popup.h"
#include "apps/desktop/style.h"
#include "apps/desktop/wall_view.h"
#include "engine/base/units_text.h"
#include "engine/jobs/light.h"
#include "engine/jobs/make.h"

namespace hangtrue::desktop {

namespace {

/// What the screen says of itself; often near, never sure.
double told_pixels_per_mm(const QWidget& widget) {
    const double inches = widget.screen()->physicalDotsPerInch() * widget.devicePixelRatioF();
    return inches > 20 ? inches / base::millimetres_per_inch : 96 / base::millimetres_per_inch;
}

QString number(double value) {
    char text[64];
    const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed).ptr;
    return QString::fromLatin1(text, end - text);
}

}  // namespace

Stage::Stage(Order& order, Habits habits, QWidget* parent)
    : QWidget(parent), m_order(order), m_habits(std::move(habits)) {
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(0);
    m_stack = new QStackedWidget(this);
    m_wall = new WallView(order, m_stack);
    m_file = new FileView(order, m_stack);
    m_crop = new CropView(order, m_stack);
    m_stack->addWidget(m_wall);
    m_stack->addWidget(m_file);
    m_stack->addWidget(m_crop);
    layout->addWidget(m_stack, 1);

    m_row = new QWidget(this);
    auto* row = new QHBoxLayout(m_row);
    row->setContentsMargins(space::page, space::small, space::middle, space::small);
    row->setSpacing(space::middle);
    m_ways = new QButtonGroup(this);
    const QStringList names{tr("On the wall"), tr("True size"), tr("Dot for dot")};
    const QStringList keys{QStringLiteral("1"), QStringLiteral("2"), QStringLiteral("3")};
    const QStringList tips{
        tr("To scale, beside a door and a bench (%1). The wheel steps nearer and back."),
        tr("As large as it hangs (%1). + and - step nearer and back. Hold P: as printed; S: without "
           "sharpening; K: without the correction."),
        tr("The file's own pixels (%1). Hold P: as printed; S: without sharpening; K: without the correction.")};
    for (int i = 0; i < names.size(); ++i) {
        auto* button = new QPushButton(names[i], m_row);
        button->setProperty("weight", QStringLiteral("place"));
        button->setCheckable(true);
        button->setShortcut(QKeySequence(keys[i]));
        button->setToolTip(tips[i].arg(keys[i]));
        m_ways->addButton(button, i);
        row->addWidget(button);
    }
    m_ways->button(0)->setChecked(true);
    connect(m_ways, &QButtonGroup::idClicked, this, [this](int id) { look(static_cast<Look>(id)); });
    m_scale = new QLabel(m_row);
    m_scale->setProperty("quiet", true);
    m_scale->setFont(font_of(Text::small));
    m_scale->setWordWrap(true);
    m_scale->setAlignment(Qt::AlignRight | Qt::AlignVCenter);
    row->addWidget(m_scale, 1);
    m_hatch = new QPushButton(tr("Hatching"), m_row);
    m_hatch->setProperty("weight", QStringLiteral("place"));
    m_hatch->setCheckable(true);
    m_hatch->setShortcut(QKeySequence(QStringLiteral("H")));
    m_hatch->setToolTip(tr("Hatches the colours that the print cannot show, while it is shown as printed (H)"));
    connect(m_hatch, &QPushButton::toggled, m_file, &FileView::set_hatched);
    m_hatch->hide();
    row->addWidget(m_hatch);
    m_card = new QPushButton(tr("Measure the screen …"), m_row);
    m_card->setProperty("weight", QStringLiteral("word"));
    m_card->setShortcut(QKeySequence(QStringLiteral("M")));
    m_card->setToolTip(tr("Hold a bank card against the screen, so that true size is true (M)"));
    connect(m_card, &QPushButton::clicked, this, &Stage::measure_screen);
    m_card->hide();
    row->addWidget(m_card);
    m_room = new QPushButton(tr("The room …"), m_row);
    m_room->setProperty("weight", QStringLiteral("word"));
    m_room->setShortcut(QKeySequence(QStringLiteral("R")));
    m_room->setToolTip(tr("The wall's grey, the light on it, and how high the print hangs (R)"));
    connect(m_room, &QPushButton::clicked, this, &Stage::choose_room);
    row->addWidget(m_room);
    layout->addWidget(m_row);
    m_wall->set_wall(m_habits.wall());
    m_wall->set_light(m_habits.wall_light());

    m_crop_row = new QWidget(this);
    auto* crop_row = new QHBoxLayout(m_crop_row);
    crop_row->setContentsMargins(space::page, space::small, space::middle, space::small);
    crop_row->setSpacing(space::middle);
    auto* words = new QLabel(
        tr("Drag the frame or its corners; arrow keys nudge it (Shift: further), + and - size it."), m_crop_row);
    words->setProperty("quiet", true);
    words->setWordWrap(true);
    auto* leave = new QPushButton(tr("Leave as it was"), m_crop_row);
    leave->setToolTip(tr("Escape"));
    auto* take = new QPushButton(tr("Hang this part"), m_crop_row);
    take->setProperty("weight", QStringLiteral("first"));
    take->setToolTip(tr("Return"));
    crop_row->addWidget(words, 1);
    crop_row->addWidget(leave);
    crop_row->addWidget(take);
    m_crop_row->hide();
    layout->addWidget(m_crop_row);
    connect(leave, &QPushButton::clicked, this, [this] { end_crop(false); });
    connect(take, &QPushButton::clicked, this, [this] { end_crop(true); });
    connect(m_crop, &CropView::taken, this, [this] { end_crop(true); });
    connect(m_crop, &CropView::left, this, [this] { end_crop(false); });

    connect(m_wall, &WallView::scale_changed, this, &Stage::show_scale);
    connect(m_file, &FileView::scale_changed, this, &Stage::show_scale);
    connect(m_wall, &WallView::finding_chosen, this, &Stage::finding_chosen);
    connect(&m_order, &Order::picture_changed, this, [this] {
        if (!m_crop_row->isHidden()) end_crop(false);
    });
}

void Stage::look(Look way) {
    if (!m_crop_row->isHidden()) end_crop(false);
    m_way = way;
    m_ways->button(static_cast<int>(way))->setChecked(true);
    if (way == Look::wall) {
        m_stack->setCurrentWidget(m_wall);
        m_wall->setFocus();
    } else {
        m_file->set_screen(m_habits.pixels_per_mm(screen()->name()).value_or(told_pixels_per_mm(*this)));
        m_file->set_way(way == Look::dots ? FileView::Way::dots : FileView::Way::true_size);
        m_stack->setCurrentWidget(m_file);
        m_file->setFocus();
    }
    m_card->setVisible(way == Look::true_size);
    m_hatch->setVisible(way != Look::wall);
    m_room->setVisible(way == Look::wall);
    show_scale();
}

void Stage::show_scale() {
    QString words = m_way == Look::wall ? m_wall->scale_words() : m_file->scale_words();
    if (m_way == Look::true_size && !m_habits.pixels_per_mm(screen()->name())) {
        words += tr(" By what the screen says of itself; a bank card makes it sure.");
    }
    m_scale->setText(words);
}

void Stage::measure_screen() {
    BankCard card(m_habits.pixels_per_mm(screen()->name()).value_or(told_pixels_per_mm(*this)), this);
    if (card.exec() != QDialog::Accepted) return;
    m_habits.set_pixels_per_mm(screen()->name(), card.pixels_per_mm());
    m_file->set_screen(card.pixels_per_mm());
    show_scale();
}

void Stage::choose_room() {
    auto* popup = new PartPopup(this);
    popup->add_heading(tr("The wall"));
    const std::pair<QString, QString> walls[] = {{tr("Grey, as the window is"), QString()},
                                                 {tr("White"), QStringLiteral("white")},
                                                 {tr("Light grey"), QStringLiteral("light")},
                                                 {tr("Dark grey"), QStringLiteral("dark")}};
    for (const auto& [title, value] : walls) {
        popup->add_choice(title, {}, m_habits.wall() == value, [this, value = value] {
            m_habits.set_wall(value);
            m_wall->set_wall(value);
        });
    }
    popup->add_heading(tr("The light on it"));
    const auto take_light = [this](const QString& light) {
        m_habits.set_wall_light(light);
        m_wall->set_light(light);
    };
    QList<std::pair<QString, QString>> lights{{tr("the order's light"), QString()},
                                              {tr("this screen's brightness"), QStringLiteral("screen")}};
    for (const jobs::KnownRoom& room : jobs::known_rooms()) {
        lights.append(
            {tr("%1 (%2 lux)").arg(QString::fromStdString(room.name)).arg(room.lux), QString::fromStdString(room.id)});
    }
    const QString now = m_habits.wall_light();
    bool is_lux = false;
    now.toDouble(&is_lux);
    popup->add_list(tr("Show the wall in"), lights, is_lux ? QString() : now, take_light,
                    tr("For looking alone; the file stays as it is. What the file is made for stands in the order, "
                       "at the distance."));
    popup->add_line(tr("By a light meter"), is_lux ? now : QString(), tr("140 lux"), [this, take_light](QString value) {
        value = value.remove(QStringLiteral("lux"), Qt::CaseInsensitive).trimmed();
        plan::Wish wish;
        const bool is_understood = value.isEmpty() || jobs::ended([&] {
                                                          jobs::set_wish_word(wish, "light", value.toStdString());
                                                      }).ending == jobs::Ending::done;
        if (is_understood)
            take_light(value);
        else
            m_wall->set_light(value);  // What is wrong with it is said there; it is not kept.
    });
    const auto units = m_order.bridge().workplace().units;
    popup->add_line(
        tr("The print's middle hangs at"), QString::fromStdString(base::length_text(m_order.hanging_height(), units)),
        tr("150cm"),
        [this, units](const QString& value) {
            const auto fallback =
                units == base::ShownUnits::inches ? base::LengthUnit::inch : base::LengthUnit::centimetre;
            const auto height = base::parse_length(value.toStdString(), fallback);
            if (!height || height->value < 200 || height->value > 5000) return;
            m_habits.set_hanging_height_mm(height->value);
            m_order.set_hanging_height(*height);
        },
        tr("Above the floor. Galleries hang at 145 to 155 cm."));
    popup->open_under(m_room);
}

void Stage::begin_crop() {
    if (!m_order.has_shape()) return;
    m_stack->setCurrentWidget(m_crop);
    m_row->hide();
    m_crop_row->show();
    m_crop->begin();
}

void Stage::end_crop(bool take) {
    m_crop_row->hide();
    m_row->show();
    if (take) {
        const QRectF c = m_crop->crop();
        m_order.set_word(
            tr("crop"), "crop",
            QStringList{number(c.x()), number(c.y()), number(c.width()), number(c.height())}.join(QLatin1Char(',')));
    }
    look(m_way);
}

}  // namespace hangtrue::desktop

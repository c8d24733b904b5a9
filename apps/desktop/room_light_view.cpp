// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/room_light_view.h"

#include <QColor>
#include <utility>

#include "apps/desktop/order.h"

namespace hangtrue::desktop {
namespace {

QImage lit(QImage image, const jobs::ShownTones& tones) {
    image = image.convertToFormat(QImage::Format_RGB888);
    for (int y = 0; y < image.height(); ++y) {
        uchar* row = image.scanLine(y);
        for (int i = 0; i < 3 * image.width(); ++i) row[i] = tones[row[i]];
    }
    return image;
}

QColor toned(const QColor& colour, const jobs::ShownTones& tones) {
    const auto tone = [&](int value) { return static_cast<int>(tones[static_cast<std::size_t>(value)]); };
    return {tone(colour.red()), tone(colour.green()), tone(colour.blue())};
}

}  // namespace

RoomLightView::RoomLightView(Order& order, QObject* parent) : QObject(parent), m_order(order) {
    connect(&m_order, &Order::picture_changed, this, [this] {
        if (!m_order.image().isNull()) return;
        m_lit.reset();  // Another picture is being opened.
        emit changed();
    });
    connect(&m_order, &Order::image_changed, this, &RoomLightView::ask);
    connect(&m_order, &Order::words_changed, this, &RoomLightView::ask);
}

void RoomLightView::set_light(const QString& light) {
    m_light = light;
    ask();
}

void RoomLightView::ask() {
    const QString asked = m_light.isEmpty() ? m_order.word("light") : m_light;
    const bool is_none = asked.isEmpty() || asked == QLatin1String("screen") || asked == QLatin1String("off");
    // The newest is asked for even where nothing is dimmed, so that no earlier answer comes after it.
    m_order.bridge().run<std::optional<Lit>>(
        Lane::look, QStringLiteral("light"), this,
        [is_none, asked = asked.toStdString(), words = m_order.words(),
         image = m_order.image()](jobs::Context& context) -> std::optional<Lit> {
            if (is_none) return std::nullopt;
            Lit shown{jobs::room_light(asked, words, context), {}};
            shown.image = lit(image, shown.light.print);
            return shown;
        },
        [this](Result<std::optional<Lit>> result) {
            m_lit = result.is_done() ? std::move(*result.value) : std::nullopt;
            m_trouble = QString::fromStdString(result.ended.sentence);
            emit changed();
        });
}

QImage RoomLightView::image() const { return m_lit && !m_lit->image.isNull() ? m_lit->image : m_order.image(); }

QColor RoomLightView::wall(const QColor& tone) const { return m_lit ? toned(tone, m_lit->light.wall) : tone; }

QColor RoomLightView::printed(const QColor& colour) const { return m_lit ? toned(colour, m_lit->light.print) : colour; }

QString RoomLightView::words() const {
    if (m_lit) return QString::fromStdString(m_lit->light.sentence);
    return m_trouble.isEmpty() ? tr("Drawn as bright as this screen.")
                               : tr("Drawn as bright as this screen. %1").arg(m_trouble);
}

}  // namespace hangtrue::desktop

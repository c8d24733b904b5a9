// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/page_parts.h"

#include <QBoxLayout>
#include <QDBusConnection>
#include <QDBusMessage>
#include <QDateTime>
#include <QDesktopServices>
#include <QLineEdit>
#include <QLocale>
#include <QShortcut>
#include <QUrl>

#include "apps/desktop/style.h"

namespace hangtrue::desktop {

QLabel* heading(const QString& text, QWidget* parent) {
    auto* label = new QLabel(text, parent);
    label->setFont(font_of(Text::heading));
    return label;
}

QLabel* plain_words(const QString& text, QWidget* parent) {
    auto* label = new QLabel(text, parent);
    label->setWordWrap(true);
    label->setTextFormat(Qt::PlainText);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    return label;
}

QLabel* quiet_words(const QString& text, QWidget* parent) {
    QLabel* label = plain_words(text, parent);
    label->setProperty("quiet", true);
    return label;
}

QPushButton* button(const QString& text, const QString& tip, const QKeySequence& key, const char* weight,
                    QWidget* parent) {
    auto* made = new QPushButton(text, parent);
    made->setProperty("weight", QString::fromLatin1(weight));
    made->setAccessibleName(text);
    made->setAccessibleDescription(tip);
    if (key.isEmpty()) {
        made->setToolTip(tip);
    } else {
        made->setShortcut(key);
        made->setToolTip(QObject::tr("%1 (%2)").arg(tip, key.toString(QKeySequence::NativeText)));
    }
    made->setCursor(Qt::PointingHandCursor);
    return made;
}

void set_words(QAbstractButton& button, const QString& text) {
    const QKeySequence key = button.shortcut();
    button.setText(text);
    button.setShortcut(key);
}

void empty_by_escape(QLineEdit& field) {
    auto* escape = new QShortcut(QKeySequence(Qt::Key_Escape), &field);
    escape->setContext(Qt::WidgetShortcut);
    QObject::connect(escape, &QShortcut::activated, &field, &QLineEdit::clear);
}

void set_page_margins(QBoxLayout& layout) {
    layout.setContentsMargins(space::page, space::large, space::page, space::large);
    layout.setSpacing(space::middle);
}

QImage image_of(const jobs::SmallPixels& pixels) {
    if (pixels.rgb.empty()) return {};
    const QImage view(pixels.rgb.data(), pixels.size.width, pixels.size.height, 3 * pixels.size.width,
                      QImage::Format_RGB888);
    return view.convertToFormat(QImage::Format_RGB32);
}

void show_in_folder(const std::filesystem::path& file) {
    const QUrl url = QUrl::fromLocalFile(shown(file));
    // File Manager D-Bus Interface of freedesktop.org; no answer is waited for.
    QDBusMessage ask = QDBusMessage::createMethodCall(
        QStringLiteral("org.freedesktop.FileManager1"), QStringLiteral("/org/freedesktop/FileManager1"),
        QStringLiteral("org.freedesktop.FileManager1"), QStringLiteral("ShowItems"));
    ask << QStringList{url.toString()} << QString();
    const QDBusConnection bus = QDBusConnection::sessionBus();
    if (bus.isConnected() && bus.send(ask)) return;
    QDesktopServices::openUrl(QUrl::fromLocalFile(shown(file.parent_path())));
}

QString day_of(const std::string& iso_time) {
    const QDateTime time = QDateTime::fromString(shown(iso_time), Qt::ISODate);
    return time.isValid() ? QLocale().toString(time.toLocalTime().date(), QLocale::ShortFormat) : shown(iso_time);
}

QString moment_of(const std::string& iso_time) {
    const QDateTime time = QDateTime::fromString(shown(iso_time), Qt::ISODate).toLocalTime();
    if (!time.isValid()) return shown(iso_time);
    return QObject::tr("%1 at %2")
        .arg(QLocale().toString(time.date(), QLocale::ShortFormat),
             QLocale().toString(time.time(), QStringLiteral("HH:mm")));
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/screen_profile.h"

#include <xcb/xcb.h>

#include <QCoreApplication>
#include <QDBusArgument>
#include <QDBusConnection>
#include <QDBusMessage>
#include <QDBusObjectPath>
#include <QDBusVariant>
#include <QGuiApplication>
#include <QVariant>
#include <cstdlib>
#include <span>

#include "engine/base/output_file.h"
#include "engine/jobs/screen_colours.h"

namespace hangtrue::desktop {
namespace {

constexpr int daemon_patience_ms = 1000;
constexpr std::uint32_t most_profile_bytes = 16'000'000;

struct FreeReply {
    void operator()(void* reply) const { std::free(reply); }
};
template <typename Reply>
using OwnedReply = std::unique_ptr<Reply, FreeReply>;

const QString service = QStringLiteral("org.freedesktop.ColorManager");

/// The first answer's value; invalid where the daemon does not answer in time.
QVariant asked(const QString& path, const QString& interface, const QString& method, const QVariantList& arguments) {
    QDBusMessage call = QDBusMessage::createMethodCall(service, path, interface, method);
    call.setArguments(arguments);
    const QDBusMessage reply = QDBusConnection::systemBus().call(call, QDBus::Block, daemon_patience_ms);
    if (reply.type() != QDBusMessage::ReplyMessage || reply.arguments().isEmpty()) return {};
    return reply.arguments().front();
}

QVariant property_of(const QString& path, const QString& interface, const QString& name) {
    const QVariant value =
        asked(path, QStringLiteral("org.freedesktop.DBus.Properties"), QStringLiteral("Get"), {interface, name});
    return value.canConvert<QDBusVariant>() ? value.value<QDBusVariant>().variant() : QVariant();
}

/// A connection of our own: Qt's belongs to the user's thread.
std::vector<std::byte> profile_of_x_server(int screen_number) {
    if (QGuiApplication::platformName() != QLatin1String("xcb")) return {};
    xcb_connection_t* connection = xcb_connect(nullptr, nullptr);
    std::vector<std::byte> icc;
    if (xcb_connection_has_error(connection) == 0) icc = x_profile(connection, screen_number);
    xcb_disconnect(connection);
    return icc;
}

std::span<const std::byte> icc_of(const SharedScreen& screen) {
    return screen ? std::span<const std::byte>(screen->icc) : std::span<const std::byte>();
}

}  // namespace

std::vector<std::byte> x_profile(xcb_connection_t* connection, int screen_number) {
    std::string name = "_ICC_PROFILE";
    if (screen_number > 0) name += "_" + std::to_string(screen_number);
    const OwnedReply<xcb_intern_atom_reply_t> atom(xcb_intern_atom_reply(
        connection, xcb_intern_atom(connection, 1, static_cast<std::uint16_t>(name.size()), name.c_str()), nullptr));
    if (!atom || atom->atom == XCB_ATOM_NONE) return {};
    const xcb_screen_t* root = xcb_setup_roots_iterator(xcb_get_setup(connection)).data;
    const OwnedReply<xcb_get_property_reply_t> value(xcb_get_property_reply(
        connection,
        xcb_get_property(connection, 0, root->root, atom->atom, XCB_GET_PROPERTY_TYPE_ANY, 0, most_profile_bytes / 4),
        nullptr));
    if (!value || value->format != 8) return {};
    const auto* bytes = static_cast<const std::byte*>(xcb_get_property_value(value.get()));
    return {bytes, bytes + xcb_get_property_value_length(value.get())};
}

std::filesystem::path daemon_profile(const QString& display) {
    if (!QDBusConnection::systemBus().isConnected()) return {};
    const QVariant device = asked(QStringLiteral("/org/freedesktop/ColorManager"), service,
                                  QStringLiteral("FindDeviceByProperty"), {QStringLiteral("XRANDR_name"), display});
    const QString device_path = device.value<QDBusObjectPath>().path();
    if (device_path.isEmpty()) return {};
    const QVariant profiles =
        property_of(device_path, QStringLiteral("org.freedesktop.ColorManager.Device"), QStringLiteral("Profiles"));
    const auto paths = qdbus_cast<QList<QDBusObjectPath>>(profiles);
    if (paths.isEmpty()) return {};
    const QVariant file = property_of(paths.front().path(), QStringLiteral("org.freedesktop.ColorManager.Profile"),
                                      QStringLiteral("Filename"));
    return file.toString().toStdString();
}

SharedScreen screen_profile(int screen_number, const QString& display) {
    auto screen = std::make_shared<ScreenProfile>();
    screen->name = "sRGB";
    const auto take = [&](std::vector<std::byte> icc, ScreenProfile::From from) {
        if (icc.empty()) return false;
        const jobs::Ended end = jobs::ended([&] { screen->name = jobs::screen_profile_name(icc); });
        if (end.ending != jobs::Ending::done) return false;
        screen->icc = std::move(icc);
        screen->from = from;
        return true;
    };
    if (take(profile_of_x_server(screen_number), ScreenProfile::From::x_server)) return screen;
    const std::filesystem::path file = daemon_profile(display);
    if (file.empty()) return screen;
    std::vector<std::byte> icc;
    jobs::ended([&] {
        const std::string text = base::read_whole_file(file, most_profile_bytes);
        const auto bytes = std::as_bytes(std::span(text));
        icc.assign(bytes.begin(), bytes.end());
    });
    take(std::move(icc), ScreenProfile::From::colour_daemon);
    return screen;
}

QString words_of(const ScreenProfile& screen) {
    if (screen.from == ScreenProfile::From::nowhere) {
        return QCoreApplication::translate(
            "screen_profile", "The system knows no colour profile of this screen: shown as on an sRGB screen.");
    }
    return QCoreApplication::translate("screen_profile", "Shown in the colours of this screen's profile, %1.")
        .arg(QString::fromStdString(screen.name));
}

jobs::SmallPixels for_screen(jobs::SmallPixels pixels, const SharedScreen& screen) {
    const jobs::ScreenColours colours({}, icc_of(screen));
    if (!colours.is_same()) pixels.rgb = colours.shown(std::as_bytes(std::span(pixels.rgb)), 8);
    return pixels;
}

jobs::ScreenPixels for_screen(jobs::ScreenPixels pixels, const SharedScreen& screen) {
    const jobs::ScreenColours colours(pixels.profile, icc_of(screen));
    if (colours.is_same()) return pixels;
    const std::vector<std::uint8_t> converted = colours.shown(pixels.samples, pixels.bits);
    const auto bytes = std::as_bytes(std::span(converted));
    pixels.samples.assign(bytes.begin(), bytes.end());
    pixels.bits = 8;
    pixels.profile = screen ? screen->icc : std::vector<std::byte>();
    return pixels;
}

}  // namespace hangtrue::desktop

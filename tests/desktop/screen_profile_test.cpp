// SPDX-License-Identifier: Apache-2.0
// The screen's profile as an X server of the test's own keeps it (ICC Profiles in X Specification 0.4), and what it
// does to pixels.

#include <xcb/xcb.h>

#include <QProcess>
#include <QTest>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <memory>
#include <span>

#include "apps/desktop/screen_profile.h"

using namespace hangtrue;
using namespace hangtrue::desktop;

namespace {

std::vector<std::byte> file_bytes(const std::string& name) {
    std::ifstream stream(name, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(stream), {}};
    const auto bytes = std::as_bytes(std::span(text));
    return {bytes.begin(), bytes.end()};
}

const std::string swapped = "/usr/share/color/icc/colord/SwappedRedAndGreen.icc";

}  // namespace

class ScreenProfileTest : public QObject {
    Q_OBJECT
  private slots:
    void the_x_servers_property_is_read_whole_and_for_each_screen() {
        const std::vector<std::byte> icc = file_bytes(swapped);
        if (icc.empty()) QSKIP("colord-data is not installed");
        QProcess server;
        server.start(QStringLiteral("Xvfb"),
                     {QStringLiteral("-displayfd"), QStringLiteral("1"), QStringLiteral("-screen"), QStringLiteral("0"),
                      QStringLiteral("640x480x24")});
        if (!server.waitForStarted() || !server.waitForReadyRead(20000)) QSKIP("Xvfb is not installed");
        const QByteArray display = ":" + server.readLine().trimmed();
        xcb_connection_t* connection = xcb_connect(display.constData(), nullptr);
        QCOMPARE(xcb_connection_has_error(connection), 0);
        QVERIFY(x_profile(connection, 0).empty());

        const auto set = [&](const char* name) {
            auto* atom = xcb_intern_atom_reply(
                connection, xcb_intern_atom(connection, 0, static_cast<std::uint16_t>(std::strlen(name)), name),
                nullptr);
            const xcb_window_t root = xcb_setup_roots_iterator(xcb_get_setup(connection)).data->root;
            xcb_change_property(connection, XCB_PROP_MODE_REPLACE, root, atom->atom, XCB_ATOM_CARDINAL, 8,
                                static_cast<std::uint32_t>(icc.size()), icc.data());
            xcb_flush(connection);
            std::free(atom);
        };
        set("_ICC_PROFILE_1");
        QVERIFY(x_profile(connection, 0).empty());
        QVERIFY(x_profile(connection, 1) == icc);
        set("_ICC_PROFILE");
        QVERIFY(x_profile(connection, 0) == icc);
        QVERIFY(x_profile(connection, 2).empty());
        xcb_disconnect(connection);
        server.kill();
        server.waitForFinished();
    }

    void a_screen_whose_red_and_green_are_swapped_gets_them_swapped() {
        const std::vector<std::byte> icc = file_bytes(swapped);
        if (icc.empty()) QSKIP("colord-data is not installed");
        auto screen = std::make_shared<ScreenProfile>();
        screen->icc = icc;
        jobs::ScreenPixels pixels;
        pixels.size = {2, 1};
        pixels.samples = {std::byte{200}, std::byte{30}, std::byte{60}, std::byte{255}, std::byte{255}, std::byte{255}};
        const jobs::ScreenPixels shown = for_screen(pixels, screen);
        QCOMPARE(shown.bits, 8);
        // The profile is sRGB with its first two channels changed over; one code for rounding.
        const int expected[] = {30, 200, 60, 255, 255, 255};
        for (std::size_t i = 0; i < 6; ++i) QVERIFY(std::abs(static_cast<int>(shown.samples[i]) - expected[i]) <= 1);
    }

    void without_a_known_screen_srgb_pixels_stay_as_they_are_and_it_is_said() {
        jobs::ScreenPixels pixels;
        pixels.size = {1, 1};
        pixels.samples = {std::byte{1}, std::byte{2}, std::byte{3}};
        QVERIFY(for_screen(pixels, nullptr).samples == pixels.samples);
        // Neither an X server nor, in a test, a colour daemon with a display of that name.
        const SharedScreen screen = screen_profile(0, QStringLiteral("no such display"));
        QVERIFY(screen->from == ScreenProfile::From::nowhere);
        QVERIFY(screen->icc.empty());
        QVERIFY(words_of(*screen).contains(QStringLiteral("sRGB")));
    }
};

QTEST_MAIN(ScreenProfileTest)
#include "screen_profile_test.moc"

// SPDX-License-Identifier: Apache-2.0
/// The window under load: how soon a picture is seen, and the longest time that the user's thread was busy while it is
/// loaded, panned dot for dot and made.
///
///     QT_QPA_PLATFORM=offscreen bench_window PICTURE...

#include <QApplication>
#include <QElapsedTimer>
#include <QTemporaryDir>
#include <QTest>
#include <QTimer>
#include <algorithm>
#include <cstdio>
#include <ctime>
#include <filesystem>
#include <vector>

#include "apps/desktop/bridge.h"
#include "apps/desktop/file_view.h"
#include "apps/desktop/main_window.h"
#include "apps/desktop/make_panel.h"
#include "apps/desktop/order.h"
#include "apps/desktop/print_page.h"
#include "apps/desktop/settings.h"
#include "apps/desktop/stage.h"
#include "apps/desktop/style.h"
#include "engine/base/workers.h"

namespace {

using namespace hangtrue;

/// Milliseconds that this thread has worked.
double worked() {
    timespec time{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &time);
    return static_cast<double>(time.tv_sec) * 1e3 + static_cast<double>(time.tv_nsec) / 1e6;
}

/// The longest task on the user's thread, by its work; and the longest gap between two turns of the event loop, in which
/// other programs may have had the processor.
class LoopWatch {
  public:
    LoopWatch() {
        m_turn.setInterval(0);
        QObject::connect(&m_turn, &QTimer::timeout, [this] {
            m_longest_gap = std::max(m_longest_gap, static_cast<double>(m_since.nsecsElapsed()) / 1e6);
            m_longest_work = std::max(m_longest_work, worked() - m_worked);
            m_since.restart();
            m_worked = worked();
        });
    }
    void start() {
        m_longest_gap = m_longest_work = 0;
        m_worked = worked();
        m_since.start();
        m_turn.start();
    }
    void stop(const char* while_what) {
        m_turn.stop();
        std::printf("  while it is %-8s  longest task on the user's thread %5.1f ms, longest gap %5.1f ms\n",
                    while_what, m_longest_work, m_longest_gap);
    }

  private:
    QTimer m_turn;
    QElapsedTimer m_since;
    double m_worked = 0, m_longest_gap = 0, m_longest_work = 0;
};

template <typename Done>
bool wait_for(Done&& done, int most_ms) {
    QElapsedTimer waited;
    waited.start();
    while (!done() && waited.elapsed() < most_ms) QCoreApplication::processEvents(QEventLoop::WaitForMoreEvents, 20);
    return done();
}

void measure(const std::filesystem::path& picture) {
    QTemporaryDir folder;
    const std::filesystem::path data = folder.path().toStdString() + "/data";
    std::filesystem::create_directories(data / "shops");
    for (const auto& shop : std::filesystem::directory_iterator(HANGTRUE_DEMO_SHOPS)) {
        std::filesystem::copy(shop.path(), data / "shops" / shop.path().filename());
    }
    const desktop::Workplace workplace{data, HANGTRUE_MODELS_FOLDER, std::max(1, base::default_thread_count()),
                                       base::ShownUnits::inches};
    desktop::Bridge bridge(workplace);
    desktop::MainWindow window(bridge, desktop::Habits(data));
    window.resize(1920, 1080);
    window.show();
    desktop::PrintPage& page = window.print_page();
    QCoreApplication::processEvents();
    LoopWatch watch;
    QElapsedTimer clock;
    std::printf("%s\n", picture.filename().c_str());

    watch.start();
    clock.start();
    page.open({picture});
    wait_for([&] { return !page.order().image().isNull(); }, 60'000);
    std::printf("  first view          %6.2f s\n", static_cast<double>(clock.elapsed()) / 1000);
    const QSize coarse = page.order().image().size();
    wait_for([&] { return page.order().image().size() != coarse; }, 60'000);
    std::printf("  fine view           %6.2f s\n", static_cast<double>(clock.elapsed()) / 1000);
    page.order().set_words(
        QStringLiteral("size"),
        {{"shop", "quillfen"}, {"medium", "metal-white"}, {"size", "36x24in"}, {"enlarge", "filter"}});
    wait_for([&] { return page.order().settled() != nullptr; }, 120'000);
    std::printf("  measured, settled   %6.2f s\n", static_cast<double>(clock.elapsed()) / 1000);
    watch.stop("loaded");

    page.stage().look(desktop::Look::dots);
    desktop::FileView& view = page.stage().file_view();
    wait_for([&] { return view.is_complete(); }, 60'000);
    // From cached blocks: to and fro over what is there already.
    const QPointF middle = view.centre();
    watch.start();
    clock.start();
    int frames = 0;
    for (; clock.elapsed() < 2000; ++frames) {
        view.set_centre(middle + QPointF(frames % 40 - 20, frames % 30 - 15));
        view.repaint();
        QCoreApplication::processEvents();
    }
    std::printf("  panning, cached     %6.1f frames a second\n",
                frames * 1000.0 / static_cast<double>(clock.elapsed()));
    for (int i = 0; i < 60; ++i) {
        view.set_centre(view.centre() + QPointF(24, 12));
        QTest::qWait(16);
    }
    watch.stop("panned");

    watch.start();
    page.make_panel().set_folder(folder.path());
    clock.start();
    page.make_panel().make();
    wait_for([&] { return !bridge.is_making(); }, 300'000);
    std::printf("  made in             %6.2f s\n", static_cast<double>(clock.elapsed()) / 1000);
    watch.stop("made");
    std::fflush(stdout);
}

}  // namespace

int main(int argc, char** argv) {
    if (argc < 2) {
        std::fprintf(stderr, "usage: bench_window PICTURE…\n");
        return 2;
    }
    QApplication application(argc, argv);
    desktop::set_look(application, desktop::Grey::dark);
    for (int i = 1; i < argc; ++i) measure(argv[i]);
    return 0;
}

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the tests of the window's pages share: a photographer's folders with a shop and pictures, and a lane that is at
/// work.

#include <QAbstractItemModel>
#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>
#include <thread>

#include "apps/desktop/bridge.h"
#include "engine/base/clock.h"
#include "engine/jobs/picture_list.h"
#include "tests/support/made_weights.h"
#include "tests/support/pictures.h"
#include "tests/support/shop_text.h"
#include "tests/support/temporary_folder.h"

namespace hangtrue::desktop_test {

namespace fs = std::filesystem;
using desktop::Bridge;
using desktop::Lane;
using desktop::Result;
using desktop::TaskHandle;
using desktop::Workplace;

inline constexpr int patience_ms = 60000;  // Sanitized builds on busy machines.

inline std::string text_of(const fs::path& file) {
    std::ifstream stream(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

inline QString shown_path(const fs::path& path) { return QString::fromStdString(path.string()); }

/// Glossy paper at 200 ppi, by one machine, so that a sheet of 8 x 6 in tells of the large print; a scan of it resolves
/// the marks.
inline std::string gloss_shop() {
    support::ShopMedium gloss;
    gloss.id = "gloss";
    gloss.name = "Gloss";
    gloss.ppi = "{ least = 10, wanted = 200, most = 400 }";
    gloss.more = "# Told on the phone.\nsame_process_for_all_sizes = true\nsafe_area = \"4 mm\"\n";
    gloss.file = "formats = [\"tiff\"]\ntiff_bits = [8]\ntiff_compressions = [\"none\"]\n";
    gloss.sizes = {{"8 x 6", "8 x 6 in", "6.00"}, {"12 x 9", "12 x 9 in", "30.00"}};
    return support::shop_text("Gloss House", "order_page = \"https://gloss.example.invalid\"\n", {gloss});
}

/// Folders of a photographer, a shop, two pictures, networks that are small and know nothing.
struct Studio {
    support::TemporaryFolder folder;
    fs::path data = folder.path() / "data";
    fs::path pictures = folder.path() / "pictures";
    fs::path out = folder.path() / "out";
    fs::path ridge = pictures / "ridge.tif";

    Studio() {
        for (const fs::path& one : {data / "shops", pictures, out, folder.path() / "models"})
            fs::create_directories(one);
        for (const char* name : {"fine.weights", "quick.weights"}) {
            support::made_weights(4, 1, 7).write(folder.path() / "models" / name);
        }
        const std::string shop = gloss_shop();
        support::write_bytes(data / "shops/gloss-house.toml", std::as_bytes(std::span(shop)));
        support::TestPicture scene = support::gradient({1200, 900}, 3, 8);
        std::mt19937 random(7);
        for (std::uint16_t& sample : scene.samples) {
            sample = static_cast<std::uint16_t>(
                std::clamp(static_cast<int>(sample) + static_cast<int>(random() % 17) - 8, 0, 255));
        }
        support::write_tiff(ridge, scene, {});
        support::write_png(pictures / "small.png", support::gradient({90, 60}, 1, 8), {});
        const std::string damaged = "no picture at all";
        support::write_bytes(pictures / "damaged.jpg", std::as_bytes(std::span(damaged)));
    }

    Workplace workplace() const { return {data, folder.path() / "models", 2, base::ShownUnits::inches}; }

    /// On the test's own thread: what a page would leave to the bridge.
    template <typename Work>
    auto run(Work&& work) const {
        base::Progress progress;
        base::Faults faults;
        const base::Clock clock;
        jobs::Context context{data, folder.path() / "models", 2, base::ShownUnits::inches, progress, faults, clock};
        return work(context);
    }
};

/// The file as a scanner sees a print whose tones are right: the paper reflects 0.9 of the light, so that it is not cut
/// off, the black 0.01, as inks do. Light by IEC 61966-2-1.
inline void write_scan_of(const fs::path& file, const fs::path& scan, const Studio& studio) {
    const jobs::SmallPixels pixels =
        studio.run([&](jobs::Context& context) { return jobs::thumbnail(file, 1'000'000, context); });
    std::array<std::uint16_t, 256> seen{};
    for (std::size_t code = 0; code < seen.size(); ++code) {
        const double encoded = static_cast<double>(code) / 255;
        const double light =
            0.01 + 0.89 * (encoded <= 0.04045 ? encoded / 12.92 : std::pow((encoded + 0.055) / 1.055, 2.4));
        const double again = light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
        seen[code] = static_cast<std::uint16_t>(std::lround(again * 255));
    }
    support::TestPicture picture{pixels.size, 3, 8, {}};
    for (const std::uint8_t sample : pixels.rgb) picture.samples.push_back(seen[sample]);
    support::write_tiff(scan, picture, {});
}

/// A lane at work until this ends.
class Busy {
  public:
    Busy(Bridge& bridge, Lane lane) {
        m_task = bridge.run<int>(
            lane, QStringLiteral("busy"), &m_receiver,
            [](jobs::Context& context) {
                while (true) {
                    context.progress.check();
                    std::this_thread::sleep_for(std::chrono::milliseconds(1));
                }
                return 0;
            },
            [](const Result<int>&) {});
    }
    ~Busy() { m_task.cancel(); }

  private:
    QObject m_receiver;
    TaskHandle m_task;
};

inline QModelIndex row_named(const QAbstractItemModel& model, const QString& name) {
    for (int row = 0; row < model.rowCount(); ++row) {
        if (model.index(row, 0).data().toString() == name) return model.index(row, 0);
    }
    return {};
}

}  // namespace hangtrue::desktop_test

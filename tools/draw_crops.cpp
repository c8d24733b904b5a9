// SPDX-License-Identifier: Apache-2.0
// Draws the crops of docs/enlarging.md: draw_crops MODELS-FOLDER PHOTOGRAPHS-FOLDER OUT-FOLDER [SUBJECT…].
// On the left the filter, on the right the network "fine"; from the top 1.5, 2 and 4 times. One picture pixel of the
// enlarged photograph is one pixel of the crop; nothing is sharpened.

#include <algorithm>
#include <cmath>
#include <iostream>
#include <vector>

#include "engine/base/workers.h"
#include "engine/jobs/look.h"
#include "engine/jobs/networks.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/print_file.h"
#include "engine/jobs/resampling.h"
#include "engine/picture/measure.h"
#include "engine/raster/print_writer.h"
#include "engine/render/network_trial.h"
#include "engine/render/render.h"

namespace {

using namespace hangtrue;
namespace fs = std::filesystem;

constexpr base::PixelSize crop{300, 190};
constexpr int gap = 6;
constexpr double factors[] = {1.5, 2, 4};
constexpr plan::Enlarging ways[] = {plan::Enlarging::filter, plan::Enlarging::fine};
constexpr base::PixelSize page{2 * crop.width + gap, 3 * crop.height + 2 * gap};
constexpr std::int64_t most_bytes = 180'000;  // Five of them stay under a megabyte.

struct Subject {
    const char* name;
    const char* photograph;
    bool halved;  ///< First reduced to half its size, so that it is as crisp as pixels can be and no JPEG any more.
    int x, y;     ///< In the middle of the crops, in pixels of what is enlarged.
    const char* author = "Aitzol Berasategi";
    const char* licence = "CC-BY-4.0";
};

constexpr Subject subjects[] = {
    {"rock", "picosdeeuropa_by_Aitzol_Berasategi.jpg", false, 470, 1040},
    {"water", "life_by_Aitzol_Berasategi.jpg", false, 1490, 1220},
    {"foliage", "life_by_Aitzol_Berasategi.jpg", true, 1070, 405},
    {"branches", "aitzgorri_by_Aitzol_Berasategi.jpg", true, 1440, 490},
    {"straight-edges", "greentock_by_Peter_Nerlich.jpg", true, 850, 380, "Peter Nerlich", "CC-BY-SA-4.0"},
};

class Crops {
  public:
    explicit Crops(jobs::Context& context) : m_context(context) {}

    void draw(const Subject& subject, const fs::path& photographs, const fs::path& out) {
        fs::path name = photographs / subject.photograph;
        const fs::path half = out / "half.png";
        if (subject.halved) {
            jobs::enlarge({.in = name, .out = half, .factor = 0.5, .by = plan::Enlarging::filter, .replace = true},
                          m_context);
            name = half;
        }
        jobs::StageSeconds seconds;
        const jobs::OpenedPicture picture = jobs::unmeasured_picture(name, out, m_context, seconds);
        fs::remove(half);
        const picture::Measured measured = picture::measured(*picture.reader, m_context.progress);
        std::vector<std::byte> drawn(static_cast<std::size_t>(page.count()) * 3, std::byte{255});
        for (int row = 0; row < 3; ++row) {
            for (int column = 0; column < 2; ++column) {
                const auto samples = enlarged(subject, picture, measured, factors[row], ways[column]);
                for (int y = 0; y < crop.height; ++y) {
                    const auto to = (static_cast<std::size_t>(row * (crop.height + gap) + y) * page.width +
                                     static_cast<std::size_t>(column * (crop.width + gap))) *
                                    3;
                    std::copy_n(samples.begin() + static_cast<std::ptrdiff_t>(y) * crop.width * 3, crop.width * 3,
                                drawn.begin() + static_cast<std::ptrdiff_t>(to));
                }
            }
        }
        write(drawn, subject, out / ("enlarging-" + std::string(subject.name) + ".jpg"));
    }

  private:
    /// What of the whole photograph, enlarged, stands in the crop.
    std::vector<std::byte> enlarged(const Subject& subject, const jobs::OpenedPicture& picture,
                                    const picture::Measured& measured, double factor, plan::Enlarging way) {
        const raster::PictureInfo& info = picture.facts.info;
        const base::PixelSize size{jobs::scaled_side(info.size.width, factor),
                                   jobs::scaled_side(info.size.height, factor)};
        plan::Plan plan = jobs::resampling_plan(subject.photograph, info, size, picture.profile);
        const auto wished = jobs::wished_network(way, factor, m_context);
        if (wished) {
            plan.network = plan::planned_network(wished->facts, measured, info, plan.enlarging, enlarge::Grain::keep);
            const colour::WorkingForm working(picture.profile, jobs::source_model(info.model), subject.photograph);
            plan.network.measures.undone_blur_px =
                render::undone_blur_px(*wished->network, plan.network.measures, working, *picture.reader,
                                       m_context.threads, m_context.progress);
        }
        const jobs::PreparedStages prepared(plan, info.model, picture.profile, picture.profile,
                                            wished ? wished->network : nullptr);
        const int x = static_cast<int>(std::lround(subject.x * factor)) - crop.width / 2;
        const int y = static_cast<int>(std::lround(subject.y * factor)) - crop.height / 2;
        return render::rendered_window(prepared.stages(), *picture.reader, {x, y, crop.width, crop.height},
                                       m_context.threads, m_context.progress);
    }

    void write(const std::vector<std::byte>& drawn, const Subject& subject, const fs::path& name) {
        raster::PrintTags tags;
        tags.size = page;
        tags.ppi = {96};
        tags.author = subject.author;
        tags.copyright = subject.licence;
        const raster::RowSupply rows = [&](int first, int count, std::span<std::byte> to) {
            constexpr std::size_t row = std::size_t{page.width} * 3;
            std::copy_n(drawn.begin() + static_cast<std::ptrdiff_t>(static_cast<std::size_t>(first) * row),
                        static_cast<std::size_t>(count) * row, to.begin());
        };
        int quality = 95;
        while (quality > 60 && raster::jpeg_bytes(tags, quality, rows, m_context.progress) > most_bytes) quality -= 5;
        base::OutputFile file(name, base::OutputFile::Existing::replace, m_context.faults);
        raster::write_jpeg(file, tags, quality, rows, m_context.progress);
        file.sync(m_context.progress);
        file.name_it();
        std::cout << name.string() << ", quality " << quality << std::endl;
    }

    jobs::Context& m_context;
};

}  // namespace

int main(int count, char** arguments) {
    const std::vector<std::string> words(arguments + 1, arguments + count);
    if (words.size() < 3) {
        std::cerr << "usage: draw_crops MODELS-FOLDER PHOTOGRAPHS-FOLDER OUT-FOLDER [SUBJECT…]\n";
        return 2;
    }
    base::Progress progress;
    base::Faults faults;
    const base::Clock clock;
    jobs::Context context{.data_folder = {},
                          .models_folder = words[0],
                          .threads = base::default_thread_count(),
                          .units = base::ShownUnits::inches,
                          .progress = progress,
                          .faults = faults,
                          .clock = clock};
    const jobs::Ended ended = jobs::ended([&] {
        for (const Subject& subject : subjects) {
            const bool is_wanted = std::find(words.begin() + 3, words.end(), subject.name) != words.end();
            if (words.size() == 3 || is_wanted) Crops(context).draw(subject, words[1], words[2]);
        }
    });
    if (!ended.sentence.empty()) std::cerr << ended.sentence << '\n';
    return ended.ending == jobs::Ending::done ? 0 : 1;
}

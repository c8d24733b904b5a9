// SPDX-License-Identifier: Apache-2.0
// Draws the picture that ./try ends with: draw_wall DATA-FOLDER OUT.png PRINT-FILE…

#include <iostream>
#include <vector>

#include "engine/base/workers.h"
#include "engine/jobs/wall.h"

int main(int count, char** arguments) {
    using namespace hangtrue;
    const std::vector<std::string> words(arguments + 1, arguments + count);
    if (words.size() < 3) {
        std::cerr << "usage: draw_wall DATA-FOLDER OUT.png PRINT-FILE…\n";
        return 2;
    }
    base::Progress progress;
    base::Faults faults;
    const base::Clock clock;
    jobs::Context context{.data_folder = words[0],
                          .threads = base::default_thread_count(),
                          .units = base::ShownUnits::inches,
                          .progress = progress,
                          .faults = faults,
                          .clock = clock};
    const jobs::Ended ended = jobs::ended([&] {
        jobs::draw_wall({words.begin() + 2, words.end()}, words[1], context);
    });
    if (!ended.sentence.empty()) std::cerr << ended.sentence << '\n';
    return ended.ending == jobs::Ending::done ? 0 : 1;
}

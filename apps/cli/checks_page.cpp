// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/checks_page.h"

#include <string_view>

#include "engine/checks/checks.h"

namespace hangtrue::cli {
namespace {

constexpr std::string_view beginning =
    R"(# The checks

What `hangtrue check` looks for, and `make` before it makes anything. This page is made from the program's own table
(`hangtrue help --checks`); a test holds it against the table. How to add a check: a row in `engine/checks/table.cpp`, a
finding in the file of its subject, in `tests/checks` a picture that trips it and one that does not.

Each finding says what is wrong in one sentence, with its figure and the line, where in the picture (`where`, pixels
of the upright picture), what would mend it, and where an option of the verb does so, that option as it is typed
(`option`): with it the finding is gone, and nothing new stops the print. A **stop** is not made; `--anyway` passes
those that are marked, never a shop's file rules. A **look** may cost the print; a **note** is good to know.
"Estimate" means that the line was set by judgement, not measured.

)";

std::string cell(std::string_view text) {
    std::string escaped;
    for (const char letter : text) {
        if (letter == '|') escaped += '\\';
        escaped += letter;
    }
    return escaped;
}

std::string rows_of(checks::Severity severity) {
    std::string text = "| name | what it finds | the line | `--anyway` |\n| --- | --- | --- | --- |\n";
    for (const checks::CheckInfo& row : checks::table()) {
        if (row.severity != severity) continue;
        const char* passes = severity != checks::Severity::stop ? "" : row.passable ? "passes it" : "never";
        text += "| `" + row.name + "` | " + cell(row.meaning) + " | " + cell(row.limit) + " | " + passes + " |\n";
    }
    return text;
}

constexpr std::string_view ending =
    R"(
## What looking costs, and what it cannot see

Looking reads the picture once more and makes the print small, 800 pixels along its longer side, in the file's own
colours, the correction included. Tones, colours and what stands at an edge are told from that; flat steps from the
picture's own pixels as they pass. What is finer than a sample is not seen there: a hair, a thin signature on a very
large print. Whether something matters is not known to a program: `stands-at-edge` finds what has a strong outline and
calm around it, and lets leaves and horizons be. Black and white areas are those of the file; how deep the shop's black
is, a test print tells. A picture that was a coarse JPEG and was saved again as a good one is known only where it is
smooth.

## What the demo photographs are told

Four photographs of Debian's lomiri-wallpapers, all by Aitzol Berasategi, as 24 x 16 in on the demo shop's white metal
(`tests/jobs/checks_test.cpp` holds this):

- All: they bring 127 to 175 ppi where the medium wants 200; no test print was read; no profile and no copyright stand
  in the files; the shop's safe area. All true.
- "picosdeeuropa": 1.3 % is plain white. True: snow and a cloud, at 255 in all channels.
- "aitzgorri": too little detail: sharp from 2.8 ft where it is seen from 2.4. True: pixel for pixel
  its branches run into one another.
- Else nothing of detail, noise, halos, JPEG damage, bands, colours or edges, and looking at them shows none.
)";

}  // namespace

std::string checks_page() {
    std::string text(beginning);
    text += "## Stops\n\n" + rows_of(checks::Severity::stop);
    text += "\n## Looks\n\n" + rows_of(checks::Severity::look);
    text += "\n## Notes\n\n" + rows_of(checks::Severity::note);
    return text + std::string(ending);
}

}  // namespace hangtrue::cli

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Making print files: settle, check, render, write, sync, read back, note, name, record, ticket.

#include <array>
#include <filesystem>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "engine/base/hash.h"
#include "engine/checks/checks.h"
#include "engine/jobs/context.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"
#include "engine/render/likeness.h"

namespace hangtrue::jobs {

struct MakeRequest {
    std::filesystem::path picture;
    plan::Wish wish;
    std::optional<plan::Plan> plan;  ///< Settled already (`--plan`): the wish is not looked at.
    std::filesystem::path to;        ///< Folder; must exist.
    std::optional<std::filesystem::path> save_plan;
    bool replace = false;
    bool anyway = false;
    std::string listed_at;  ///< Where a list has this print: "prints.toml, line 12"; empty without a list.
};

/// What lossy coding cost, as colour differences (dE00) between the samples given to the encoder and those that it
/// gives back.
struct LossyCost {
    int quality = 0;
    double mean = 0;
    double percentile_99 = 0;
    double largest = 0;
};

struct MadeFile {
    std::filesystem::path file;
    std::filesystem::path ticket;
    std::string order_note;
    plan::Plan plan;
    std::int64_t bytes = 0;
    base::Sha256 sha256;
    bool verified = false;
    std::int64_t ledger_id = 0;
    std::optional<LossyCost> lossy;
    std::optional<render::Likeness> likeness;  ///< Of what the network made; the filter's is not looked at.
    StageSeconds seconds;
    std::int64_t spilled_bytes = 0;        ///< Scratch files used.
    std::int64_t decoder_bytes = 0;        ///< Memory that a decoder kept for the whole picture.
    std::string colour_path;               ///< "matrix", "table", "exact", "none"
    std::array<double, 3> colour_error{};  ///< Mean, 99 %, largest dE00 against the exact path, where a table is used.
    std::vector<std::string> remarks;      ///< Sentences for the user: a profile assumed, what was converted.
};

/// What was done for the light that the print will hang in, as a sentence; empty where nothing was asked.
std::string light_words(const plan::PlannedLight& light);

/// How the network enlarged and how like the picture that is, in sentences; empty where the filter did.
std::string enlarging_words(const plan::Plan& plan, const std::optional<render::Likeness>& likeness);

struct MakeOutcome {
    MakeRequest request;
    Ending ending = Ending::done;
    std::string sentence;  ///< What went wrong; empty when done.
    std::vector<checks::Finding> findings;
    std::vector<MadeFile> files;  ///< One a panel.
    /// Another print of the same order was just made under its name: replacing would lose that one.
    bool is_name_of_another = false;
};

/// The prints of one order that are made by several calls, one after the other.
struct PrintsTogether {
    std::set<std::filesystem::path> made;
};

struct MakeSummary {
    std::vector<MakeOutcome> outcomes;
    std::vector<std::filesystem::path> order_sheets;  ///< One a shop and folder, where several prints were made for it.
    std::vector<std::string> recovered;               ///< Files found renamed but not recorded, recorded now.
};

/// Each request ends by itself; after a cancel the rest end as cancelled. Never throws for a request's sake. No print
/// replaces another of the same call or, with `together`, of the calls before; order sheets are then the caller's to
/// write (write_order_sheets), after the last.
MakeSummary make(const std::vector<MakeRequest>& requests, Context& context, PrintsTogether* together = nullptr);

/// A list of prints (TOML, format = 1: `[[print]] picture, shop, medium, size, quantity, …` with the words of the
/// wish; picture paths relative to the list). Throws UnreadableInput with line, column and the print's picture.
std::vector<MakeRequest> requests_from_list(const std::filesystem::path& list, const std::filesystem::path& to);

/// What the command line's and a list's wish words mean; `key` is the option's name without dashes ("border"), throws
/// InvalidWish naming the option, what was given and what is possible.
void set_wish_word(plan::Wish& wish, const std::string& key, const std::string& value);
/// All keys that set_wish_word knows.
std::vector<std::string> wish_words();

/// Findings of the wish without making it.
struct CheckOutcome {
    std::vector<checks::Finding> findings;
    std::vector<plan::Plan> plans;
};
/// Throws as settling does.
CheckOutcome check(const std::filesystem::path& picture, const plan::Wish& wish, Context& context);

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What every job needs from outside, and how it ends. Handed in by the programs; nothing global.

#include <filesystem>
#include <string>

#include "engine/base/clock.h"
#include "engine/base/faults.h"
#include "engine/base/output_file.h"
#include "engine/base/progress.h"
#include "engine/base/units_text.h"
#include "engine/shops/shop_folder.h"

namespace hangtrue::jobs {

struct Context {
    std::filesystem::path data_folder;         ///< Holds shops/*.toml and ledger.sqlite; made when first written to.
    std::filesystem::path models_folder = {};  ///< Holds the networks' weights, NAME.weights.
    int threads = 1;
    base::ShownUnits units = base::ShownUnits::inches;
    base::Progress& progress;
    base::Faults& faults;
    const base::Clock& clock;
};

/// How a job ended; the command line's exit status follows from it.
enum class Ending { done, refused, bad_wish, unreadable, unwritable, cancelled, ledger, our_fault };

/// Seconds by stage. `compute` and `write` overlap in time; `whole` is wall time from opening the picture to the
/// ticket, settling and what else no stage counts included.
struct StageSeconds {
    double open = 0;
    double measure = 0;
    double compute = 0;  ///< Rendering, writing included where they overlap.
    double write = 0;    ///< Of that: the thread that writes was busy.
    double sync = 0;
    double read_back = 0;
    double whole = 0;
};

/// Runs `work` and turns what it throws into an ending and its sentence (empty for done): the border between
/// exceptions and values.
struct Ended {
    Ending ending = Ending::done;
    std::string sentence;
};
template <typename Work>
Ended ended(Work&& work);

base::OutputFile::Existing existing_rule(bool replace);

/// The picture is never written: throws InvalidWish where `out` is the picture itself, whatever it is called there.
void refuse_the_picture_itself(const std::filesystem::path& picture, const std::filesystem::path& out);

/// Before any work for `out`: throws WriteFailed where it could not get its name (taken and not to be replaced, a
/// folder, no folder to lie in), InvalidWish where it is the picture. Leaves nothing.
void expect_free_name(const std::filesystem::path& picture, const std::filesystem::path& out, bool replace,
                      const Context& context);

/// The system's folder for what lies on disk for a while. Throws WriteFailed where there is none.
std::filesystem::path scratch_folder();

/// The shops of the data folder, and its shop files that cannot be read.
shops::ShopFolder known_shops(const Context& context);

}  // namespace hangtrue::jobs

#include "engine/base/error.h"

namespace hangtrue::jobs {

template <typename Work>
Ended ended(Work&& work) {
    try {
        work();
        return {};
    } catch (const base::Cancelled&) {
        return {Ending::cancelled, "Stopped. Nothing unfinished was left behind."};
    } catch (const base::InvalidWish& error) {
        return {Ending::bad_wish, error.what()};
    } catch (const base::UnreadableInput& error) {
        return {Ending::unreadable, error.what()};
    } catch (const base::WriteFailed& error) {
        return {Ending::unwritable, error.what()};
    } catch (const base::LedgerFailed& error) {
        return {Ending::ledger, error.what()};
    } catch (const std::filesystem::filesystem_error& error) {
        return {Ending::unwritable, error.path1().string() + " cannot be used: " + error.code().message() + "."};
    } catch (const std::bad_alloc&) {
        return {Ending::our_fault, "There was not enough memory for this. Close other programs and try again."};
    } catch (const std::exception& error) {
        return {Ending::our_fault, std::string("Hangtrue made a mistake of its own: ") + error.what() + "."};
    }
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include "engine/base/faults.h"

namespace hangtrue::base {

std::string_view name_of(Step step) {
    switch (step) {
        case Step::temporary_made: return "temporary-made";
        case Step::half_written: return "half-written";
        case Step::written: return "written";
        case Step::synced: return "synced";
        case Step::verified: return "verified";
        case Step::intention_noted: return "intention-noted";
        case Step::renamed: return "renamed";
        case Step::recorded: return "recorded";
    }
    return "?";
}

std::string_view name_of(Call call) {
    switch (call) {
        case Call::write: return "write";
        case Call::sync: return "sync";
        case Call::rename: return "rename";
        case Call::sync_folder: return "sync-folder";
    }
    return "?";
}

}  // namespace hangtrue::base

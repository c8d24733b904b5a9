// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Fault points: the places where a test may break the world, as a full disk, a lost drive or a kill would.
///
/// Handed down like Progress; the default does nothing. What the program does at a fault is the real
/// error path: a fault point only makes the call before it look failed.

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>

namespace hangtrue::base {

/// The steps between which a kill must leave the world whole (in the order of a print file's making).
enum class Step {
    temporary_made,
    half_written,
    written,
    synced,
    verified,
    intention_noted,
    renamed,
    recorded,
};

/// Calls that may be made to fail.
enum class Call { write, sync, rename, sync_folder };

class Faults {
  public:
    virtual ~Faults() = default;

    /// Called when `step` has just been done.
    virtual void reached(Step) {}

    /// The errno with which `call` shall seem to fail, 0 to let it be done.
    virtual int failing(Call) { return 0; }

    /// Called with the bytes that go to the disk next and their offset in the file; may change them.
    virtual void altering(std::span<std::byte> /*bytes*/, std::int64_t /*offset*/) {}

    /// True where altering() wants to see the bytes: otherwise nobody pays for a copy.
    virtual bool alters() const { return false; }
};

/// The name used by tests and by the command line's fault variable: "temporary-made", …
std::string_view name_of(Step step);
std::string_view name_of(Call call);

}  // namespace hangtrue::base

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The photographer's records: an SQLite file (schema version in user_version, walked up step by step in one
/// transaction). One thread at a time per object; several processes may use one ledger; a kill at any moment leaves
/// each change done or not begun. Rows are never deleted. Throws LedgerFailed: damaged, of a newer version, another
/// program's file, locked for ten seconds, not writable, disk full.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/hash.h"

namespace hangtrue::ledger {

/// One made file.
struct Row {
    std::int64_t id = 0;       ///< Given by the ledger.
    std::string made_at;       ///< ISO 8601 UTC.
    std::string picture_path;  ///< Where the picture was.
    base::Sha256 picture_content;
    std::string file_path;  ///< Absolute; the folder's links followed.
    std::int64_t bytes = 0;
    base::Sha256 file_hash;
    base::Digest samples;                    ///< Of all samples given to the encoder (digest of the strips' digests).
    std::vector<std::uint16_t> fingerprint;  ///< Mean of each 64x64 block, 16 bit, R G B, row by row.
    std::string plan_text;                   ///< The whole plan.
    std::string program_version;
    std::string shop, medium, size_name, picture_name;  ///< For lists and search.
    int quantity = 1;
    int jpeg_quality = 0;  ///< 0: not a JPEG.
};

/// What a ledger is opened for. `look` writes nothing, neither records nor a newer format: a ledger that is missing is
/// an empty one and stays missing.
enum class Access { records, look };

class Ledger {
  public:
    /// Opens or makes `file`, and the folders above it. A damaged or newer one is refused with what to do; one that
    /// may not be written can still be read. Takes milliseconds, however long the records.
    explicit Ledger(const std::filesystem::path& file, Access access = Access::records);
    ~Ledger();

    /// Before the file gets its name: what will be recorded. Returns the row's id.
    std::int64_t note_intention(const Row& row);
    /// After: the intention is done. May be said twice, and of an intention that another process has dropped.
    void record(std::int64_t id);
    /// The intention is off (the name could not be given).
    void drop_intention(std::int64_t id);

    /// Intentions left by a kill (or of a process at work): whether the file stands under its name with the noted
    /// bytes is for the caller to check.
    std::vector<Row> open_intentions() const;

    /// Recorded files alone: an intention is no row.
    std::optional<Row> row(std::int64_t id) const;
    /// Newest first, without their fingerprints. `search`: part of picture, shop, medium or size name (A to Z in
    /// either case); empty: all.
    std::vector<Row> rows(std::string_view search = {}, int most = 1000) const;
    /// The newest row of that file path.
    std::optional<Row> row_of_file(const std::filesystem::path& file) const;
    /// The newest row whose file had that content, wherever the file is now.
    std::optional<Row> row_of_content(const base::Sha256& file_hash) const;
    /// What was made of a picture, newest first, without fingerprints.
    std::vector<Row> rows_of_picture(const base::Sha256& picture) const;

    /// Profiles used, byte for byte.
    void keep_profile(const base::Sha256& hash, std::span<const std::byte> bytes);
    std::optional<std::vector<std::byte>> profile(const base::Sha256& hash) const;

    /// What was measured of a picture, as text of the caller's, by content and version of measuring.
    void keep_measured(const base::Sha256& picture, int version, std::string_view text);
    std::optional<std::string> measured(const base::Sha256& picture, int version) const;

    /// What was found when a network was tried on a picture, as text of the caller's, by their contents and version of
    /// trying.
    void keep_trial(const base::Sha256& picture, const base::Sha256& network, int version, std::string_view text);
    std::optional<std::string> trial(const base::Sha256& picture, const base::Sha256& network, int version) const;

    /// Where pictures were seen, by content; last seen first.
    void keep_picture_place(const base::Sha256& picture, const std::filesystem::path& place);
    std::vector<std::filesystem::path> picture_places(const base::Sha256& picture) const;

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

}  // namespace hangtrue::ledger

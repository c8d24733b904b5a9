// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A file that appears under its name whole, or not at all; and unnamed scratch files.
///
/// Written without a name where the file system allows it (O_TMPFILE), so that a kill leaves nothing;
/// elsewhere under a hidden name (".hangtrue-HOST-PID-N.part") that its writer keeps locked (flock): the next
/// OutputFile in that folder clears it away once the lock is free, if this very host wrote it. One thread at a
/// time.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>

#include "engine/base/faults.h"
#include "engine/base/hash.h"
#include "engine/base/progress.h"

namespace hangtrue::base {

/// An open file descriptor, closed at the end.
class Descriptor {
  public:
    Descriptor() = default;
    explicit Descriptor(int value) : m_value(value) {}
    Descriptor(Descriptor&& other) noexcept;
    Descriptor& operator=(Descriptor&& other) noexcept;
    ~Descriptor();
    int get() const { return m_value; }
    bool is_open() const { return m_value >= 0; }

  private:
    int m_value = -1;
};

/// Where `file` lies: "." for a bare name.
std::filesystem::path folder_of(const std::filesystem::path& file);

/// Without waiting for a pipe or a device. Throws UnreadableInput, also for a folder.
Descriptor opened_for_reading(const std::filesystem::path& file);

/// Bytes that the file system of `folder` can still take from us.
std::int64_t free_bytes(const std::filesystem::path& folder);

/// An unnamed file in `folder` that vanishes with its descriptor. `purpose` completes
/// "There is not enough room in FOLDER for …". Throws WriteFailed when the folder does not take files or has
/// less than `bytes` free.
Descriptor scratch_file(const std::filesystem::path& folder, std::int64_t bytes, const std::string& purpose);

/// Writes or reads all of the bytes at `offset`; throws WriteFailed / UnreadableInput naming `name`.
void write_at(int descriptor, std::span<const std::byte> bytes, std::int64_t offset, const std::filesystem::path& name,
              Faults& faults);
void read_at(int descriptor, std::span<std::byte> bytes, std::int64_t offset, const std::filesystem::path& name);

/// The hidden name of a file in the making, where it must have one: of this host, process `writer`; `number` tells the
/// files of one process apart.
std::string part_file_name(int writer, int number);

class OutputFile {
  public:
    enum class Existing { refuse, replace };

    /// Throws WriteFailed when the folder is missing or not writable, or when `final_name` exists and is not
    /// to be replaced.
    OutputFile(std::filesystem::path final_name, Existing existing, Faults& faults);
    ~OutputFile();
    OutputFile(const OutputFile&) = delete;
    OutputFile& operator=(const OutputFile&) = delete;

    const std::filesystem::path& final_name() const { return m_final_name; }
    int descriptor() const { return m_descriptor.get(); }
    std::int64_t size() const { return m_size; }
    Faults& faults() const { return m_faults; }

    /// Appends.
    void write(std::span<const std::byte> bytes);
    void write_at(std::span<const std::byte> bytes, std::int64_t offset);

    /// From now on what write() appends is also added to `stream`, as it was before the fault points.
    void also_hash(Sha256Stream& stream) { m_stream = &stream; }

    /// To the disk, and out of the page cache, so that reading back reads what the disk holds. Large files go in
    /// pieces, between which `progress` may cancel.
    void sync(Progress& progress);
    void sync();

    /// Gives the file its name and syncs the folder. Nothing is seen under the name before. A name that has
    /// appeared since the start is still refused. Throws WriteFailed also when the file has its name, but the drive
    /// has not confirmed that it keeps it: is_named() then says so.
    void name_it();
    bool is_named() const { return m_is_named; }

  private:
    void link_unnamed();
    void sync_folder();

    std::filesystem::path m_final_name;
    std::filesystem::path m_part_name;  ///< Empty where the file has no name yet.
    Existing m_existing;
    Faults& m_faults;
    Descriptor m_descriptor;
    std::int64_t m_size = 0;
    bool m_is_named = false;
    Sha256Stream* m_stream = nullptr;
};

/// Writes a small file whole (made, synced, named). Throws WriteFailed.
void write_whole_file(const std::filesystem::path& name, std::span<const std::byte> bytes,
                      OutputFile::Existing existing, Faults& faults);

/// Reads a small file whole; throws UnreadableInput when it is missing, a folder, or larger than `limit` bytes.
std::string read_whole_file(const std::filesystem::path& name, std::int64_t limit);

}  // namespace hangtrue::base

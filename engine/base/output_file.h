// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A file that appears under its name whole, or not at all; and unnamed scratch files.
///
/// Written without a name where the file system allows it (O_TMPFILE), so that a kill leaves nothing;
/// elsewhere under a hidden name (".NAME.PID.part") that the next OutputFile in that folder clears away
/// once its writer is gone. One thread at a time.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>

#include "engine/base/faults.h"
#include "engine/base/hash.h"

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

/// Bytes that the file system of `folder` can still take from us.
std::int64_t free_bytes(const std::filesystem::path& folder);

/// An unnamed file in `folder` that vanishes with its descriptor. `purpose` completes
/// "There is not enough room in FOLDER for …". Throws WriteFailed when the folder does not take files or has
/// less than `bytes` free.
Descriptor scratch_file(const std::filesystem::path& folder, std::int64_t bytes, const std::string& purpose);

/// Writes or reads all of the bytes at `offset`; throws WriteFailed / UnreadableInput naming `name`.
void write_at(int descriptor, std::span<const std::byte> bytes, std::int64_t offset,
              const std::filesystem::path& name, Faults& faults);
void read_at(int descriptor, std::span<std::byte> bytes, std::int64_t offset,
             const std::filesystem::path& name);

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

    /// To the disk, and out of the page cache, so that reading back reads what the disk holds.
    void sync();

    /// Gives the file its name and syncs the folder. Nothing is seen under the name before. A name that has
    /// appeared since the start is still refused.
    void name_it();

  private:
    std::filesystem::path m_final_name;
    std::filesystem::path m_part_name;  ///< Empty where the file has no name yet.
    Existing m_existing;
    Faults& m_faults;
    Descriptor m_descriptor;
    std::int64_t m_size = 0;
    Sha256Stream* m_stream = nullptr;
};

/// Writes a small file whole (made, synced, named). Throws WriteFailed.
void write_whole_file(const std::filesystem::path& name, std::span<const std::byte> bytes,
                      OutputFile::Existing existing, Faults& faults);

/// Reads a small file whole; throws UnreadableInput when it is missing, a folder, or larger than `limit` bytes.
std::string read_whole_file(const std::filesystem::path& name, std::int64_t limit);

}  // namespace hangtrue::base

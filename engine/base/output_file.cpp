// SPDX-License-Identifier: Apache-2.0
#include "engine/base/output_file.h"

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <fstream>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/base/error.h"
#include "engine/base/units_text.h"

namespace hangtrue::base {
namespace {

namespace fs = std::filesystem;

WriteFailed write_failed(const fs::path& name, int error_number) {
    std::string advice;
    if (error_number == ENOSPC || error_number == EDQUOT) {
        advice = " Make room there, or choose another folder.";
    } else if (error_number == EIO || error_number == ENODEV || error_number == ENXIO) {
        advice = " Is the drive still connected? Nothing was left behind under that name.";
    }
    return WriteFailed(name.string() + " cannot be written: " + system_text(error_number) + "." + advice);
}

WriteFailed name_taken(const fs::path& name) {
    return WriteFailed(name.string() + " exists already. Have it replaced, or choose another name.");
}

constexpr std::string_view part_beginning = ".hangtrue-";
constexpr std::string_view part_ending = ".part";

/// This host among those that may share a folder: its name and, where there is one, its system's own number, hashed.
std::string host_mark() {
    std::array<char, 256> name{};
    ::gethostname(name.data(), name.size() - 1);
    std::string machine;
    std::ifstream("/etc/machine-id") >> machine;
    return sha256(name.data() + machine).hex().substr(0, 12);
}

std::string part_start() { return std::string(part_beginning) + host_mark() + "-"; }

/// The process of this host that writes a part file of that name; 0 for names of other hosts and other programs.
pid_t writer_of(const std::string& name, const std::string& start) {
    if (!name.starts_with(start) || !name.ends_with(part_ending)) return 0;
    pid_t pid = 0;
    const auto [end, status] = std::from_chars(name.data() + start.size(), name.data() + name.size(), pid);
    return status == std::errc{} && *end == '-' ? pid : 0;
}

bool is_another_at_work(pid_t pid) { return pid != ::getpid() && (::kill(pid, 0) == 0 || errno != ESRCH); }

/// Fails while another descriptor has it, of this process or of one that another system of process numbers knows.
bool is_locked_for_us(int descriptor) { return ::flock(descriptor, LOCK_EX | LOCK_NB) == 0; }

/// A part file of this host whose writer is gone and whose lock is free was left by a kill: nobody will finish it.
/// Where locks do not work nothing is cleared.
void clear_left_parts(const fs::path& folder) {
    const std::string start = part_start();
    std::error_code ignored;
    for (const auto& entry : fs::directory_iterator(folder, ignored)) {
        const pid_t pid = writer_of(entry.path().filename().string(), start);
        if (pid <= 0 || is_another_at_work(pid)) continue;
        const Descriptor part(::open(entry.path().c_str(), O_RDWR | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK));
        if (part.is_open() && is_locked_for_us(part.get())) fs::remove(entry.path(), ignored);
    }
}

bool lacks_unnamed_files(int error_number) {
    return error_number == EOPNOTSUPP || error_number == EISDIR || error_number == ENOENT || error_number == EINVAL;
}

constexpr int most_part_names = 10'000;

/// Takes the first free part file's name of this process with `attempt`, which says whether it did (else errno tells).
template <typename Attempt>
fs::path taken_part_name(const fs::path& folder, Attempt attempt) {
    for (int number = 0;; ++number) {
        const fs::path name = folder / part_file_name(::getpid(), number);
        if (attempt(name)) return name;
        if (errno != EEXIST || number == most_part_names) throw write_failed(name, errno);
    }
}

/// Written between two looks at whether the user has stopped the job: a hard disk takes 0.2 s for it.
constexpr std::int64_t sync_piece = std::int64_t{32} << 20;

/// Makes a drive write down what its own cache holds. Any sync on its file system does that, so this one is of a file
/// without a name and a byte long: what the large file's pages went to a moment ago goes with it, and the last fsync
/// is not left with all of it, as nothing can stop that. Does its best: what counts is that fsync.
class DriveFlusher {
  public:
    explicit DriveFlusher(const fs::path& folder)
        : m_file(::open(folder.c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0600)) {}
    void flush() const {
        constexpr char byte = 0;
        if (m_file.is_open() && ::pwrite(m_file.get(), &byte, 1, 0) == 1) ::fsync(m_file.get());
    }

  private:
    Descriptor m_file;
};

/// The file system knows no such call: what it does know is all that can be asked.
bool lacks_call(int error_number) {
    return error_number == EINVAL || error_number == ESPIPE || error_number == ENOSYS || error_number == EOPNOTSUPP;
}

fs::path link_to(int descriptor) { return "/proc/self/fd/" + std::to_string(descriptor); }

}  // namespace

Descriptor::Descriptor(Descriptor&& other) noexcept : m_value(std::exchange(other.m_value, -1)) {}

Descriptor& Descriptor::operator=(Descriptor&& other) noexcept {
    std::swap(m_value, other.m_value);
    return *this;
}

Descriptor::~Descriptor() {
    if (m_value >= 0) ::close(m_value);
}

fs::path folder_of(const fs::path& file) {
    const fs::path folder = file.parent_path();
    return folder.empty() ? fs::path(".") : folder;
}

Descriptor opened_for_reading(const fs::path& file) {
    Descriptor descriptor(::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
    if (!descriptor.is_open()) throw UnreadableInput(file.string() + " cannot be read: " + system_text(errno) + ".");
    std::error_code status;
    if (fs::is_directory(file, status)) throw UnreadableInput(file.string() + " is a folder, not a file.");
    return descriptor;
}

std::int64_t free_bytes(const fs::path& folder) {
    struct statvfs status {};
    if (::statvfs(folder.c_str(), &status) != 0) throw write_failed(folder, errno);
    return static_cast<std::int64_t>(status.f_bavail) * static_cast<std::int64_t>(status.f_frsize);
}

Descriptor scratch_file(const fs::path& folder, std::int64_t bytes, const std::string& purpose) {
    if (free_bytes(folder) < bytes) {
        throw WriteFailed("There is not enough room in " + folder.string() + " for " + purpose + ": it needs " +
                          bytes_text(bytes) + ". Make room there, or choose another folder.");
    }
    Descriptor descriptor(::open(folder.c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0600));
    if (descriptor.is_open()) return descriptor;
    if (!lacks_unnamed_files(errno)) throw write_failed(folder, errno);
    std::string name = (folder / ".hangtrue-scratch-XXXXXX").string();
    Descriptor named(::mkostemp(name.data(), O_CLOEXEC));
    if (!named.is_open()) throw write_failed(folder, errno);
    ::unlink(name.c_str());
    return named;
}

void write_at(int descriptor, std::span<const std::byte> bytes, std::int64_t offset, const fs::path& name,
              Faults& faults) {
    if (const int error_number = faults.failing(Call::write)) throw write_failed(name, error_number);
    std::vector<std::byte> altered;
    if (faults.alters()) {
        altered.assign(bytes.begin(), bytes.end());
        faults.altering(altered, offset);
        bytes = altered;
    }
    while (!bytes.empty()) {
        const ssize_t put = ::pwrite(descriptor, bytes.data(), bytes.size(), offset);
        if (put < 0 && errno == EINTR) continue;
        if (put <= 0) throw write_failed(name, put < 0 ? errno : EIO);
        bytes = bytes.subspan(static_cast<std::size_t>(put));
        offset += put;
    }
}

void read_at(int descriptor, std::span<std::byte> bytes, std::int64_t offset, const fs::path& name) {
    while (!bytes.empty()) {
        const ssize_t got = ::pread(descriptor, bytes.data(), bytes.size(), offset);
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) throw UnreadableInput(name.string() + " cannot be read: " + system_text(errno) + ".");
        if (got == 0) throw UnreadableInput(name.string() + " ends too early: it was cut short. Copy it anew.");
        bytes = bytes.subspan(static_cast<std::size_t>(got));
        offset += got;
    }
}

std::string part_file_name(int writer, int number) {
    return part_start() + std::to_string(writer) + "-" + std::to_string(number) + std::string(part_ending);
}

OutputFile::OutputFile(fs::path final_name, Existing existing, Faults& faults)
    : m_final_name(std::move(final_name)), m_existing(existing), m_faults(faults) {
    const fs::path folder = folder_of(m_final_name);
    std::error_code status;
    if (!fs::is_directory(folder, status)) {
        throw WriteFailed("The folder " + folder.string() +
                          " does not exist. Make it first, or choose another folder.");
    }
    if (fs::is_directory(m_final_name, status)) {
        throw WriteFailed(m_final_name.string() + " is a folder; a file cannot take its name.");
    }
    if (m_existing == Existing::refuse && fs::exists(m_final_name, status)) throw name_taken(m_final_name);
    clear_left_parts(folder);
    m_descriptor = Descriptor(::open(folder.c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0644));
    if (!m_descriptor.is_open()) {
        if (!lacks_unnamed_files(errno)) throw write_failed(folder, errno);
        m_part_name = taken_part_name(folder, [&](const fs::path& name) {
            m_descriptor = Descriptor(::open(name.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0644));
            return m_descriptor.is_open();
        });
    }
    // Held until the descriptor closes, whatever name the file has: others keep off. Where locks do not work nobody
    // clears anything.
    (void)is_locked_for_us(m_descriptor.get());
    m_faults.reached(Step::temporary_made);
}

OutputFile::~OutputFile() {
    if (!m_part_name.empty()) ::unlink(m_part_name.c_str());
}

void OutputFile::write(std::span<const std::byte> bytes) {
    if (m_stream != nullptr) m_stream->add(bytes);
    write_at(bytes, m_size);
}

void OutputFile::write_at(std::span<const std::byte> bytes, std::int64_t offset) {
    base::write_at(m_descriptor.get(), bytes, offset, m_final_name, m_faults);
    m_size = std::max(m_size, offset + static_cast<std::int64_t>(bytes.size()));
}

void OutputFile::sync(Progress& progress) {
    int error_number = m_faults.failing(Call::sync);
    const DriveFlusher drive(folder_of(m_final_name));
    for (std::int64_t at = 0; error_number == 0 && at < m_size; at += sync_piece) {
        progress.check();
        // An error of the disk is told once for each descriptor, here or at the fsync, so it must be heard here too.
        if (::sync_file_range(m_descriptor.get(), at, sync_piece,
                              SYNC_FILE_RANGE_WAIT_BEFORE | SYNC_FILE_RANGE_WRITE | SYNC_FILE_RANGE_WAIT_AFTER) != 0 &&
            !lacks_call(errno)) {
            error_number = errno;
        }
        progress.check();
        if (at + sync_piece < m_size) drive.flush();
    }
    progress.check();
    if (error_number == 0 && ::fsync(m_descriptor.get()) != 0) error_number = errno;
    if (error_number != 0) throw write_failed(m_final_name, error_number);
    ::posix_fadvise(m_descriptor.get(), 0, 0, POSIX_FADV_DONTNEED);
    m_faults.reached(Step::synced);
}

void OutputFile::sync() {
    Progress nobody_cancels;
    sync(nobody_cancels);
}

/// Gives a file that has no name yet its own, or, where another file has that, a part file's.
void OutputFile::link_unnamed() {
    const std::string from = link_to(m_descriptor.get()).string();
    const auto link = [&](const fs::path& name) {
        return ::linkat(AT_FDCWD, from.c_str(), AT_FDCWD, name.c_str(), AT_SYMLINK_FOLLOW) == 0;
    };
    if (m_existing == Existing::replace) {
        // An unnamed file can be given a free name at once; a taken one only by way of a second name.
        m_part_name = taken_part_name(folder_of(m_final_name), link);
    } else if (!link(m_final_name)) {
        if (errno == EEXIST) throw name_taken(m_final_name);
        throw write_failed(m_final_name, errno);
    }
}

void OutputFile::name_it() {
    if (const int error_number = m_faults.failing(Call::rename)) throw write_failed(m_final_name, error_number);
    const bool replacing = m_existing == Existing::replace;
    if (m_part_name.empty()) link_unnamed();
    if (!m_part_name.empty()) {
        const unsigned flags = replacing ? 0 : RENAME_NOREPLACE;
        int result = ::renameat2(AT_FDCWD, m_part_name.c_str(), AT_FDCWD, m_final_name.c_str(), flags);
        if (result != 0 && errno == EINVAL && !replacing) {
            // No RENAME_NOREPLACE on this file system: a hard link refuses a taken name just as well.
            result = ::link(m_part_name.c_str(), m_final_name.c_str());
        }
        if (result != 0) {
            if (errno == EEXIST) throw name_taken(m_final_name);
            throw write_failed(m_final_name, errno);
        }
        ::unlink(m_part_name.c_str());
        m_part_name.clear();
    }
    m_is_named = true;
    sync_folder();
    m_faults.reached(Step::renamed);
}

void OutputFile::sync_folder() {
    int error_number = m_faults.failing(Call::sync_folder);
    const Descriptor folder(::open(folder_of(m_final_name).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    // A folder that may be written to but not read cannot be opened: then all of its file system is synced.
    if (error_number == 0 && (folder.is_open() ? ::fsync(folder.get()) : ::syncfs(m_descriptor.get())) != 0 &&
        !lacks_call(errno)) {
        error_number = errno;
    }
    if (error_number == 0) return;
    throw WriteFailed(
        m_final_name.string() + " is whole, but the drive has not confirmed that it keeps the file's name: " +
        system_text(error_number) + ". Check the drive, and see with `hangtrue verify` that the file is there.");
}

void write_whole_file(const fs::path& name, std::span<const std::byte> bytes, OutputFile::Existing existing,
                      Faults& faults) {
    OutputFile file(name, existing, faults);
    file.write(bytes);
    file.sync();
    file.name_it();
}

std::string read_whole_file(const fs::path& name, std::int64_t limit) {
    const Descriptor descriptor = opened_for_reading(name);
    struct stat status {};
    if (::fstat(descriptor.get(), &status) != 0) {
        throw UnreadableInput(name.string() + " cannot be read: " + system_text(errno) + ".");
    }
    if (status.st_size > limit) {
        throw UnreadableInput(name.string() + " is too large to be what it should be (" + bytes_text(status.st_size) +
                              ").");
    }
    std::string text(static_cast<std::size_t>(status.st_size), '\0');
    read_at(descriptor.get(), std::as_writable_bytes(std::span(text)), 0, name);
    return text;
}

}  // namespace hangtrue::base

// SPDX-License-Identifier: Apache-2.0
#include "engine/base/output_file.h"

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
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
        advice = " Make room there, or choose another folder with --to.";
    } else if (error_number == EIO || error_number == ENODEV || error_number == ENXIO) {
        advice = " Is the drive still connected? Nothing was left behind under that name.";
    }
    return WriteFailed(name.string() + " cannot be written: " + system_text(error_number) + "." + advice);
}

fs::path folder_of(const fs::path& name) {
    const fs::path folder = name.parent_path();
    return folder.empty() ? fs::path(".") : folder;
}

WriteFailed name_taken(const fs::path& name) {
    return WriteFailed(name.string() +
                       " exists already. Give --replace to put the new file in its place, or --to another folder.");
}

/// The process that writes ".NAME.PID.part", or 0.
pid_t writer_of(const std::string& file_name) {
    constexpr std::string_view ending = ".part";
    if (file_name.size() < 8 || file_name.front() != '.' || !file_name.ends_with(ending)) return 0;
    const std::string_view stem = std::string_view(file_name).substr(0, file_name.size() - ending.size());
    const auto dot = stem.rfind('.');
    pid_t pid = 0;
    const auto [end, status] = std::from_chars(stem.data() + dot + 1, stem.data() + stem.size(), pid);
    return status == std::errc{} && end == stem.data() + stem.size() ? pid : 0;
}

/// Part files whose writer is gone were left by a kill: nobody will finish them.
void clear_left_parts(const fs::path& folder) {
    std::error_code ignored;
    for (const auto& entry : fs::directory_iterator(folder, ignored)) {
        const pid_t pid = writer_of(entry.path().filename().string());
        if (pid > 0 && ::kill(pid, 0) != 0 && errno == ESRCH) fs::remove(entry.path(), ignored);
    }
}

bool lacks_unnamed_files(int error_number) {
    return error_number == EOPNOTSUPP || error_number == EISDIR || error_number == ENOENT ||
           error_number == EINVAL;
}

fs::path part_name_for(const fs::path& final_name) {
    return folder_of(final_name) /
           ("." + final_name.filename().string() + "." + std::to_string(::getpid()) + ".part");
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

std::int64_t free_bytes(const fs::path& folder) {
    struct statvfs status {};
    if (::statvfs(folder.c_str(), &status) != 0) throw write_failed(folder, errno);
    return static_cast<std::int64_t>(status.f_bavail) * static_cast<std::int64_t>(status.f_frsize);
}

Descriptor scratch_file(const fs::path& folder, std::int64_t bytes, const std::string& purpose) {
    if (free_bytes(folder) < bytes) {
        throw WriteFailed("There is not enough room in " + folder.string() + " for " + purpose + ": it needs " +
                          bytes_text(bytes) + ". Make room there, or choose another folder with --to.");
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

OutputFile::OutputFile(fs::path final_name, Existing existing, Faults& faults)
    : m_final_name(std::move(final_name)), m_existing(existing), m_faults(faults) {
    const fs::path folder = folder_of(m_final_name);
    std::error_code status;
    if (!fs::is_directory(folder, status)) {
        throw WriteFailed("The folder " + folder.string() + " does not exist. Make it first, or choose another with --to.");
    }
    if (fs::is_directory(m_final_name, status)) {
        throw WriteFailed(m_final_name.string() + " is a folder; a file cannot take its name.");
    }
    if (m_existing == Existing::refuse && fs::exists(m_final_name, status)) throw name_taken(m_final_name);
    clear_left_parts(folder);
    m_descriptor = Descriptor(::open(folder.c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0644));
    if (!m_descriptor.is_open()) {
        if (!lacks_unnamed_files(errno)) throw write_failed(folder, errno);
        m_part_name = part_name_for(m_final_name);
        m_descriptor = Descriptor(::open(m_part_name.c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0644));
        if (!m_descriptor.is_open()) throw write_failed(m_part_name, errno);
    }
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

void OutputFile::sync() {
    int error_number = m_faults.failing(Call::sync);
    if (error_number == 0 && ::fsync(m_descriptor.get()) != 0) error_number = errno;
    if (error_number != 0) throw write_failed(m_final_name, error_number);
    ::posix_fadvise(m_descriptor.get(), 0, 0, POSIX_FADV_DONTNEED);
    m_faults.reached(Step::synced);
}

void OutputFile::name_it() {
    if (const int error_number = m_faults.failing(Call::rename)) throw write_failed(m_final_name, error_number);
    const bool replacing = m_existing == Existing::replace;
    if (m_part_name.empty()) {
        // An unnamed file can be given a free name at once; a taken one only by way of a second name.
        const fs::path name = replacing ? part_name_for(m_final_name) : m_final_name;
        if (replacing) ::unlink(name.c_str());
        if (::linkat(AT_FDCWD, link_to(m_descriptor.get()).c_str(), AT_FDCWD, name.c_str(), AT_SYMLINK_FOLLOW) != 0) {
            if (errno == EEXIST) throw name_taken(m_final_name);
            throw write_failed(m_final_name, errno);
        }
        if (replacing) m_part_name = name;
    }
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
    const Descriptor folder(::open(folder_of(m_final_name).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (folder.is_open()) ::fsync(folder.get());
    m_faults.reached(Step::renamed);
}

void write_whole_file(const fs::path& name, std::span<const std::byte> bytes, OutputFile::Existing existing,
                      Faults& faults) {
    OutputFile file(name, existing, faults);
    file.write(bytes);
    file.sync();
    file.name_it();
}

std::string read_whole_file(const fs::path& name, std::int64_t limit) {
    const Descriptor descriptor(::open(name.c_str(), O_RDONLY | O_CLOEXEC));
    struct stat status {};
    if (!descriptor.is_open() || ::fstat(descriptor.get(), &status) != 0) {
        throw UnreadableInput(name.string() + " cannot be read: " + system_text(errno) + ".");
    }
    if (S_ISDIR(status.st_mode)) throw UnreadableInput(name.string() + " is a folder, not a file.");
    if (status.st_size > limit) {
        throw UnreadableInput(name.string() + " is too large to be what it should be (" +
                              bytes_text(status.st_size) + ").");
    }
    std::string text(static_cast<std::size_t>(status.st_size), '\0');
    read_at(descriptor.get(), std::as_writable_bytes(std::span(text)), 0, name);
    return text;
}

}  // namespace hangtrue::base

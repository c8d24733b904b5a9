// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/picture_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <utility>

#include "engine/base/units_text.h"

namespace hangtrue::raster {
namespace {

namespace fs = std::filesystem;
using base::UnreadableInput;

UnreadableInput not_opened(const fs::path& name, int error_number) {
    switch (error_number) {
        case ENOENT:
        case ENOTDIR: return UnreadableInput("There is no file " + name.string() + ". Check the name and the folder.");
        case EACCES:
        case EPERM:
            return UnreadableInput(name.string() +
                                   " may not be read by you: allow reading it in its properties, or copy it.");
        case ENXIO: return UnreadableInput(name.string() + " is no ordinary file, so it cannot be a picture.");
        default: return UnreadableInput(name.string() + " cannot be opened: " + base::system_text(error_number) + ".");
    }
}

base::Descriptor opened(const fs::path& name) {
    // O_NONBLOCK: opening a pipe that nobody writes to would wait for ever. It means nothing for files.
    constexpr int flags = O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY;
#ifdef O_NOATIME
    // Only the owner may ask for this; for others the mount decides about access times.
    base::Descriptor quiet(::open(name.c_str(), flags | O_NOATIME));
    if (quiet.is_open() || errno != EPERM) return quiet;
#endif
    return base::Descriptor(::open(name.c_str(), flags));
}

}  // namespace

PictureFile::PictureFile(fs::path name) : m_name(std::move(name)), m_descriptor(opened(m_name)) {
    if (!m_descriptor.is_open()) throw not_opened(m_name, errno);
    struct stat status {};
    if (::fstat(m_descriptor.get(), &status) != 0) throw not_opened(m_name, errno);
    if (S_ISDIR(status.st_mode)) {
        throw UnreadableInput(m_name.string() + " is a folder. Name the pictures in it.");
    }
    if (!S_ISREG(status.st_mode)) throw not_opened(m_name, ENXIO);
    if (status.st_size == 0) {
        throw UnreadableInput(m_name.string() + " is empty (0 bytes). Save or copy the picture again.");
    }
    m_size = status.st_size;
}

void PictureFile::read_at(std::span<std::byte> bytes, std::int64_t offset) const {
    base::read_at(m_descriptor.get(), bytes, offset, m_name);
}

std::ptrdiff_t PictureFile::read_some(std::span<std::byte> bytes, std::int64_t offset) const noexcept {
    std::size_t done = 0;
    while (done < bytes.size()) {
        const ssize_t got = ::pread(m_descriptor.get(), bytes.data() + done, bytes.size() - done,
                                    offset + static_cast<std::int64_t>(done));
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) return -1;
        if (got == 0) break;
        done += static_cast<std::size_t>(got);
    }
    return static_cast<std::ptrdiff_t>(done);
}

UnreadableInput damaged(const fs::path& name, const std::string& detail) {
    return UnreadableInput(name.string() + " is damaged or was cut short (" + detail +
                           "). Copy it anew, or save it again from your editor.");
}

UnreadableInput refused(const fs::path& name, const std::string& reason) {
    return UnreadableInput(name.string() + " cannot be used: " + reason);
}

void require_plausible_size(const PictureFile& file, std::int64_t width, std::int64_t height, double pixels_per_byte) {
    if (width < 1 || height < 1) throw damaged(file.name(), "it says that it has no pixels");
    const std::string claim = base::count_text(width) + " x " + base::count_text(height) + " pixels";
    if (width > longest_side || height > longest_side || width > most_pixels / height) {
        throw refused(file.name(), "it claims " + claim + ", and Hangtrue reads up to " +
                                       base::count_text(longest_side) + " pixels a side and " +
                                       base::count_text(most_pixels / 1'000'000) +
                                       " megapixels. If that is not its true size, the file is damaged.");
    }
    const double most = static_cast<double>(file.size()) * pixels_per_byte;
    if (pixels_per_byte > 0 && static_cast<double>(width) * static_cast<double>(height) > most) {
        throw damaged(file.name(),
                      "it claims " + claim + ", but " + base::bytes_text(file.size()) + " cannot hold them");
    }
}

}  // namespace hangtrue::raster

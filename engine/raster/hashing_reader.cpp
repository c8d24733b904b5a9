// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/hashing_reader.h"

#include <sys/stat.h>

#include <cerrno>
#include <utility>

#include "engine/base/output_file.h"

namespace hangtrue::raster {

HashingReader::HashingReader(int descriptor, std::filesystem::path name)
    : m_descriptor(descriptor), m_name(std::move(name)) {
    struct stat status {};
    if (::fstat(m_descriptor, &status) != 0) {
        throw base::UnreadableInput(m_name.string() + " cannot be read: " + base::system_text(errno) + ".");
    }
    m_size = status.st_size;
}

std::span<const std::byte> HashingReader::take(std::int64_t count) {
    if (count < 0 || count > left()) throw wrong("it ends too early");
    Buffer& buffer = m_buffers[m_next_buffer];
    m_next_buffer = (m_next_buffer + 1) % m_buffers.size();
    buffer.hashing.wait();
    const auto length = static_cast<std::size_t>(count);
    if (buffer.bytes.size() < length) buffer.bytes.resize(length);
    const std::span<std::byte> bytes = std::span(buffer.bytes).first(length);
    base::read_at(m_descriptor, bytes, m_position, m_name);
    m_position += count;
    m_hasher.submit(buffer.hashing, [this, bytes](int) { m_hash.add(bytes); });
    return bytes;
}

base::Sha256 HashingReader::finish() {
    if (left() != 0) {
        throw wrong(std::to_string(left()) + " bytes stand behind its end");
    }
    for (Buffer& buffer : m_buffers) buffer.hashing.wait();
    return m_hash.finish();
}

base::UnreadableInput HashingReader::wrong(const std::string& what) const {
    return base::UnreadableInput(m_name.string() + " does not read back as a print file: " + what +
                                 ". It was damaged on its way to the disk or changed since; make it again.");
}

}  // namespace hangtrue::raster

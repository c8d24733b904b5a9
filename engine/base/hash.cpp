// SPDX-License-Identifier: Apache-2.0
#include "engine/base/hash.h"

#include <fcntl.h>
#include <openssl/evp.h>
#include <unistd.h>
#include <xxhash.h>

#include <cerrno>
#include <new>
#include <vector>

#include "engine/base/error.h"

namespace hangtrue::base {

struct Sha256Stream::State {
    EVP_MD_CTX* context = EVP_MD_CTX_new();
    ~State() { EVP_MD_CTX_free(context); }
};

Sha256Stream::Sha256Stream() : m_state(std::make_unique<State>()) {
    if (m_state->context == nullptr || EVP_DigestInit_ex(m_state->context, EVP_sha256(), nullptr) != 1) {
        throw std::bad_alloc();
    }
}

Sha256Stream::~Sha256Stream() = default;

void Sha256Stream::add(std::span<const std::byte> bytes) {
    EVP_DigestUpdate(m_state->context, bytes.data(), bytes.size());
}

Sha256 Sha256Stream::finish() {
    Sha256 result;
    EVP_DigestFinal_ex(m_state->context, result.bytes.data(), nullptr);
    return result;
}

Sha256 sha256(std::span<const std::byte> bytes) {
    Sha256Stream stream;
    stream.add(bytes);
    return stream.finish();
}

Sha256 sha256(std::string_view text) { return sha256(std::as_bytes(std::span(text))); }

Sha256 sha256_of_file(const std::filesystem::path& file, Progress& progress) {
    const int descriptor = ::open(file.c_str(), O_RDONLY | O_CLOEXEC);
    const auto unreadable = [&](int error_number) {
        return UnreadableInput(file.string() + " cannot be read: " + system_text(error_number) + ".");
    };
    if (descriptor < 0) throw unreadable(errno);
    struct Closer {
        int descriptor;
        ~Closer() { ::close(descriptor); }
    } closer{descriptor};
    Sha256Stream stream;
    std::vector<std::byte> buffer(1 << 20);
    for (;;) {
        progress.check();
        const ssize_t got = ::read(descriptor, buffer.data(), buffer.size());
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) throw unreadable(errno);
        if (got == 0) return stream.finish();
        stream.add(std::span(buffer).first(static_cast<std::size_t>(got)));
    }
}

std::string Sha256::hex() const {
    constexpr std::string_view digits = "0123456789abcdef";
    std::string text;
    text.reserve(2 * bytes.size());
    for (const std::uint8_t byte : bytes) {
        text += digits[byte >> 4];
        text += digits[byte & 15];
    }
    return text;
}

std::optional<Sha256> Sha256::from_hex(std::string_view text) {
    const auto nibble = [](char c) {
        if (c >= '0' && c <= '9') return c - '0';
        if (c >= 'a' && c <= 'f') return c - 'a' + 10;
        return -1;
    };
    Sha256 result;
    if (text.size() != 2 * result.bytes.size()) return std::nullopt;
    for (std::size_t i = 0; i < result.bytes.size(); ++i) {
        const int high = nibble(text[2 * i]);
        const int low = nibble(text[2 * i + 1]);
        if (high < 0 || low < 0) return std::nullopt;
        result.bytes[i] = static_cast<std::uint8_t>(high << 4 | low);
    }
    return result;
}

Digest digest(std::span<const std::byte> bytes) {
    const XXH128_hash_t hash = XXH3_128bits(bytes.data(), bytes.size());
    return {hash.low64, hash.high64};
}

}  // namespace hangtrue::base

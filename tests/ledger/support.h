// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Rows and folders for the ledger's tests.

#include <stdlib.h>
#include <unistd.h>

#include <filesystem>
#include <string>

#include "engine/ledger/ledger.h"

namespace hangtrue::ledger {

inline base::Sha256 hash_of(const std::string& text) { return base::sha256(text); }

/// A row with a value of its own in every field; `number` makes it different from others.
inline Row some_row(int number = 1) {
    Row row;
    row.made_at = "2026-03-14T09:26:53Z";
    row.picture_path = "/pictures/Ridge at dawn " + std::to_string(number) + ".tif";
    row.picture_content = hash_of("picture" + std::to_string(number));
    row.file_path = "/prints/ridge-" + std::to_string(number) + ".tif";
    row.bytes = 583'200'412 + number;
    row.file_hash = hash_of("file" + std::to_string(number));
    row.samples = {0x0123456789abcdefULL + static_cast<unsigned>(number), 0xfedcba9876543210ULL};
    row.fingerprint = {0, 1, 255, 256, 32768, 65535, static_cast<std::uint16_t>(number)};
    row.plan_text = "format = 1\n# plan " + std::to_string(number) + "\n";
    row.program_version = "0.1.0";
    row.shop = "Quillfen Prints";
    row.medium = "Brushed metal";
    row.size_name = "36x24in";
    row.picture_name = "Ridge at dawn";
    row.quantity = 3;
    row.jpeg_quality = 97;
    return row;
}

/// A folder of a test's own, in memory where the system has such a place: for tests that write hundreds of ledgers,
/// where each commit would wait for the disk.
class MemoryFolder {
  public:
    MemoryFolder() {
        const std::filesystem::path memory = "/dev/shm";
        const bool has_memory = ::access(memory.c_str(), W_OK) == 0;
        std::string name =
            ((has_memory ? memory : std::filesystem::temp_directory_path()) / "hangtrue-test-XXXXXX").string();
        if (::mkdtemp(name.data()) == nullptr) throw std::filesystem::filesystem_error("mkdtemp", name, {});
        m_path = name;
    }
    ~MemoryFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(m_path, ignored);
    }
    MemoryFolder(const MemoryFolder&) = delete;
    MemoryFolder& operator=(const MemoryFolder&) = delete;
    const std::filesystem::path& path() const { return m_path; }

  private:
    std::filesystem::path m_path;
};

}  // namespace hangtrue::ledger

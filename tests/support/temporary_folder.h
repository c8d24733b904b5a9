// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A folder of a test's own, gone with the test.

#include <filesystem>

namespace hangtrue::support {

class TemporaryFolder {
  public:
    TemporaryFolder();
    ~TemporaryFolder();
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;
    const std::filesystem::path& path() const { return m_path; }

  private:
    std::filesystem::path m_path;
};

}  // namespace hangtrue::support

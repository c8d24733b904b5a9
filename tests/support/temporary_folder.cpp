// SPDX-License-Identifier: Apache-2.0
#include "tests/support/temporary_folder.h"

#include <stdlib.h>

#include <string>
#include <system_error>

namespace hangtrue::support {

TemporaryFolder::TemporaryFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "hangtrue-test-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) throw std::filesystem::filesystem_error("mkdtemp", name, {});
    m_path = name;
}

TemporaryFolder::~TemporaryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(m_path, ignored);
}

}  // namespace hangtrue::support

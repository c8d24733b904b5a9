// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Shop files in the data folder: beginning one, and holding them against the rules.

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include "engine/jobs/context.h"

namespace hangtrue::jobs {

/// Where the data folder keeps its shop files.
std::filesystem::path shops_folder(const Context& context);

/// Writes the file to be filled in for a shop called `name`, and says where it is: "Quillfen Prints" is kept as
/// quillfen-prints.toml, whose stem is the shop's ID. Throws InvalidWish for a name without a letter or digit,
/// WriteFailed also when there is such a file already: a shop's file is never written over.
std::filesystem::path begun_shop_file(const std::string& name, Context& context);

/// Copies the shop files of `from` into the data folder, each where there is none of that name: a shop's file is never
/// written over. Throws UnreadableInput, WriteFailed.
void add_demo_shops(const std::filesystem::path& from, Context& context);

struct CheckedShopFile {
    std::filesystem::path file;
    Ending ending = Ending::done;
    std::string sentence;  ///< What is wrong, with line and column; empty when in order.
    std::size_t media = 0;
    std::size_t open_questions = 0;
};

/// `names`: shops' IDs, or files (with a slash or ".toml"). None: all shop files of the data folder.
std::vector<CheckedShopFile> checked_shop_files(const std::vector<std::string>& names, const Context& context);

}  // namespace hangtrue::jobs

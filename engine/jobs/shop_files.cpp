// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/shop_files.h"

#include <algorithm>
#include <span>
#include <system_error>

#include "engine/base/output_file.h"
#include "engine/shops/questions.h"
#include "engine/shops/shop_file.h"
#include "engine/shops/shop_folder.h"
#include "engine/text/letters.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t largest_shop_file = 4LL * 1024 * 1024;

std::vector<fs::path> files_meant(const std::vector<std::string>& names, const fs::path& folder) {
    std::vector<fs::path> files;
    for (const std::string& name : names) {
        const bool is_file = name.find('/') != std::string::npos || name.ends_with(".toml");
        files.push_back(is_file ? fs::path(name) : folder / (name + ".toml"));
    }
    if (!names.empty()) return files;
    std::error_code error;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder, error)) {
        if (shops::is_shop_file(entry.path())) files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    return files;
}

}  // namespace

fs::path shops_folder(const Context& context) { return context.data_folder / "shops"; }

fs::path begun_shop_file(const std::string& name, Context& context) {
    const std::string id = text::id_of(name);
    if (id.empty()) {
        throw base::InvalidWish(
            "A shop's name needs at least one letter or digit from A to Z and 0 to 9 for its file's name; \"" + name +
            "\" has none.");
    }
    const fs::path folder = shops_folder(context);
    const fs::path file = folder / (id + ".toml");
    std::error_code error;
    fs::create_directories(folder, error);
    if (error) {
        throw base::WriteFailed("The folder " + folder.string() + " for shops cannot be made: " + error.message() +
                                ".");
    }
    if (fs::exists(file, error)) {
        throw base::WriteFailed("There is a shop file " + file.string() +
                                " already. Fill that one in, or give the new shop another name.");
    }
    const std::string text = shops::new_shop_text(name);
    base::write_whole_file(file, std::as_bytes(std::span(text)), base::OutputFile::Existing::refuse, context.faults);
    return file;
}

void add_demo_shops(const fs::path& from, Context& context) {
    const fs::path folder = shops_folder(context);
    fs::create_directories(folder);
    std::error_code missing;
    for (const fs::path& file : files_meant({}, from)) {
        const fs::path to = folder / file.filename();
        if (fs::exists(to, missing)) continue;
        const std::string text = base::read_whole_file(file, largest_shop_file);
        base::write_whole_file(to, std::as_bytes(std::span(text)), base::OutputFile::Existing::refuse, context.faults);
    }
}

std::vector<CheckedShopFile> checked_shop_files(const std::vector<std::string>& names, const Context& context) {
    std::vector<CheckedShopFile> files;
    for (const fs::path& file : files_meant(names, shops_folder(context))) {
        CheckedShopFile& checked = files.emplace_back();
        checked.file = file;
        const Ended end = ended([&] {
            const shops::Shop shop = shops::shop_from_file(file);
            checked.media = shop.media.size();
            checked.open_questions = shops::open_questions(shop).size();
        });
        checked.ending = end.ending;
        checked.sentence = end.sentence;
    }
    return files;
}

}  // namespace hangtrue::jobs

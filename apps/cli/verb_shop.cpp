// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cctype>
#include <filesystem>
#include <span>
#include <system_error>

#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/shops/questions.h"
#include "engine/shops/shop_file.h"

namespace hangtrue::cli {

namespace {

namespace fs = std::filesystem;

std::string count_of(std::size_t count, const std::string& one, const std::string& many) {
    return std::to_string(count) + " " + (count == 1 ? one : many);
}

/// "Quillfen Prints" is kept as quillfen-prints.toml: the stem is the shop's ID.
std::string id_of_name(const std::string& name) {
    std::string id;
    for (const char letter : name) {
        const auto byte = static_cast<unsigned char>(letter);
        const bool is_plain = byte < 0x80 && std::isalnum(byte) != 0;
        if (is_plain) id += static_cast<char>(std::tolower(byte));
        else if (!id.empty() && id.back() != '-') id += '-';
    }
    while (!id.empty() && id.back() == '-') id.pop_back();
    if (id.empty()) {
        throw base::InvalidWish("A shop's name needs at least one letter or digit from A to Z and 0 to 9 for its "
                                "file's name; \"" + name + "\" has none.");
    }
    return id;
}

/// The files that `shop check` was asked for: a name with a slash or ".toml" is a file, any other a shop's ID.
std::vector<fs::path> files_to_check(const std::vector<std::string>& names, const fs::path& shops_folder) {
    std::vector<fs::path> files;
    for (const std::string& name : names) {
        const bool is_file = name.find('/') != std::string::npos || name.ends_with(".toml");
        files.push_back(is_file ? fs::path(name) : shops_folder / (name + ".toml"));
    }
    if (!names.empty()) return files;
    std::error_code error;
    for (const fs::directory_entry& entry : fs::directory_iterator(shops_folder, error)) {
        if (entry.path().extension() == ".toml") files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    return files;
}

}  // namespace

Reply shop_list(const Arguments&, jobs::Context& context) {
    Reply reply;
    reply.json["shops"] = Json::array();
    for (const shops::Shop& shop : jobs::known_shops(context)) {
        const std::size_t questions = shops::open_questions(shop).size();
        Json json;
        json["id"] = shop.id;
        json["name"] = shop.name;
        json["media"] = Json::array();
        std::vector<std::vector<std::string>> rows;
        for (const shops::Medium& medium : shop.media) {
            json["media"].push_back({{"id", medium.id}, {"name", medium.name}});
            rows.push_back({medium.id, medium.name,
                            medium.free_sizes ? "cut to order" : count_of(medium.sizes.size(), "size", "sizes")});
        }
        json["open_questions"] = questions;
        reply.json["shops"].push_back(json);
        reply.text += shop.id + ": " + shop.name + ", " + count_of(questions, "open question", "open questions") +
                      "\n" + table_text(rows, 2);
    }
    if (reply.text.empty()) {
        reply.text = "No shop is known yet in " + (context.data_folder / "shops").string() +
                     ". `hangtrue shop new NAME` begins one.\n";
    }
    return reply;
}

Reply shop_new(const Arguments& arguments, jobs::Context& context) {
    const std::string& name = arguments.positionals().front();
    const fs::path folder = context.data_folder / "shops";
    const fs::path file = folder / (id_of_name(name) + ".toml");
    std::error_code error;
    fs::create_directories(folder, error);
    if (error) {
        throw base::WriteFailed("The folder " + folder.string() + " for shops cannot be made: " + error.message() + ".");
    }
    const std::string text = shops::new_shop_text(name);
    base::write_whole_file(file, std::as_bytes(std::span(text)), base::OutputFile::Existing::refuse, context.faults);
    Reply reply;
    reply.json["file"] = file.string();
    reply.text = file.string() + " is begun. Fill in what " + name +
                 " says about its media; what you leave out, `hangtrue shop questions` asks for.\n";
    return reply;
}

Reply shop_check(const Arguments& arguments, jobs::Context& context) {
    const fs::path folder = context.data_folder / "shops";
    Reply reply;
    std::vector<ExitStatus> statuses;
    reply.json["files"] = Json::array();
    for (const fs::path& file : files_to_check(arguments.positionals(), folder)) {
        std::size_t questions = 0;
        const jobs::Ended ended =
            jobs::ended([&] { questions = shops::open_questions(shops::shop_from_file(file)).size(); });
        const ExitStatus status = status_of(ended.ending);
        statuses.push_back(status);
        Json json;
        json["file"] = file.string();
        set_ending(json, status, ended.sentence);
        json["open_questions"] = status == ExitStatus::done ? Json(questions) : Json(nullptr);
        reply.json["files"].push_back(json);
        if (status != ExitStatus::done) reply.errors.push_back(ended.sentence);
        else reply.text += file.string() + " is in order; " + count_of(questions, "question is", "questions are") +
                           " still open.\n";
    }
    if (statuses.empty()) reply.text = "There are no shop files in " + folder.string() + ".\n";
    reply.status = combined(statuses);
    return reply;
}

Reply shop_questions(const Arguments& arguments, jobs::Context& context) {
    const auto all = jobs::known_shops(context);
    const shops::Shop& shop = shops::shop_named(all, arguments.positionals().front());
    const auto questions = shops::open_questions(shop);
    Reply reply;
    reply.json["questions"] = Json::array();
    for (const shops::Question& question : questions) {
        reply.json["questions"].push_back(
            {{"medium", question.medium}, {"key", question.key}, {"text", question.text}});
    }
    const std::string letter = questions.empty() ? "" : shops::letter(shop);
    reply.json["letter"] = letter;
    reply.text = questions.empty() ? shop.name + " has told everything.\n" : letter;
    if (!reply.text.ends_with("\n")) reply.text += "\n";
    return reply;
}

}  // namespace hangtrue::cli

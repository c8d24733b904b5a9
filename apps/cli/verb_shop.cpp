// SPDX-License-Identifier: Apache-2.0
#include <filesystem>

#include "apps/cli/broken_shops.h"
#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "engine/jobs/shop_files.h"
#include "engine/shops/questions.h"
#include "engine/shops/shop_folder.h"

namespace hangtrue::cli {

namespace {

std::string count_of(std::size_t count, const std::string& one, const std::string& many) {
    return std::to_string(count) + " " + (count == 1 ? one : many);
}

}  // namespace

Reply shop_list(const Arguments&, jobs::Context& context) {
    Reply reply;
    reply.json["shops"] = Json::array();
    for (const shops::Shop& shop : jobs::known_shops(context).shops) {
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
        if (rows.empty()) rows.push_back({"no medium yet"});
        json["open_questions"] = questions;
        reply.json["shops"].push_back(json);
        reply.text += shop.id + ": " + shop.name + ", " + count_of(questions, "open question", "open questions") +
                      "\n" + table_text(rows, 2);
    }
    if (reply.text.empty()) {
        reply.text = "No shop is known yet in " + jobs::shops_folder(context).string() +
                     ". `hangtrue shop new NAME` begins one.\n";
    }
    add_broken_shops(reply, context);
    return reply;
}

Reply shop_new(const Arguments& arguments, jobs::Context& context) {
    const std::string& name = arguments.positionals().front();
    const std::filesystem::path file = jobs::begun_shop_file(name, context);
    Reply reply;
    reply.json["file"] = file.string();
    reply.text = file.string() + " is begun. Fill in what " + name +
                 " says about its media; what you leave out, `hangtrue shop questions " + file.stem().string() +
                 "` asks for.\n";
    return reply;
}

Reply shop_check(const Arguments& arguments, jobs::Context& context) {
    Reply reply;
    std::vector<ExitStatus> statuses;
    reply.json["files"] = Json::array();
    for (const jobs::CheckedShopFile& checked : jobs::checked_shop_files(arguments.positionals(), context)) {
        const ExitStatus status = status_of(checked.ending);
        statuses.push_back(status);
        Json json;
        json["file"] = checked.file.string();
        set_ending(json, status, checked.sentence);
        json["open_questions"] = status == ExitStatus::done ? Json(checked.open_questions) : Json(nullptr);
        reply.json["files"].push_back(json);
        if (status != ExitStatus::done) {
            reply.errors.push_back(checked.sentence);
            continue;
        }
        reply.text += checked.file.string() + " is in order; " +
                      (checked.media == 0 ? "it has no medium yet, and " : "") +
                      count_of(checked.open_questions, "question is", "questions are") + " still open.\n";
    }
    if (statuses.empty()) reply.text = "There are no shop files in " + jobs::shops_folder(context).string() + ".\n";
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

// SPDX-License-Identifier: Apache-2.0
#include <charconv>

#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/jobs/plan_files.h"
#include "engine/jobs/verify.h"

namespace hangtrue::cli {

namespace {

std::int64_t id_of(const std::string& text) {
    std::int64_t id = 0;
    const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), id);
    if (error != std::errc() || stop != text.data() + text.size() || id <= 0) {
        throw base::InvalidWish("A record's ID is a whole number from 1, as `hangtrue ledger list` shows it; not \"" +
                                text + "\".");
    }
    return id;
}

Json json_of(const ledger::Row& row) {
    Json json;
    json["id"] = row.id;
    json["made_at"] = row.made_at;
    json["picture"] = row.picture_path;
    json["shop"] = row.shop;
    json["medium"] = row.medium;
    json["size"] = row.size_name;
    json["quantity"] = row.quantity;
    json["file"] = row.file_path;
    return json;
}

std::string name_of(jobs::Sameness sameness) {
    switch (sameness) {
        case jobs::Sameness::same_file: return "same-file";
        case jobs::Sameness::same_pixels: return "same-pixels";
        case jobs::Sameness::same_print: return "same-print";
        case jobs::Sameness::not_same: return "not-same";
    }
    return "not-same";
}

}  // namespace

Reply ledger_list(const Arguments& arguments, jobs::Context& context) {
    const std::string search = arguments.positionals().empty() ? "" : arguments.positionals().front();
    const int most = static_cast<int>(arguments.number("most").value_or(50));
    const auto records = jobs::ledger_rows(search, most, context);
    Reply reply;
    reply.json["records"] = Json::array();
    std::vector<std::vector<std::string>> rows{{"ID", "made", "picture", "shop", "medium", "size", "prints", "file"}};
    for (const ledger::Row& row : records) {
        reply.json["records"].push_back(json_of(row));
        rows.push_back({std::to_string(row.id), row.made_at.substr(0, 10), row.picture_name, row.shop, row.medium,
                        row.size_name, std::to_string(row.quantity), row.file_path});
    }
    if (!records.empty())
        reply.text = table_text(rows, 0);
    else if (search.empty())
        reply.text = "Nothing was made yet.\n";
    else
        reply.text = "No record holds \"" + search + "\".\n";
    return reply;
}

Reply ledger_show(const Arguments& arguments, jobs::Context& context) {
    const ledger::Row row = jobs::ledger_row(id_of(arguments.positionals().front()), context);
    const plan::Plan plan = jobs::plan_of_record(row);
    Reply reply;
    reply.json = json_of(row);
    reply.json["picture_sha256"] = row.picture_content.hex();
    reply.json["sha256"] = row.file_hash.hex();
    reply.json["bytes"] = row.bytes;
    reply.json["program_version"] = row.program_version;
    reply.json["plan"] = cli::json_of(plan);
    reply.text = "Record " + std::to_string(row.id) + ", made " + row.made_at + " by hangtrue " + row.program_version +
                 ": " + row.picture_name + " on " + plan.medium_name + " from " + plan.shop_name + ", " +
                 base::size_text(plan.geometry.finished, context.units) + ".\n" +
                 table_text({{"picture", row.picture_path},
                             {"file", row.file_path},
                             {"", pixels_text(plan.geometry.file) + ", " + base::bytes_text(row.bytes)},
                             {"SHA-256", row.file_hash.hex()}},
                            2) +
                 "\nThe plan:\n\n" + row.plan_text;
    return reply;
}

Reply ledger_again(const Arguments& arguments, jobs::Context& context) {
    jobs::AgainRequest request;
    request.id = id_of(arguments.positionals().front());
    request.to = arguments.text("to").value_or(".");
    if (const auto picture = arguments.text("picture")) request.picture = *picture;
    request.replace = arguments.has("replace");
    request.anyway = arguments.has("anyway");
    const jobs::Again again = jobs::again(request, context);

    Reply reply;
    const bool is_same = again.sameness != jobs::Sameness::not_same;
    reply.status = is_same ? ExitStatus::done : ExitStatus::refused;
    reply.json["sentence"] = again.sentence;
    reply.json["sameness"] = name_of(again.sameness);
    reply.json["file"] = again.file.empty() ? Json(nullptr) : Json(again.file.string());
    reply.json["largest_block_difference_de00"] = again.largest_block_difference;
    reply.json["likeness"] = cli::json_of(again.likeness);
    reply.json["ledger_id"] = again.ledger_id == 0 ? Json(nullptr) : Json(again.ledger_id);
    reply.json["picture"] = again.picture.string();
    reply.json["seconds"] = cli::json_of(again.seconds);
    if (is_same)
        reply.text = again.sentence + "\n";
    else
        reply.errors.push_back(again.sentence + (again.file.empty() ? " Give --anyway to keep it all the same." : ""));
    if (!again.file.empty()) reply.text += "It is " + again.file.string() + ".\n";
    return reply;
}

}  // namespace hangtrue::cli

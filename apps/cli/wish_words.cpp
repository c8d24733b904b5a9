// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/wish_words.h"

#include "engine/base/error.h"
#include "engine/jobs/make.h"
#include "engine/jobs/plan_files.h"

namespace hangtrue::cli {

std::vector<SizedWish> wishes_of(const Arguments& arguments) {
    for (const char* name : {"shop", "medium", "size"}) {
        if (arguments.has(name)) continue;
        throw base::InvalidWish("`" + std::string(arguments.verb()->name) + "` needs --shop, --medium and --size: --" +
                                name + " is missing.");
    }
    plan::Wish common;
    for (const OptionInfo& option : options()) {
        if (option.group != Group::wish || option.name == "size") continue;
        if (const auto value = arguments.text(option.name)) {
            jobs::set_wish_word(common, std::string(option.name), *value);
        }
    }
    if (arguments.has("screen-brightness") && !arguments.has("light")) {
        throw base::InvalidWish(
            "--screen-brightness says which screen --light is held against: give both, or neither.");
    }
    std::vector<SizedWish> wishes;
    for (const std::string& size : arguments.all("size")) {
        wishes.push_back({common, size});
        jobs::set_wish_word(wishes.back().wish, "size", size);
    }
    return wishes;
}

std::optional<plan::Plan> plan_of(const Arguments& arguments) {
    const auto file = arguments.text("plan");
    if (!file) return std::nullopt;
    if (const auto option = first_wish_option(arguments)) {
        throw base::InvalidWish("A plan has everything settled, so --plan and " + *option + " do not go together.");
    }
    return jobs::plan_from_file(*file);
}

std::optional<std::string> first_wish_option(const Arguments& arguments) {
    for (const OptionInfo& option : options()) {
        if (option.group == Group::wish && arguments.has(option.name)) return "--" + std::string(option.name);
    }
    return std::nullopt;
}

}  // namespace hangtrue::cli

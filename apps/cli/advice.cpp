// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/advice.h"

#include <algorithm>
#include <array>

namespace hangtrue::cli {

namespace {

struct Advice {
    std::string_view words;   ///< As the engine's sentences have them.
    std::string_view option;  ///< Without dashes.
};
constexpr std::array<Advice, 4> table{{
    {"Have it replaced", "replace"},
    {"choose another folder", "to"},
    {"pass this check", "anyway"},
    {"in which folder to look", "picture"},
}};

bool takes(const VerbInfo& verb, std::string_view name) {
    const auto all = options();
    return std::any_of(all.begin(), all.end(),
                       [&](const OptionInfo& option) { return option.name == name && option.verbs.has(verb.verb); });
}

void add_options(Json& value, const VerbInfo& verb) {
    if (value.is_object()) {
        for (auto& [key, inner] : value.items()) {
            if (inner.is_string() && (key == "sentence" || key == "way_out")) {
                inner = with_options(inner.get<std::string>(), verb);
            } else {
                add_options(inner, verb);
            }
        }
    } else if (value.is_array()) {
        for (Json& inner : value) add_options(inner, verb);
    }
}

}  // namespace

std::string with_options(std::string sentence, const VerbInfo& verb) {
    for (const Advice& advice : table) {
        const auto at = sentence.find(advice.words);
        if (at == std::string::npos || !takes(verb, advice.option)) continue;
        sentence.insert(at + advice.words.size(), " (--" + std::string(advice.option) + ")");
    }
    return sentence;
}

void add_options(Reply& reply, const VerbInfo& verb) {
    for (std::string& error : reply.errors) error = with_options(error, verb);
    add_options(reply.json, verb);
}

}  // namespace hangtrue::cli

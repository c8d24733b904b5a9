// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/arguments.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cassert>
#include <charconv>
#include <cmath>
#include <sstream>

#include "engine/base/error.h"
#include "engine/base/nearest.h"

namespace hangtrue::cli {

namespace {

using base::InvalidWish;

/// An option may mean one thing with one verb and another with another. Without a verb: any of that name.
const OptionInfo* option_named(std::string_view name, const VerbInfo* verb = nullptr) {
    for (const OptionInfo& option : options()) {
        if (option.name == name && (verb == nullptr || option.verbs.has(verb->verb))) return &option;
    }
    return nullptr;
}

std::string did_you_mean(std::string_view word, const std::vector<std::string>& known) {
    const auto nearest = base::nearest_word(word, known);
    return nearest ? " Did you mean " + *nearest + "?" : "";
}

std::string help_hint(const VerbInfo* verb) {
    return verb == nullptr ? " See `hangtrue --help`." : " See `hangtrue " + std::string(verb->name) + " --help`.";
}

std::vector<std::string> dashed_options_of(const VerbInfo* verb) {
    std::vector<std::string> names;
    for (const OptionInfo& option : options()) {
        const bool taken = verb == nullptr ? option.group == Group::everywhere : option.verbs.has(verb->verb);
        if (taken) names.push_back("--" + std::string(option.name));
    }
    return names;
}

[[noreturn]] void refuse_option(const std::string& word, const VerbInfo* verb) {
    const std::string name = word.substr(0, word.find('='));
    const bool is_of_another_verb = name.starts_with("--") && option_named(name.substr(2)) != nullptr;
    if (verb == nullptr && is_of_another_verb) {
        throw InvalidWish("Say first what to do, then " + name + "." + help_hint(verb));
    }
    if (verb != nullptr && is_of_another_verb) {
        throw InvalidWish("`" + std::string(verb->name) + "` takes no " + name + "." + help_hint(verb));
    }
    throw InvalidWish("There is no option " + name + "." + did_you_mean(name, dashed_options_of(verb)) +
                      help_hint(verb));
}

/// With extras allowed and no conversions, two things are left to go wrong: a value given to a flag, and a
/// value missing at the end.
[[noreturn]] void refuse_what_cli11_refused(const std::vector<std::string>& words, const VerbInfo* verb) {
    for (const OptionInfo& option : options()) {
        if (verb != nullptr && !option.verbs.has(verb->verb)) continue;
        const std::string name = "--" + std::string(option.name);
        if (option.kind == Kind::flag) {
            const auto has_value = [&](const std::string& word) { return word.starts_with(name + "="); };
            if (std::any_of(words.begin(), words.end(), has_value)) throw InvalidWish(name + " takes no value.");
        } else if (words.back() == name || words.back() == name + "=") {
            throw InvalidWish(name + " needs a value: " + name + " " + std::string(option.argument) + ".");
        }
    }
    throw InvalidWish("These options do not read as any that are known." + help_hint(nullptr));
}

/// Nothing where the whole text is not one number; the same in every locale.
std::optional<double> number_of(const std::string& text) {
    double value = 0;
    const char* end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, value);
    if (error != std::errc() || stop != end || !std::isfinite(value)) return std::nullopt;
    return value;
}

void hold_value(const OptionInfo& option, const std::string& value) {
    const std::string name = "--" + std::string(option.name);
    if (option.kind == Kind::choice) {
        std::vector<std::string> words;
        std::istringstream all{std::string(option.argument)};
        for (std::string word; std::getline(all, word, '|');) words.push_back(word);
        if (std::find(words.begin(), words.end(), value) == words.end()) {
            throw InvalidWish(name + " takes " + std::string(option.argument) + ", not \"" + value + "\".");
        }
    } else if (option.kind == Kind::whole || option.kind == Kind::real) {
        const auto number = number_of(value);
        const bool fits = number && *number >= option.least && *number <= option.most &&
                          (option.kind == Kind::real || *number == std::floor(*number));
        if (!fits) {
            const std::string what = option.kind == Kind::whole ? " takes a whole number, " : " takes a number, ";
            throw InvalidWish(name + what + range_text(option) + ", not \"" + value + "\".");
        }
    }
}

}  // namespace

Arguments::Arguments(std::span<const std::string> words) {
    std::vector<std::string> rest;
    parse({words.begin(), words.end()}, /*stop_at_first_name=*/true, rest);
    if (!rest.empty()) {
        take_verb(rest);
        std::vector<std::string> unknown;
        parse(rest, /*stop_at_first_name=*/false, unknown);
        if (!unknown.empty()) refuse_option(unknown.front(), m_verb);
    }
    if (has("help") || has("version")) return;
    if (m_verb == nullptr) throw InvalidWish("Say what to do." + help_hint(nullptr));
    hold_against_table();
}

void Arguments::take_verb(std::vector<std::string>& words) {
    if (words.front().starts_with("-")) refuse_option(words.front(), nullptr);
    const std::string& first = words.front();
    std::vector<std::string> known;
    bool is_family = false;  // "shop", "ledger": the verb is the next word too
    for (const VerbInfo& verb : verbs()) {
        if (verb.name == first) {
            m_verb = &verb;
            words.erase(words.begin());
            return;
        }
        if (verb.name.starts_with(first + " ")) {
            if (!is_family) known.clear();
            is_family = true;
            const std::string second(verb.name.substr(first.size() + 1));
            if (words.size() > 1 && words[1] == second) {
                m_verb = &verb;
                words.erase(words.begin(), words.begin() + 2);
                return;
            }
            known.push_back(second);
        } else if (!is_family) {
            known.emplace_back(verb.name.substr(0, verb.name.find(' ')));
        }
    }
    // `hangtrue shop --help` is a question, not a mistake.
    if (is_family && words.size() > 1 && words[1] == "--help") {
        m_values["help"].emplace_back();
        words.clear();
        return;
    }
    if (!is_family) {
        throw InvalidWish("There is no verb \"" + first + "\"." + did_you_mean(first, known) + help_hint(nullptr));
    }
    std::string list;
    for (const std::string& word : known) list += (list.empty() ? "" : ", ") + word;
    if (words.size() == 1 || words[1].starts_with("-")) {
        throw InvalidWish("`" + first + "` needs one of these after it: " + list + ".");
    }
    throw InvalidWish("There is no verb \"" + first + " " + words[1] + "\"." + did_you_mean(words[1], known) +
                      " There are: " + list + ".");
}

void Arguments::parse(std::vector<std::string> words, bool stop_at_first_name, std::vector<std::string>& rest) {
    CLI::App app;
    app.set_help_flag();
    app.allow_extras();
    app.prefix_command(stop_at_first_name);
    std::vector<std::pair<const OptionInfo*, CLI::Option*>> known;
    for (const OptionInfo& option : options()) {
        const bool taken = m_verb == nullptr ? option.group == Group::everywhere : option.verbs.has(m_verb->verb);
        if (!taken) continue;
        const std::string name = "--" + std::string(option.name);
        if (option.kind == Kind::flag) {
            known.emplace_back(&option, app.add_flag(name)->disable_flag_override());
        } else {
            CLI::Option* added = app.add_option(name);
            added->expected(1)->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
            known.emplace_back(&option, added);
        }
    }
    const std::vector<std::string> asked = words;
    std::reverse(words.begin(), words.end());  // CLI11 takes words from the back of the list
    try {
        app.parse(words);
    } catch (const CLI::ParseError&) {
        refuse_what_cli11_refused(asked, m_verb);
    }
    for (const auto& [option, added] : known) {
        if (added->count() == 0) continue;
        auto& values = m_values[std::string(option->name)];
        for (const std::string& value : added->results()) values.push_back(value);
    }
    rest = app.remaining();
    if (stop_at_first_name) return;
    std::vector<std::string> unknown;
    bool only_names = false;  // after a bare "--" even names with a dash in front are names
    for (const std::string& word : rest) {
        if (word == "--" && !only_names) {
            only_names = true;
        } else if (!only_names && word.size() > 1 && word.front() == '-') {
            unknown.push_back(word);
        } else {
            m_positionals.push_back(word);
        }
    }
    rest = unknown;
}

void Arguments::hold_against_table() const {
    for (const auto& [name, values] : m_values) {
        const OptionInfo* option = option_named(name, m_verb);
        assert(option != nullptr);
        if (option->kind == Kind::flag) continue;
        const bool several = option->repeatable && m_verb->verb != Verb::view;
        if (values.size() > 1 && !several) throw InvalidWish("--" + name + " is given more than once.");
        for (const std::string& value : values) hold_value(*option, value);
    }
    const std::string use = " Use: hangtrue " + std::string(m_verb->name) + " " + std::string(m_verb->positionals);
    if (m_positionals.size() < m_verb->least_positionals) {
        throw InvalidWish("`" + std::string(m_verb->name) + "` needs to be told more." + use);
    }
    if (m_positionals.size() > m_verb->most_positionals) {
        throw InvalidWish("`" + std::string(m_verb->name) + "` cannot do anything with \"" +
                          m_positionals[m_verb->most_positionals] + "\"." + use);
    }
}

bool Arguments::has(std::string_view option) const {
    assert(option_named(option) != nullptr);
    return m_values.find(option) != m_values.end();
}

std::optional<std::string> Arguments::text(std::string_view option) const {
    const auto found = m_values.find(option);
    if (found == m_values.end()) return std::nullopt;
    return found->second.front();
}

std::vector<std::string> Arguments::all(std::string_view option) const {
    const auto found = m_values.find(option);
    return found == m_values.end() ? std::vector<std::string>{} : found->second;
}

std::optional<double> Arguments::number(std::string_view option) const {
    const auto found = text(option);
    return found ? number_of(*found) : std::nullopt;
}

}  // namespace hangtrue::cli

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What was asked on the command line, held against the table of options. One thread.

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "apps/cli/options.h"

namespace hangtrue::cli {

class Arguments {
  public:
    /// Throws InvalidWish: an unknown verb or option (naming the nearest), a value missing, out of range or
    /// given twice, too few or too many names. With `--help` or `--version` values and names are
    /// not looked at.
    explicit Arguments(std::span<const std::string> words);

    /// Null where no verb was given (`--help` and `--version` alone).
    const VerbInfo* verb() const { return m_verb; }
    const std::vector<std::string>& positionals() const { return m_positionals; }

    /// `option` is a name of the table.
    bool has(std::string_view option) const;
    std::optional<std::string> text(std::string_view option) const;
    std::vector<std::string> all(std::string_view option) const;
    std::optional<double> number(std::string_view option) const;

  private:
    void take_verb(std::vector<std::string>& words);
    void parse(std::vector<std::string> words, bool stop_at_first_name, std::vector<std::string>& rest);
    void hold_against_table() const;

    const VerbInfo* m_verb = nullptr;
    std::vector<std::string> m_positionals;
    std::map<std::string, std::vector<std::string>, std::less<>> m_values;
};

}  // namespace hangtrue::cli

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The one table of verbs and options: parser, help and docs/command-line.md are made from it.
/// Constant data, thread-safe.

#include <cstdint>
#include <initializer_list>
#include <span>
#include <string>
#include <string_view>

#include "apps/cli/reply.h"

namespace hangtrue::cli {

class Arguments;

enum class Verb {
    sizes,
    detail,
    check,
    make,
    verify,
    view,
    enlarge,
    light,
    shop_list,
    shop_show,
    shop_new,
    shop_check,
    shop_questions,
    ledger_list,
    ledger_show,
    ledger_again,
    test_sheet,
    test_answer,
    test_scan,
    test_measure,
    test_withdraw,
    test_status,
};

struct VerbInfo {
    Verb verb;
    std::string_view name;         ///< "sizes", "shop list"
    std::string_view positionals;  ///< As help shows them: "PICTURE…"
    std::size_t least_positionals;
    std::size_t most_positionals;
    std::string_view does;  ///< One line, lower case, for the list of verbs.
    std::string_view more;  ///< What else one should know; may be empty.
    Reply (*run)(const Arguments&, jobs::Context&);
};

inline constexpr std::size_t any_number = 100000;

std::span<const VerbInfo> verbs();

/// A set of verbs.
class VerbSet {
  public:
    constexpr VerbSet(std::initializer_list<Verb> list) {
        for (const Verb verb : list) m_bits |= bit(verb);
    }
    static constexpr VerbSet all() {
        VerbSet set{};
        set.m_bits = ~std::uint32_t{0};
        return set;
    }
    constexpr bool has(Verb verb) const { return (m_bits & bit(verb)) != 0; }

  private:
    static constexpr std::uint32_t bit(Verb verb) { return std::uint32_t{1} << static_cast<int>(verb); }
    std::uint32_t m_bits = 0;
};

enum class Group { wish, file, everywhere };

/// What the parser itself holds the value against. Words of the wish are `text`: jobs::set_wish_word knows
/// their meaning, for options and lists alike.
enum class Kind { flag, text, choice, whole, real };

struct OptionInfo {
    std::string_view name;      ///< Without dashes.
    std::string_view argument;  ///< As help shows it; for `choice` the words themselves, "in|cm".
    std::string_view unit;      ///< "mm, cm, m, in or ft", "px", "%"; empty: none.
    std::string_view range;     ///< For `text`; numbers have least and most.
    std::string_view fallback;  ///< What holds without the option.
    std::string_view meaning;
    Group group;
    VerbSet verbs;
    Kind kind = Kind::text;
    double least = 0;  ///< For whole and real numbers, both ends included.
    double most = 0;
    bool repeatable = false;
};

std::span<const OptionInfo> options();

/// The range as help shows it, "1 to 256".
std::string range_text(const OptionInfo& option);

}  // namespace hangtrue::cli

// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/manual.h"

#include <set>
#include <string_view>
#include <vector>

#include "apps/cli/exit_status.h"
#include "apps/cli/help.h"
#include "apps/cli/options.h"

namespace hangtrue::cli {

namespace {

/// As roff reads it: a backslash, a dash that is one, and a line that would begin with a command.
std::string roff(std::string_view text) {
    std::string escaped;
    for (const char letter : text) {
        if (letter == '\\')
            escaped += "\\e";
        else if (letter == '-')
            escaped += "\\-";
        else if (letter == '`')
            continue;  // Marks code in Markdown, and nothing here.
        else
            escaped += letter;
    }
    if (escaped.starts_with(".") || escaped.starts_with("'")) escaped.insert(0, "\\&");
    return escaped;
}

/// A term in bold, what it takes in italics, and what is said of it.
std::string paragraph(std::string_view term, std::string_view takes, std::string_view says) {
    std::string text = ".TP\n\\fB" + roff(term) + "\\fR";
    if (!takes.empty()) text += " \\fI" + roff(takes) + "\\fR";
    return text + "\n" + roff(says) + "\n";
}

std::string sentence_of(const VerbInfo& verb) {
    std::string does(verb.does);
    if (!does.empty() && does.front() >= 'a' && does.front() <= 'z')
        does.front() = static_cast<char>(does.front() - 32);
    return does + "." + (verb.more.empty() ? "" : " ") + std::string(verb.more);
}

std::string verbs_of(const OptionInfo& option) {
    if (option.group == Group::everywhere) return {};
    std::string text;
    for (const VerbInfo& verb : verbs()) {
        if (option.verbs.has(verb.verb)) text += (text.empty() ? "" : ", ") + std::string(verb.name);
    }
    return " Of: " + text + ".";
}

bool is_word(std::string_view text) {
    if (text.empty()) return false;
    for (const char letter : text) {
        const bool fits = (letter >= 'a' && letter <= 'z') || (letter >= '0' && letter <= '9') || letter == '-';
        if (!fits) return false;
    }
    return true;
}

/// Of "auto|off|N%" those that can be written as they stand: "auto off".
std::string words_taken(const OptionInfo& option) {
    std::string words;
    std::string_view rest = option.argument;
    while (!rest.empty()) {
        const std::size_t bar = rest.find('|');
        const std::string_view word = rest.substr(0, bar);
        if (is_word(word)) words += (words.empty() ? "" : " ") + std::string(word);
        if (bar == std::string_view::npos) break;
        rest.remove_prefix(bar + 1);
    }
    return words;
}

std::string dashed_options_of(const VerbInfo* verb) {
    std::string names;
    for (const OptionInfo& option : options()) {
        const bool taken = verb == nullptr ? option.group == Group::everywhere : option.verbs.has(verb->verb);
        if (taken) names += (names.empty() ? "--" : " --") + std::string(option.name);
    }
    return names;
}

}  // namespace

std::string man_page_text() {
    std::string text =
        ".\\\" Made from the program's table of options: hangtrue help --man\n"
        ".TH HANGTRUE 1 \"\" \"hangtrue " HANGTRUE_VERSION
        "\" \"User Commands\"\n"
        ".SH NAME\nhangtrue \\- print files for print shops, right the first time\n"
        ".SH SYNOPSIS\n.B hangtrue\n.I VERB\n\\&... [options]\n"
        ".SH DESCRIPTION\n"
        "Makes print files for print shops from finished pictures: each as its shop takes it, sharp for the distance "
        "at which it hangs, read back and verified, with a ticket and a record. Pictures are never changed, and "
        "nothing leaves this computer.\n"
        ".SH VERBS\n";
    for (const VerbInfo& verb : verbs()) text += paragraph(verb.name, verb.positionals, sentence_of(verb));
    constexpr struct {
        Group group;
        std::string_view title;
    } groups[] = {{Group::wish, "THE PRINT"}, {Group::file, "FILES"}, {Group::everywhere, "EVERYWHERE"}};
    for (const auto& group : groups) {
        text += ".SH \"" + std::string(group.title) + "\"\n";
        for (const OptionInfo& option : options()) {
            if (option.group != group.group) continue;
            text +=
                paragraph("--" + std::string(option.name), option.argument, option_sentence(option) + verbs_of(option));
        }
    }
    text += ".SH \"EXIT STATUS\"\n";
    for (const ExitStatusInfo& row : exit_statuses()) {
        text += paragraph(std::to_string(static_cast<int>(row.status)), row.name, row.meaning);
    }
    text += ".SH FILES\n" +
            paragraph("$XDG_DATA_HOME/hangtrue", "",
                      "Shops, one text file each, and the ledger. By default ~/.local/share/hangtrue.") +
            ".SH EXAMPLES\n"
            ".nf\n"
            "hangtrue sizes my\\-picture.tif\n"
            "hangtrue shop new \"Name of the shop\"\n"
            "hangtrue make my\\-picture.tif \\-\\-shop quillfen \\-\\-medium metal\\-white \\-\\-size 36x24in \\-\\-to "
            "prints\n"
            ".fi\n"
            ".SH \"SEE ALSO\"\n.BR hangtrue\\-desktop (1)\n";
    return text;
}

std::string bash_completion_text() {
    std::string first_words;
    std::set<std::string> seen;
    std::string second_words;  // One case for each family of verbs.
    std::vector<std::string> families;
    for (const VerbInfo& verb : verbs()) {
        const std::string name(verb.name);
        const std::string first = name.substr(0, name.find(' '));
        if (seen.insert(first).second) {
            first_words += (first_words.empty() ? "" : " ") + first;
            if (first != name) families.push_back(first);
        }
    }
    for (const std::string& family : families) {
        std::string words;
        for (const VerbInfo& verb : verbs()) {
            if (!verb.name.starts_with(family + " ")) continue;
            words += (words.empty() ? "" : " ") + std::string(verb.name.substr(family.size() + 1));
        }
        second_words += "        " + family + ") words=\"" + words + "\" ;;\n";
    }
    std::string options_by_verb;
    for (const VerbInfo& verb : verbs()) {
        options_by_verb +=
            "        \"" + std::string(verb.name) + "\") options=\"" + dashed_options_of(&verb) + "\" ;;\n";
    }
    std::string values_by_option;
    std::string without_value;
    for (const OptionInfo& option : options()) {
        if (option.kind == Kind::flag) {
            without_value += (without_value.empty() ? "--" : "|--") + std::string(option.name);
        } else if (const std::string words = words_taken(option); !words.empty()) {
            values_by_option += "        --" + std::string(option.name) + ") words=\"" + words + "\" ;;\n";
        }
    }
    return "# bash completion for hangtrue, made from the program's table of options: hangtrue help --bash-completion\n"
           "_hangtrue() {\n"
           "    local here=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}\n"
           "    local verb= words= options=\"" +
           dashed_options_of(nullptr) +
           "\" i\n"
           "    for ((i = 1; i < COMP_CWORD; ++i)); do\n"
           "        case ${COMP_WORDS[i]} in\n"
           "        " +
           without_value +
           ") ;;\n"
           "        -*) ((++i)) ;;\n"
           "        *) verb=${COMP_WORDS[i]}; break ;;\n"
           "        esac\n"
           "    done\n"
           "    case $before in\n" +
           values_by_option +
           "    esac\n"
           "    if [[ -z $verb && -z $words && $here != -* ]]; then\n"
           "        words=\"" +
           first_words +
           "\"\n"
           "    elif [[ -z $words && $here != -* && $i -eq $((COMP_CWORD - 1)) ]]; then\n"
           "        case $verb in\n" +
           second_words +
           "        esac\n"
           "    fi\n"
           "    case $verb in\n"
           "    " +
           [&] {
               std::string all;
               for (const std::string& family : families) all += (all.empty() ? "" : "|") + family;
               return all;
           }() +
           ") verb=\"$verb ${COMP_WORDS[i+1]}\" ;;\n"
           "    esac\n"
           "    case $verb in\n" +
           options_by_verb +
           "    esac\n"
           "    [[ $here == -* ]] && words=$options\n"
           "    COMPREPLY=($(compgen -W \"$words\" -- \"$here\"))\n"
           "}\n"
           "complete -o default -F _hangtrue hangtrue\n";
}

}  // namespace hangtrue::cli

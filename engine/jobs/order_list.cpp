// SPDX-License-Identifier: Apache-2.0
#include "engine/base/error.h"
#include "engine/base/output_file.h"
#include "engine/jobs/make.h"
#include "engine/text/document.h"

namespace hangtrue::jobs {
namespace {

constexpr std::int64_t largest_list = 4LL * 1024 * 1024;

/// The words of the wish are strings; a bare number is as good where one is meant (quantity = 2).
std::string word_text(const text::Item& item) { return item.is_string() ? item.string() : item.spelling(); }

/// A list's words have no dashes before them.
std::string without_dashes(std::string sentence) {
    if (sentence.starts_with("--")) sentence.erase(0, 2);
    return sentence;
}

}  // namespace

std::vector<MakeRequest> requests_from_list(const std::filesystem::path& list, const std::filesystem::path& to) {
    const text::Document document = text::Document::parse(base::read_whole_file(list, largest_list), list.string(), 1);
    text::Table root = document.root();
    std::vector<MakeRequest> requests;
    for (text::Table print : root.tables("print")) {
        MakeRequest& request = requests.emplace_back();
        // Relative to the list, so that a list and its pictures can be moved together.
        const std::string picture = print.required("picture").filled_string();
        request.picture = list.parent_path() / picture;
        request.to = to;
        request.listed_at = list.string() + ", line " + std::to_string(print.place().line);
        for (const std::string& word : wish_words()) {
            const bool needed = word == "shop" || word == "medium" || word == "size";
            const std::optional<text::Item> item = needed ? print.required(word) : print.find(word);
            if (!item) continue;
            try {
                set_wish_word(request.wish, word, word_text(*item));
            } catch (const base::InvalidWish& error) {
                item->fail("for " + picture + ": " + without_dashes(error.what()));
            }
        }
    }
    document.refuse_unknown_keys();
    if (requests.empty()) {
        throw base::UnreadableInput(list.string() + " lists no print: each begins with a line [[print]].");
    }
    return requests;
}

}  // namespace hangtrue::jobs

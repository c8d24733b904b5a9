// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/shop_editing.h"

#include <algorithm>
#include <charconv>
#include <optional>
#include <span>
#include <system_error>

#include "engine/base/output_file.h"
#include "engine/jobs/shop_files.h"
#include "engine/shops/shop_file.h"
#include "engine/shops/shop_folder.h"
#include "engine/text/edit.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t most_shop_bytes = 1'000'000;

/// The number that stands behind ", `word` " in a sentence; 0 where there is none.
int number_behind(const std::string& sentence, const std::string& word) {
    const std::size_t at = sentence.find(", " + word + " ");
    if (at == std::string::npos) return 0;
    int number = 0;
    const char* begin = sentence.data() + at + word.size() + 3;
    std::from_chars(begin, sentence.data() + sentence.size(), number);
    return number;
}

std::string trimmed(const std::string& text) {
    const std::size_t first = text.find_first_not_of(" \t\r\n");
    if (first == std::string::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

std::string lower(std::string text) {
    for (char& letter : text) letter = static_cast<char>(std::tolower(static_cast<unsigned char>(letter)));
    return text;
}

std::vector<std::string> parts_of(const std::string& text, char between) {
    std::vector<std::string> parts;
    std::size_t begin = 0;
    while (begin <= text.size()) {
        const std::size_t end = std::min(text.find(between, begin), text.size());
        if (const std::string part = trimmed(text.substr(begin, end - begin)); !part.empty()) parts.push_back(part);
        begin = end + 1;
    }
    return parts;
}

template <typename Number>
std::optional<Number> number_in(const std::string& text) {
    Number number{};
    const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (error != std::errc() || stop != text.data() + text.size()) return std::nullopt;
    return number;
}

/// What an answer may mean, the likeliest first.
std::vector<text::Value> meanings_of(const std::string& answer) {
    std::vector<text::Value> meanings;
    const std::string word = lower(answer);
    if (word == "yes" || word == "true") meanings.emplace_back(true);
    if (word == "no" || word == "false") meanings.emplace_back(false);
    if (const auto whole = number_in<std::int64_t>(answer)) meanings.emplace_back(*whole);
    if (const auto real = number_in<double>(answer)) meanings.emplace_back(*real);
    const std::vector<std::string> parts = parts_of(answer, ',');
    std::vector<std::int64_t> numbers;
    for (const std::string& part : parts) {
        if (const auto number = number_in<std::int64_t>(part)) numbers.push_back(*number);
    }
    if (!numbers.empty() && numbers.size() == parts.size()) meanings.emplace_back(numbers);
    // A list where one is wanted: what is no list is refused below, and the string comes before it.
    meanings.emplace_back(answer);
    if (word != answer) meanings.emplace_back(word);
    if (!parts.empty()) meanings.emplace_back(parts);
    std::vector<std::string> lower_parts = parts;
    for (std::string& part : lower_parts) part = lower(part);
    if (!parts.empty() && lower_parts != parts) meanings.emplace_back(lower_parts);
    return meanings;
}

text::Path path_of(const shops::Shop& shop, const std::string& medium_id, const std::string& key) {
    text::Path path;
    if (!medium_id.empty()) {
        const auto medium = std::find_if(shop.media.begin(), shop.media.end(),
                                         [&](const shops::Medium& one) { return one.id == medium_id; });
        if (medium == shop.media.end()) {
            throw base::InvalidWish("The shop's file has no medium \"" + medium_id + "\".");
        }
        path.emplace_back("medium");
        path.emplace_back(static_cast<std::size_t>(medium - shop.media.begin()));
    }
    for (const std::string& step : parts_of(key, '.')) path.emplace_back(step);
    return path;
}

}  // namespace

ShopText read_shop_text(const fs::path& file, const std::string& text) {
    ShopText result;
    result.file = file;
    result.text = text;
    const Ended end = ended([&] {
        result.shop = shops::shop_from_text(text, file.filename().string());
        result.questions = shops::open_questions(result.shop);
        if (!result.questions.empty()) result.letter = shops::letter(result.shop);
    });
    result.ending = end.ending;
    result.sentence = end.sentence;
    if (end.ending != Ending::done) {
        result.line = number_behind(end.sentence, "line");
        result.column = number_behind(end.sentence, "column");
    }
    return result;
}

ShopText shop_text_in(const fs::path& file) {
    return read_shop_text(file, base::read_whole_file(file, most_shop_bytes));
}

std::vector<ShopText> shop_texts(const Context& context) {
    std::vector<fs::path> files;
    std::error_code error;
    for (const fs::directory_entry& entry : fs::directory_iterator(shops_folder(context), error)) {
        if (shops::is_shop_file(entry.path())) files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    std::vector<ShopText> texts;
    for (const fs::path& file : files) {
        ShopText& text = texts.emplace_back();
        text.file = file;
        const Ended end = ended([&] { text = shop_text_in(file); });
        if (end.ending == Ending::done) continue;
        text.ending = end.ending;
        text.sentence = end.sentence;
    }
    return texts;
}

bool takes_one_answer(const std::string& key) {
    constexpr std::string_view several[] = {"medium", "bleed", "wrap", "size.price"};
    return std::find(std::begin(several), std::end(several), key) == std::end(several);
}

std::string with_answer(const std::string& text, const fs::path& file, const std::string& medium_id,
                        const std::string& key, const std::string& answer) {
    const std::string name = file.filename().string();
    const shops::Shop shop = shops::shop_from_text(text, name);
    const std::string given = trimmed(answer);
    if (given.empty()) {
        throw base::InvalidWish("There is nothing to fill in. What the shop has not told stays an open question.");
    }
    const text::Path path = path_of(shop, medium_id, key);
    std::string why;
    for (const text::Value& value : meanings_of(given)) {
        std::string changed;
        const Ended end = ended([&] {
            changed = text::with_value(text, name, path, value);
            shops::shop_from_text(changed, name);
        });
        if (end.ending == Ending::done) return changed;
        // Of all refusals that of the answer as it was written helps most.
        const auto* words = std::get_if<std::string>(&value);
        if (why.empty() || (words != nullptr && *words == given)) why = end.sentence;
    }
    throw base::InvalidWish(why);
}

void save_shop_text(const fs::path& file, const std::string& text, const std::string& was, Context& context) {
    const ShopText read = read_shop_text(file, text);
    if (read.ending != Ending::done) throw base::InvalidWish(read.sentence);
    if (base::read_whole_file(file, most_shop_bytes) != was) {
        throw base::InvalidWish(file.string() +
                                " was changed by another program meanwhile. Read it again before you change it.");
    }
    base::write_whole_file(file, std::as_bytes(std::span(text)), base::OutputFile::Existing::replace, context.faults);
}

int add_missing_shops(const fs::path& from, Context& context) {
    const fs::path folder = shops_folder(context);
    std::error_code error;
    fs::create_directories(folder, error);
    if (error) {
        throw base::WriteFailed("The folder " + folder.string() + " for shops cannot be made: " + error.message() +
                                ".");
    }
    int added = 0;
    fs::directory_iterator entry(from, error);
    for (; !error && entry != fs::directory_iterator(); entry.increment(error)) {
        const fs::path to = folder / entry->path().filename();
        if (!shops::is_shop_file(entry->path()) || fs::exists(to)) continue;
        const std::string text = base::read_whole_file(entry->path(), most_shop_bytes);
        base::write_whole_file(to, std::as_bytes(std::span(text)), base::OutputFile::Existing::refuse, context.faults);
        ++added;
    }
    if (error) {
        throw base::UnreadableInput("The folder " + from.string() + " cannot be listed: " + error.message() + ".");
    }
    return added;
}

}  // namespace hangtrue::jobs

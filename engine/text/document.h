// SPDX-License-Identifier: Apache-2.0
#pragma once

/// TOML documents that users write, read so that every complaint names its line and column.
///
/// A reader asks for the keys it knows; what was never asked for is unknown, and
/// refuse_unknown_keys() says so with the nearest key that was:
///
///     const Document document = Document::parse(text, "quillfen.toml", /*newest_format=*/1);
///     Table root = document.root();
///     shop.name = root.required("name").string();
///     if (const auto days = root.find("days")) shop.days = days->integer(0, 365);
///     document.refuse_unknown_keys();
///
/// Every failure is UnreadableInput: `quillfen.toml, line 12, column 3: unknown key "pip". Did you
/// mean "ppi"?` A document is used by one thread at a time; Table and Item are handles that must
/// not outlive it.

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/units.h"

namespace hangtrue::text {

struct Node;
class Table;

/// Where something stands in a file. Lines and columns count from 1; a column is a character, not a
/// byte.
struct Place {
    int line = 1;
    int column = 1;
    friend constexpr auto operator<=>(const Place&, const Place&) = default;
};

/// A word of the file and what it stands for.
template <typename Value>
struct Word {
    std::string_view word;
    Value value;
};

/// One value of the file.
class Item {
  public:
    Item(Node& node, const std::string& file) : m_node(&node), m_file(&file) {}

    Place place() const;
    bool is_string() const;
    bool is_number() const;

    std::string string() const;         ///< Any string, the empty one too.
    std::string filled_string() const;  ///< One that says something.
    bool boolean() const;
    std::int64_t integer(std::int64_t least, std::int64_t most) const;
    double real(double least,
                double most) const;    ///< Finite; a whole number will do. Bounds belong to it.
    double any_real() const;           ///< As it stands, infinity included: for files written by the program.
    base::Millimetres length() const;  ///< "38 mm", zero or more.
    base::Millimetres length(base::Millimetres least, base::Millimetres most) const;
    base::SizeMm size() const;                 ///< "36 x 24 in", both sides more than nothing.
    std::vector<Item> items() const;           ///< Of an array.
    std::vector<std::string> strings() const;  ///< An array of strings.
    Table table() const;
    std::string spelling() const;  ///< A number as it is written, or a string's text.

    /// The value of the word that the string is; else names the nearest word, or all of them.
    template <typename Value, std::size_t N>
    Value one_of(const Word<Value> (&words)[N]) const {
        std::vector<std::string> known;
        for (const auto& word : words) known.emplace_back(word.word);
        return words[index_of_word(known)].value;
    }
    std::size_t index_of_word(std::span<const std::string> known) const;

    [[noreturn]] void fail(const std::string& what) const;

  private:
    Node* m_node;
    const std::string* m_file;
};

/// The keys of one table. Asking for a key makes it a known one.
class Table {
  public:
    Table(Node& node, const std::string& file) : m_node(&node), m_file(&file) {}

    Place place() const;
    std::optional<Item> find(std::string_view key);
    Item required(std::string_view key);
    std::optional<Table> find_table(std::string_view key);
    Table required_table(std::string_view key);
    /// The tables of an array ([[key]]); none when it is not there.
    std::vector<Table> tables(std::string_view key);
    /// Every key, in the order of the file, for tables whose keys are names of the user's own. All
    /// are then known.
    std::vector<std::pair<std::string, Item>> all();

    [[noreturn]] void fail(const std::string& what) const;

  private:
    Node* m_node;
    const std::string* m_file;
};

class Document {
  public:
    /// `file_name` is what messages call it. Refuses text that is no TOML, that has no `format =
    /// N`, or one newer than `newest_format`, as exactly that.
    static Document parse(std::string_view text, std::string file_name, int newest_format);

    Document(Document&&) noexcept;
    Document& operator=(Document&&) noexcept;
    ~Document();

    int format() const { return m_format; }
    const std::string& file_name() const { return *m_file; }
    Table root() const;

    /// Throws for the first key, in the order of the file, that nobody asked for.
    void refuse_unknown_keys() const;

  private:
    Document(std::string file_name, Node root);
    std::unique_ptr<std::string> m_file;  // Owned apart, so that handles keep their address when this moves.
    std::unique_ptr<Node> m_root;
    int m_format = 0;
};

/// The word in double quotes, as messages show what the user wrote.
std::string quoted(std::string_view word);

/// `"a", "b" or "c"`: for sentences that list what exists.
std::string list_of_words(std::span<const std::string> words);

}  // namespace hangtrue::text

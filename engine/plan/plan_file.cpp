// SPDX-License-Identifier: Apache-2.0
#include "engine/plan/plan_file.h"

#include <cmath>
#include <initializer_list>
#include <utility>

#include "engine/plan/consistency.h"
#include "engine/plan/plan_fields.h"
#include "engine/text/document.h"
#include "engine/text/writer.h"

namespace hangtrue::plan {
namespace {

constexpr int newest_format = 1;

/// Writes each field.
class Written {
  public:
    Written() : m_writer(newest_format) {
        m_writer.comment("A plan, written by Hangtrue: with the picture it names, it gives one print file.");
    }

    void table(const std::vector<std::string>& path) { m_writer.blank().table(path); }
    bool later_table(const char* name, bool is_there) {
        if (is_there) table({name});
        return is_there;
    }
    void string(const char* key, const std::string& value) { m_writer.value(key, value); }
    void strings(const char* key, const std::vector<std::string>& values) { m_writer.value(key, values); }
    void hash(const char* key, const base::Sha256& value) { m_writer.value(key, value.hex()); }
    void boolean(const char* key, bool value) { m_writer.value(key, value); }
    void real(const char* key, double value, double /*least*/, double /*most*/) { m_writer.value(key, value); }
    void later_real(const char* key, double value, double /*least*/, double /*most*/) { m_writer.value(key, value); }
    void integer(const char* key, int value, int /*least*/, int /*most*/) { m_writer.value(key, std::int64_t{value}); }
    void long_integer(const char* key, std::int64_t value, std::int64_t /*least*/, std::int64_t /*most*/) {
        m_writer.value(key, value);
    }
    void version(const char* key, int value, int /*newest*/) { m_writer.value(key, std::int64_t{value}); }
    void later_version(const char* key, int value, int newest) { version(key, value, newest); }
    void optional_integer(const char* key, const std::optional<std::int64_t>& value, std::int64_t /*least*/,
                          std::int64_t /*most*/) {
        if (value) m_writer.value(key, *value);
    }
    void reals(const char* key, std::initializer_list<double*> values, double /*least*/, double /*most*/) {
        std::vector<double> copies;
        for (const double* value : values) copies.push_back(*value);
        m_writer.value(key, copies);
    }
    void curve(const char* key, const colour::Correction::Curve& values, double /*least*/, double /*most*/) {
        m_writer.value(key, std::vector<double>(values.begin(), values.end()));
    }
    void integers(const char* key, std::initializer_list<int*> values, int /*least*/, int /*most*/) {
        std::vector<std::int64_t> copies;
        for (const int* value : values) copies.push_back(*value);
        m_writer.value(key, copies);
    }
    void bytes(const char* key, const std::array<std::uint8_t, 3>& values) {
        m_writer.value(key, std::vector<std::int64_t>(values.begin(), values.end()));
    }
    template <typename Element>
    void each(const char* key, const std::vector<Element>& elements, double Element::*member, double /*least*/,
              double /*most*/) {
        std::vector<double> copies;
        for (const auto& element : elements) copies.push_back(element.*member);
        m_writer.value(key, copies);
    }
    template <typename Value, std::size_t N>
    void word(const char* key, Value value, const text::Word<Value> (&words)[N]) {
        for (const auto& known : words) {
            if (known.value == value) m_writer.value(key, std::string(known.word));
        }
    }

    const std::string& text() const { return m_writer.text(); }

  private:
    text::Writer m_writer;
};

/// Reads each field, with its bounds.
class Read {
  public:
    explicit Read(const text::Document& document) : m_root(document.root()), m_table(m_root) {}

    void table(const std::vector<std::string>& path) { m_table = m_root.required_table(path.front()); }
    /// Whether there is one: plans of earlier versions have none, nor those that have nothing to say there.
    bool later_table(const char* name, bool /*is_there*/) {
        const auto found = m_root.find_table(name);
        if (found) m_table = *found;
        return found.has_value();
    }
    void string(const char* key, std::string& value) { value = m_table.required(key).string(); }
    void strings(const char* key, std::vector<std::string>& values) { values = m_table.required(key).strings(); }
    void hash(const char* key, base::Sha256& value) {
        const text::Item item = m_table.required(key);
        const auto hash = base::Sha256::from_hex(item.string());
        if (!hash) item.fail(std::string("\"") + key + "\" is a SHA-256: 64 hexadecimal digits");
        value = *hash;
    }
    void boolean(const char* key, bool& value) { value = m_table.required(key).boolean(); }
    void real(const char* key, double& value, double least, double most) {
        value = m_table.required(key).real(least, most);
    }
    /// Missing in plans of earlier versions: the value stays as it is.
    void later_real(const char* key, double& value, double least, double most) {
        if (const auto item = m_table.find(key)) value = item->real(least, most);
    }
    void integer(const char* key, int& value, int least, int most) {
        value = int_of(m_table.required(key), least, most);
    }
    void long_integer(const char* key, std::int64_t& value, std::int64_t least, std::int64_t most) {
        value = m_table.required(key).integer(least, most);
    }
    void version(const char* key, int& value, int newest) {
        const text::Item item = m_table.required(key);
        value = int_of(item, 1, INT32_MAX);
        if (value > newest) {
            item.fail("this plan was made by a newer Hangtrue, whose way of computing this program does not know");
        }
    }
    /// Missing in plans of the first version.
    void later_version(const char* key, int& value, int newest) {
        value = 1;
        if (m_table.find(key)) version(key, value, newest);
    }
    void optional_integer(const char* key, std::optional<std::int64_t>& value, std::int64_t least, std::int64_t most) {
        const auto item = m_table.find(key);
        value = item ? std::optional(item->integer(least, most)) : std::nullopt;
    }
    void reals(const char* key, std::initializer_list<double*> values, double least, double most) {
        auto item = items(key, values.size()).begin();
        for (double* value : values) *value = (item++)->real(least, most);
    }
    void curve(const char* key, colour::Correction::Curve& values, double least, double most) {
        auto item = items(key, values.size()).begin();
        for (double& value : values) value = (item++)->real(least, most);
    }
    void integers(const char* key, std::initializer_list<int*> values, int least, int most) {
        auto item = items(key, values.size()).begin();
        for (int* value : values) *value = int_of(*item++, least, most);
    }
    void bytes(const char* key, std::array<std::uint8_t, 3>& values) {
        auto item = items(key, values.size()).begin();
        for (auto& value : values) value = static_cast<std::uint8_t>(int_of(*item++, 0, 255));
    }
    template <typename Element>
    void each(const char* key, std::vector<Element>& elements, double Element::*member, double least, double most) {
        const text::Item item = m_table.required(key);
        m_items = item.items();
        if (elements.empty()) {
            if (m_items.size() > most_terms) item.fail("at most three are possible");
            elements.resize(m_items.size());
        }
        if (elements.size() != m_items.size()) item.fail("as many sigmas as gains are needed");
        for (std::size_t i = 0; i < elements.size(); ++i) elements[i].*member = m_items[i].real(least, most);
    }
    template <typename Value, std::size_t N>
    void word(const char* key, Value& value, const text::Word<Value> (&words)[N]) {
        value = m_table.required(key).one_of(words);
    }

  private:
    static constexpr std::size_t most_terms = 3;

    static int int_of(const text::Item& item, int least, int most) {
        return static_cast<int>(item.integer(least, most));
    }
    const std::vector<text::Item>& items(const char* key, std::size_t count) {
        const text::Item item = m_table.required(key);
        m_items = item.items();
        if (m_items.size() != count)
            item.fail(std::string("\"") + key + "\" holds " + std::to_string(count) + " numbers");
        return m_items;
    }

    text::Table m_root;
    text::Table m_table;
    std::vector<text::Item> m_items;
};

}  // namespace

std::string plan_text(const Plan& plan) {
    Written fields;
    Plan copy = plan;  // The list of fields is one for writing and reading; writing changes nothing.
    visit_plan(fields, copy);
    return fields.text();
}

Plan plan_from_text(std::string_view text, const std::string& file_name) {
    const text::Document document = text::Document::parse(text, file_name, newest_format);
    Plan plan;
    Read fields(document);
    visit_plan(fields, plan);
    document.refuse_unknown_keys();
    if (const auto wrong = contradiction(plan)) {
        document.root().required_table(wrong->table).required(wrong->key).fail(wrong->sentence);
    }
    return plan;
}

}  // namespace hangtrue::plan

// SPDX-License-Identifier: Apache-2.0
#include "engine/raster/tiff_fields.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <utility>

namespace hangtrue::raster {
namespace {

// Far above what any print file has.
constexpr std::uint64_t most_tags = 64;
constexpr std::int64_t most_value_bytes = std::int64_t{256} << 20;

/// Bytes of one value of each type; 0 for types that do not exist.
std::uint64_t type_size(int type) {
    constexpr std::array<std::uint8_t, 19> sizes{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4, 0, 0, 8, 8, 8};
    return type >= 0 && type < static_cast<int>(sizes.size()) ? sizes[static_cast<std::size_t>(type)] : 0;
}

std::string tag_text(int tag) { return "tag " + std::to_string(tag); }

/// The directory's entries, without the values that stand behind it.
std::vector<Field> read_entries(ByteSource& file, bool big) {
    const std::size_t room = big ? 8 : 4;
    const std::size_t entry_size = big ? 20 : 12;
    const std::uint64_t count = number_at(file.take(big ? 8 : 2), 0, big ? 8 : 2);
    if (count == 0 || count > most_tags) throw file.wrong("it has " + std::to_string(count) + " tags");
    const auto bytes = file.take(static_cast<std::int64_t>(count * entry_size + room));
    std::vector<Field> fields;
    std::int64_t value_bytes = 0;
    for (std::size_t at = 0; at < count * entry_size; at += entry_size) {
        Field field;
        field.tag = static_cast<int>(number_at(bytes, at, 2));
        field.type = static_cast<int>(number_at(bytes, at + 2, 2));
        field.count = number_at(bytes, at + 4, room);
        if (!fields.empty() && field.tag <= fields.back().tag) throw file.wrong("its tags are out of order");
        const std::uint64_t size = type_size(field.type);
        if (size == 0 || field.count > static_cast<std::uint64_t>(file.left()) / size) {
            throw file.wrong(tag_text(field.tag) + " is longer than the file or of no known type");
        }
        const auto length = static_cast<std::size_t>(field.count * size);
        const auto value = bytes.subspan(at + 4 + room, room);
        if (length <= room) {
            if (number_at(value, length, room - length) != 0) {
                throw file.wrong(tag_text(field.tag) + " has bytes beside its value");
            }
            field.value.assign(value.begin(), value.begin() + static_cast<std::ptrdiff_t>(length));
        } else {
            value_bytes += static_cast<std::int64_t>(length);
            if (value_bytes > most_value_bytes) throw file.wrong("its tags are far too long");
            const std::uint64_t offset = number_at(value, 0, room);
            if (offset > static_cast<std::uint64_t>(file.size())) {
                throw file.wrong(tag_text(field.tag) + " stands behind the end of the file");
            }
            field.offset = static_cast<std::int64_t>(offset);
            field.value.resize(length);
        }
        fields.push_back(std::move(field));
    }
    if (number_at(bytes, count * entry_size, room) != 0) throw file.wrong("it holds a second picture");
    return fields;
}

void expect_zero_byte(ByteSource& file) {
    if (file.take(1)[0] != std::byte{0}) throw file.wrong("a byte that belongs to nothing is not zero");
}

/// The values that did not fit into their entries: they follow the directory in some order, without a gap but
/// for the byte that makes an offset even.
void read_values(ByteSource& file, std::vector<Field>& fields) {
    std::vector<Field*> outside;
    for (Field& field : fields) {
        if (field.offset >= 0) outside.push_back(&field);
    }
    std::sort(outside.begin(), outside.end(), [](const Field* a, const Field* b) { return a->offset < b->offset; });
    for (Field* field : outside) {
        if (field->offset != file.position()) {
            throw file.wrong(tag_text(field->tag) + " does not stand where it should");
        }
        const auto bytes = file.take(static_cast<std::int64_t>(field->value.size()));
        std::copy(bytes.begin(), bytes.end(), field->value.begin());
        if (file.position() % 2 != 0) expect_zero_byte(file);
    }
}

}  // namespace

Directory read_directory(ByteSource& file) {
    Directory directory;
    const std::uint64_t version = number_at(file.take(2), 0, 2);
    if (version != 42 && version != 43) throw file.wrong("its header is that of no TIFF");
    directory.big = version == 43;
    if (directory.big && number_at(file.take(4), 0, 4) != 8) throw file.wrong("its header is that of no TIFF");
    const std::size_t room = directory.big ? 8 : 4;
    const std::uint64_t offset = number_at(file.take(static_cast<std::int64_t>(room)), 0, room);
    if (offset != static_cast<std::uint64_t>(file.position())) {
        throw file.wrong("it is not laid out as it was made, so another program has written it");
    }
    directory.fields = read_entries(file, directory.big);
    read_values(file, directory.fields);
    return directory;
}

Fields::Fields(const ByteSource& file, std::vector<Field> fields) : m_file(file), m_fields(std::move(fields)) {}

const Field* Fields::found(int tag) const {
    const auto at = std::find_if(m_fields.begin(), m_fields.end(), [&](const Field& f) { return f.tag == tag; });
    return at == m_fields.end() ? nullptr : &*at;
}

const Field& Fields::of(int tag, int type, std::uint64_t count) const {
    const Field* field = found(tag);
    if (field == nullptr) throw m_file.wrong(tag_text(tag) + " is missing");
    if (field->type != type || field->count != count) {
        throw m_file.wrong(tag_text(tag) + " is not of the kind it should be");
    }
    return *field;
}

std::uint64_t Fields::number(int tag, int type) const {
    return number_at(of(tag, type, 1).value, 0, static_cast<std::size_t>(type_size(type)));
}

std::vector<std::uint64_t> Fields::numbers(int tag, int type, std::uint64_t count) const {
    const Field& field = of(tag, type, count);
    const auto size = static_cast<std::size_t>(type_size(type));
    std::vector<std::uint64_t> values;
    for (std::size_t at = 0; at < field.value.size(); at += size) values.push_back(number_at(field.value, at, size));
    return values;
}

void Fields::expect(int tag, std::uint64_t value) const {
    if (number(tag, short_type) != value) throw m_file.wrong(tag_text(tag) + " does not say " + std::to_string(value));
}

double Fields::fraction(int tag) const {
    const Field& field = of(tag, rational, 1);
    const auto denominator = static_cast<double>(number_at(field.value, 4, 4));
    if (denominator == 0) throw m_file.wrong(tag_text(tag) + " divides by zero");
    return static_cast<double>(number_at(field.value, 0, 4)) / denominator;
}

std::string Fields::text(int tag) const {
    const Field* field = found(tag);
    if (field == nullptr) return {};
    std::string value(field->value.size(), '\0');
    std::memcpy(value.data(), field->value.data(), value.size());
    // One zero, at the end, and text before it: an empty text has no tag at all.
    if (field->type != ascii || value.size() < 2 || value.find('\0') != value.size() - 1) {
        throw m_file.wrong(tag_text(tag) + " is no text");
    }
    value.pop_back();
    return value;
}

std::vector<std::byte> Fields::bytes(int tag) const {
    const Field* field = found(tag);
    if (field == nullptr) return {};
    if (field->type != undefined || field->value.empty()) {
        throw m_file.wrong(tag_text(tag) + " is not of the kind it should be");
    }
    return field->value;
}

std::vector<int> Fields::others(std::span<const int> ours) const {
    std::vector<int> tags;
    for (const Field& field : m_fields) {
        if (std::find(ours.begin(), ours.end(), field.tag) == ours.end()) tags.push_back(field.tag);
    }
    return tags;
}

}  // namespace hangtrue::raster

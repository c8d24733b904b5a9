// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/icc_bytes.h"

#include <cmath>

namespace hangtrue::colour {

namespace {

constexpr std::size_t header_bytes = 128;
constexpr std::size_t tag_entry_bytes = 12;
// As many as Little CMS reads; real profiles have fewer than forty.
constexpr std::uint32_t most_tags = 100;

std::uint32_t number_at(std::span<const std::byte> bytes, std::size_t offset, int count) {
    std::uint32_t value = 0;
    for (int i = 0; i < count; ++i) {
        value = (value << 8) | std::to_integer<std::uint32_t>(bytes[offset + static_cast<std::size_t>(i)]);
    }
    return value;
}

std::uint32_t u32_at(std::span<const std::byte> bytes, std::size_t offset) { return number_at(bytes, offset, 4); }

double fixed_at(std::span<const std::byte> bytes, std::size_t offset) {
    return static_cast<std::int32_t>(u32_at(bytes, offset)) / 65536.0;
}

void put(std::vector<std::byte>& out, std::uint32_t value, int count) {
    for (int i = count - 1; i >= 0; --i) {
        out.push_back(static_cast<std::byte>((value >> (8 * i)) & 0xff));
    }
}

void put_u16(std::vector<std::byte>& out, std::uint32_t value) { put(out, value, 2); }

void put_u32(std::vector<std::byte>& out, std::uint32_t value) { put(out, value, 4); }

void put_fixed(std::vector<std::byte>& out, double value) {
    put_u32(out, static_cast<std::uint32_t>(static_cast<std::int32_t>(std::lround(value * 65536))));
}

void put_zeros(std::vector<std::byte>& out, std::size_t count) { out.resize(out.size() + count); }

void put_letters(std::vector<std::byte>& out, const std::string& text) {
    for (const char letter : text) {
        out.push_back(static_cast<std::byte>(letter));
    }
}

std::vector<std::byte> element(std::uint32_t type) {
    std::vector<std::byte> bytes;
    put_u32(bytes, type);
    put_u32(bytes, 0);
    return bytes;
}

std::size_t aligned(std::size_t size) { return (size + 3) / 4 * 4; }

std::optional<ToneCurve> parse_table_curve(std::span<const std::byte> tag) {
    const std::size_t count = u32_at(tag, 8);
    if (count == 0) {
        return ToneCurve();
    }
    if (count > (tag.size() - 12) / 2) {
        return std::nullopt;
    }
    if (count == 1) {
        return ToneCurve::from_parameters({.g = number_at(tag, 12, 2) / 256.0});
    }
    std::vector<std::uint16_t> table(count);
    for (std::size_t i = 0; i < count; ++i) {
        table[i] = static_cast<std::uint16_t>(number_at(tag, 12 + 2 * i, 2));
    }
    return ToneCurve::from_table(table);
}

// ICC.1:2010, table 65.
std::optional<ToneCurve> parse_parametric_curve(std::span<const std::byte> tag) {
    constexpr std::array<std::size_t, 5> parameter_counts{1, 3, 4, 5, 7};
    const std::uint32_t function = number_at(tag, 8, 2);
    if (function >= parameter_counts.size() || tag.size() < 12 + 4 * parameter_counts[function]) {
        return std::nullopt;
    }
    std::array<double, 7> p{};
    for (std::size_t i = 0; i < parameter_counts[function]; ++i) {
        p[i] = fixed_at(tag, 12 + 4 * i);
    }
    const double start = p[1] != 0 ? -p[2] / p[1] : 0;
    switch (function) {
        case 0: return ToneCurve::from_parameters({.g = p[0]});
        case 1: return ToneCurve::from_parameters({.g = p[0], .a = p[1], .b = p[2], .c = 0, .d = start});
        case 2:
            return ToneCurve::from_parameters(
                {.g = p[0], .a = p[1], .b = p[2], .c = 0, .d = start, .e = p[3], .f = p[3]});
        case 3: return ToneCurve::from_parameters({.g = p[0], .a = p[1], .b = p[2], .c = p[3], .d = p[4]});
        default:
            return ToneCurve::from_parameters(
                {.g = p[0], .a = p[1], .b = p[2], .c = p[3], .d = p[4], .e = p[5], .f = p[6]});
    }
}

}  // namespace

std::span<const std::byte> IccView::tag(std::uint32_t name) const {
    for (const IccTag& each : tags) {
        if (each.name == name) {
            return each.bytes;
        }
    }
    return {};
}

std::optional<IccView> parse_icc(std::span<const std::byte> bytes) {
    if (bytes.size() < header_bytes + 4 || u32_at(bytes, 36) != signature("acsp")) {
        return std::nullopt;
    }
    const std::size_t size = u32_at(bytes, 0);
    const std::uint32_t count = u32_at(bytes, header_bytes);
    const std::size_t table_end = header_bytes + 4 + tag_entry_bytes * count;
    if (size > bytes.size() || count > most_tags || table_end > size) {
        return std::nullopt;
    }
    IccView view;
    view.major_version = std::to_integer<int>(bytes[8]);
    view.profile_class = u32_at(bytes, 12);
    view.colour_space = u32_at(bytes, 16);
    view.connection_space = u32_at(bytes, 20);
    for (std::uint32_t i = 0; i < count; ++i) {
        const std::size_t entry = header_bytes + 4 + tag_entry_bytes * i;
        const std::size_t offset = u32_at(bytes, entry + 4);
        const std::size_t length = u32_at(bytes, entry + 8);
        if (offset < table_end || offset > size || length < 8 || length > size - offset) {
            return std::nullopt;
        }
        view.tags.push_back({u32_at(bytes, entry), bytes.subspan(offset, length)});
    }
    return view;
}

std::optional<std::array<double, 3>> parse_xyz(std::span<const std::byte> tag) {
    if (tag.size() < 20 || u32_at(tag, 0) != signature("XYZ ")) {
        return std::nullopt;
    }
    return std::array{fixed_at(tag, 8), fixed_at(tag, 12), fixed_at(tag, 16)};
}

std::optional<ToneCurve> parse_curve(std::span<const std::byte> tag) {
    if (tag.size() < 12) {
        return std::nullopt;
    }
    switch (u32_at(tag, 0)) {
        case signature("curv"): return tag.size() < 14 && u32_at(tag, 8) != 0 ? std::nullopt : parse_table_curve(tag);
        case signature("para"): return parse_parametric_curve(tag);
        default: return std::nullopt;
    }
}

// textDescriptionType (ICC.1:2001-04, 6.5.17), with empty Unicode and Macintosh parts.
void IccWriter::add_text_description(std::uint32_t name, const std::string& text) {
    std::vector<std::byte> bytes = element(signature("desc"));
    put_u32(bytes, static_cast<std::uint32_t>(text.size() + 1));
    put_letters(bytes, text);
    put_zeros(bytes, 1 + 4 + 4 + 2 + 1 + 67);
    m_elements.push_back({{name}, std::move(bytes)});
}

void IccWriter::add_text(std::uint32_t name, const std::string& text) {
    std::vector<std::byte> bytes = element(signature("text"));
    put_letters(bytes, text);
    put_zeros(bytes, 1);
    m_elements.push_back({{name}, std::move(bytes)});
}

void IccWriter::add_xyz(std::uint32_t name, std::array<double, 3> xyz) {
    std::vector<std::byte> bytes = element(signature("XYZ "));
    for (const double value : xyz) {
        put_fixed(bytes, value);
    }
    m_elements.push_back({{name}, std::move(bytes)});
}

void IccWriter::add_gamma(std::span<const std::uint32_t> names, double gamma) {
    std::vector<std::byte> bytes = element(signature("curv"));
    put_u32(bytes, 1);
    put_u16(bytes, static_cast<std::uint32_t>(std::lround(gamma * 256)));
    m_elements.push_back({{names.begin(), names.end()}, std::move(bytes)});
}

void IccWriter::add_table(std::span<const std::uint32_t> names, std::span<const std::uint16_t> table) {
    std::vector<std::byte> bytes = element(signature("curv"));
    put_u32(bytes, static_cast<std::uint32_t>(table.size()));
    for (const std::uint16_t value : table) {
        put_u16(bytes, value);
    }
    m_elements.push_back({{names.begin(), names.end()}, std::move(bytes)});
}

void IccWriter::add_identity_lut(std::span<const std::uint32_t> names) {
    std::vector<std::byte> bytes = element(signature("mft2"));
    constexpr std::uint32_t channels = 3;
    constexpr std::uint32_t grid = 2;
    for (const std::uint32_t value : {channels, channels, grid, 0U}) {
        put(bytes, value, 1);
    }
    for (int i = 0; i < 9; ++i) {
        put_fixed(bytes, i % 4 == 0 ? 1 : 0);
    }
    put_u16(bytes, 2);  // Entries of each curve, in …
    put_u16(bytes, 2);  // … and out.
    const auto put_curves = [&bytes] {
        for (std::uint32_t i = 0; i < channels; ++i) {
            put_u16(bytes, 0);
            put_u16(bytes, 0xffff);
        }
    };
    put_curves();
    for (std::uint32_t node = 0; node < grid * grid * grid; ++node) {
        for (const std::uint32_t bit : {4U, 2U, 1U}) {
            put_u16(bytes, (node & bit) != 0 ? 0xffff : 0);
        }
    }
    put_curves();
    m_elements.push_back({{names.begin(), names.end()}, std::move(bytes)});
}

std::vector<std::byte> IccWriter::finish(std::uint32_t profile_class, std::uint32_t colour_space,
                                         std::uint32_t connection_space) const {
    std::size_t tag_count = 0;
    for (const Element& each : m_elements) {
        tag_count += each.names.size();
    }
    std::vector<std::byte> table;
    std::vector<std::byte> body;
    const std::size_t body_start = header_bytes + 4 + tag_entry_bytes * tag_count;
    put_u32(table, static_cast<std::uint32_t>(tag_count));
    for (const Element& each : m_elements) {
        for (const std::uint32_t name : each.names) {
            put_u32(table, name);
            put_u32(table, static_cast<std::uint32_t>(body_start + body.size()));
            put_u32(table, static_cast<std::uint32_t>(each.bytes.size()));
        }
        body.insert(body.end(), each.bytes.begin(), each.bytes.end());
        body.resize(aligned(body.size()));
    }

    std::vector<std::byte> out;
    put_u32(out, static_cast<std::uint32_t>(body_start + body.size()));
    put_u32(out, 0);           // No preferred colour engine.
    put_u32(out, 0x02400000);  // Version 2.4.
    put_u32(out, profile_class);
    put_u32(out, colour_space);
    put_u32(out, connection_space);
    for (const std::uint32_t part : {2026U, 1U, 1U, 0U, 0U, 0U}) {
        put_u16(out, part);  // A fixed date: the bytes are the same on every machine and day.
    }
    put_u32(out, signature("acsp"));
    put_zeros(out, 24);      // Platform, flags, maker, model, attributes.
    put_u32(out, 0);         // Perceptual, the default of the header.
    put_fixed(out, 0.9642);  // The PCS white.
    put_fixed(out, 1);
    put_fixed(out, 0.8249);
    put_zeros(out, header_bytes - out.size());
    out.insert(out.end(), table.begin(), table.end());
    out.insert(out.end(), body.begin(), body.end());
    return out;
}

}  // namespace hangtrue::colour

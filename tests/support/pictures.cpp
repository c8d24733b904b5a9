// SPDX-License-Identifier: Apache-2.0
#include "tests/support/pictures.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <fstream>
#include <iterator>
#include <numbers>
#include <random>
#include <stdexcept>

namespace hangtrue::support {
namespace {

void append(std::vector<std::byte>& bytes, std::string_view text) {
    for (const char letter : text) bytes.push_back(static_cast<std::byte>(letter));
}

void append_number(std::vector<std::byte>& bytes, std::uint32_t value, int length) {
    for (int i = 0; i < length; ++i) bytes.push_back(static_cast<std::byte>(value >> (8 * i)));
}

TestPicture blank(base::PixelSize size, int channels, int bits) {
    TestPicture picture{size, channels, bits, {}};
    picture.samples.resize(static_cast<std::size_t>(size.count() * channels));
    return picture;
}

}  // namespace

TestPicture gradient(base::PixelSize size, int channels, int bits) {
    TestPicture picture = blank(size, channels, bits);
    for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x) {
            for (int channel = 0; channel < channels; ++channel) {
                const double across = static_cast<double>(x) / std::max(1, size.width - 1);
                const double down = static_cast<double>(y) / std::max(1, size.height - 1);
                const double share = 0.25 * (1 + channel % 3);
                const double value = (share * across + (1 - share) * down) * picture.white();
                picture.at(x, y, channel) = static_cast<std::uint16_t>(std::lround(value));
            }
        }
    }
    return picture;
}

TestPicture grating(base::PixelSize size, int channels, int bits, double cycles_per_pixel, double amplitude) {
    TestPicture picture = blank(size, channels, bits);
    for (int x = 0; x < size.width; ++x) {
        const double wave = std::sin(2 * std::numbers::pi * cycles_per_pixel * x);
        const double value = 0.5 * picture.white() * (1 + amplitude * wave);
        for (int y = 0; y < size.height; ++y) {
            for (int channel = 0; channel < channels; ++channel) {
                picture.at(x, y, channel) = static_cast<std::uint16_t>(std::lround(value));
            }
        }
    }
    return picture;
}

TestPicture noise(base::PixelSize size, int channels, int bits, std::uint64_t seed) {
    TestPicture picture = blank(size, channels, bits);
    std::mt19937_64 random(seed);
    for (std::uint16_t& sample : picture.samples) sample = static_cast<std::uint16_t>(random() & picture.white());
    return picture;
}

TestPicture stored_as(const TestPicture& picture, int orientation) {
    // What the 0th stored row and the 0th stored column are, seen upright.
    enum class Side { top, bottom, left, right };
    struct Meaning {
        Side row;
        Side column;
    };
    static constexpr Meaning meanings[] = {
        {Side::top, Side::left}, {Side::top, Side::right}, {Side::bottom, Side::right}, {Side::bottom, Side::left},
        {Side::left, Side::top}, {Side::right, Side::top}, {Side::right, Side::bottom}, {Side::left, Side::bottom},
    };
    const Meaning meaning = meanings[orientation - 1];
    const auto [width, height] = picture.size;
    const bool quarter = orientation >= 5;
    TestPicture stored = blank(quarter ? base::PixelSize{height, width} : picture.size, picture.channels, picture.bits);
    const auto place = [&](Side side, int x, int y) {
        switch (side) {
            case Side::top: return y;
            case Side::bottom: return height - 1 - y;
            case Side::left: return x;
            default: return width - 1 - x;
        }
    };
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            for (int channel = 0; channel < picture.channels; ++channel) {
                stored.at(place(meaning.column, x, y), place(meaning.row, x, y), channel) = picture.at(x, y, channel);
            }
        }
    }
    return stored;
}

std::vector<std::byte> as_bytes(const TestPicture& picture) {
    std::vector<std::byte> bytes;
    if (picture.bits == 8) {
        for (const std::uint16_t sample : picture.samples) bytes.push_back(static_cast<std::byte>(sample));
    } else {
        bytes.resize(picture.samples.size() * 2);
        std::memcpy(bytes.data(), picture.samples.data(), bytes.size());
    }
    return bytes;
}

std::vector<std::byte> exif_block(int orientation, const std::string& copyright, const std::string& author) {
    std::vector<std::byte> block;
    const std::uint32_t entries = 3;
    const std::uint32_t texts_at = 8 + 2 + entries * 12 + 4;
    append(block, "II*");
    append_number(block, 0, 1);
    append_number(block, 8, 4);
    append_number(block, entries, 2);
    const auto entry = [&](std::uint32_t tag, std::uint32_t type, std::uint32_t count, std::uint32_t value) {
        append_number(block, tag, 2);
        append_number(block, type, 2);
        append_number(block, count, 4);
        append_number(block, value, 4);
    };
    // Texts are padded beyond four bytes, so that they never fit into the entry itself.
    const std::string first = author + std::string(5, '\0');
    const std::string second = copyright + std::string(5, '\0');
    entry(274, 3, 1, static_cast<std::uint32_t>(orientation));
    entry(315, 2, static_cast<std::uint32_t>(first.size()), texts_at);
    entry(33432, 2, static_cast<std::uint32_t>(second.size()), texts_at + static_cast<std::uint32_t>(first.size()));
    append_number(block, 0, 4);
    append(block, first);
    append(block, second);
    return block;
}

std::vector<std::byte> iptc_datasets(const std::string& copyright, const std::string& author) {
    std::vector<std::byte> datasets;
    const auto dataset = [&](std::uint32_t number, const std::string& text) {
        append_number(datasets, 0x1c, 1);
        append_number(datasets, 2, 1);
        append_number(datasets, number, 1);
        append_number(datasets, static_cast<std::uint32_t>(text.size() >> 8), 1);
        append_number(datasets, static_cast<std::uint32_t>(text.size() & 0xff), 1);
        append(datasets, text);
    };
    dataset(80, author);
    dataset(116, copyright);
    return datasets;
}

std::string xmp_packet(const std::string& rights, const std::string& creator) {
    return "<?xpacket begin=\"\xef\xbb\xbf\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>"
           "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">"
           "<rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\">"
           "<dc:rights>\n <rdf:Alt>\n  <rdf:li xml:lang=\"x-default\">" +
           rights + "</rdf:li>\n </rdf:Alt>\n</dc:rights><dc:creator><rdf:Seq><rdf:li>" + creator +
           "</rdf:li></rdf:Seq></dc:creator></rdf:Description></rdf:RDF></x:xmpmeta><?xpacket end=\"w\"?>";
}

std::vector<std::byte> stand_in_profile(std::size_t length) {
    std::vector<std::byte> bytes(length);
    for (std::size_t i = 0; i < length; ++i) bytes[i] = static_cast<std::byte>(i * 7 + i / 251);
    return bytes;
}

std::vector<std::byte> file_bytes(const std::filesystem::path& file) {
    std::ifstream stream(file, std::ios::binary);
    if (!stream) throw std::runtime_error("cannot read " + file.string());
    const std::string text{std::istreambuf_iterator<char>(stream), {}};
    std::vector<std::byte> bytes;
    append(bytes, text);
    return bytes;
}

void write_bytes(const std::filesystem::path& file, std::span<const std::byte> bytes) {
    // A new file: some file systems wait for the disk when an old one is written over.
    std::filesystem::remove(file);
    std::ofstream stream(file, std::ios::binary);
    stream.write(reinterpret_cast<const char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
    if (!stream) throw std::runtime_error("cannot write " + file.string());
}

}  // namespace hangtrue::support

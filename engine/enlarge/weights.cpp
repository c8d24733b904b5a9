// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/weights.h"

#include <bit>
#include <charconv>
#include <cstring>
#include <map>
#include <string_view>
#include <utility>

#include "engine/base/error.h"
#include "engine/base/output_file.h"

namespace hangtrue::enlarge {
namespace {

static_assert(std::endian::native == std::endian::little, "weights are little-endian");

constexpr std::int64_t most_bytes = 64'000'000;
constexpr int most_channels = 512;
constexpr int most_blocks = 256;

constexpr const char* way_out = " Install Hangtrue's weights again, or enlarge with the filter (--enlarge filter).";

[[noreturn]] void refuse(const std::filesystem::path& file, const std::string& what) {
    throw base::UnreadableInput(file.string() + " " + what + way_out);
}

std::string bytes_of(const std::filesystem::path& file) {
    std::error_code ignored;
    if (!std::filesystem::exists(file, ignored)) refuse(file, "is missing.");
    try {
        return base::read_whole_file(file, most_bytes);
    } catch (const base::UnreadableInput& error) {
        throw base::UnreadableInput(error.what() + std::string(way_out));
    }
}

using Header = std::map<std::string, std::string, std::less<>>;

/// The words before the empty line, and where the floats begin.
std::pair<Header, std::size_t> header_of(std::string_view text) {
    Header header;
    std::size_t at = 0;
    while (true) {
        const std::size_t end = text.find('\n', at);
        if (end == std::string_view::npos) return {};
        const std::string_view line = text.substr(at, end - at);
        at = end + 1;
        if (line.empty()) return {header, at};
        const std::size_t space = line.find(' ');
        if (space == std::string_view::npos) return {};
        header.emplace(line.substr(0, space), line.substr(space + 1));
    }
}

/// -1 where the word is missing or no whole number from 0 to `most`.
int whole_number(const Header& header, std::string_view word, int most) {
    const auto found = header.find(word);
    if (found == header.end()) return -1;
    const std::string& text = found->second;
    int value = -1;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    return error == std::errc() && end == text.data() + text.size() && value <= most ? value : -1;
}

/// Inputs and outputs of each convolution, in the order of the file.
std::vector<std::pair<int, int>> sizes_of(int channels, int blocks) {
    std::vector<std::pair<int, int>> sizes{{network_inputs, channels}};
    sizes.insert(sizes.end(), 2 * static_cast<std::size_t>(blocks) + 1, {channels, channels});
    sizes.emplace_back(channels, network_outputs);
    return sizes;
}

}  // namespace

Weights Weights::from_file(const std::filesystem::path& file) {
    const std::string bytes = bytes_of(file);
    if (!bytes.starts_with("hangtrue-weights ")) refuse(file, "does not hold an enlarging network's weights.");
    const auto [header, start] = header_of(std::string_view(bytes).substr(0, 4096));
    if (header.empty()) refuse(file, "is cut short.");
    if (header.at("hangtrue-weights") != "1") refuse(file, "is of another version than this program reads.");

    Weights weights;
    weights.m_channels = whole_number(header, "channels", most_channels);
    weights.m_blocks = whole_number(header, "blocks", most_blocks);
    const auto hash = header.contains("sha256") ? base::Sha256::from_hex(header.at("sha256")) : std::nullopt;
    if (weights.m_channels < 1 || weights.m_blocks < 1 || !header.contains("name") || !hash ||
        whole_number(header, "inputs", network_inputs) != network_inputs) {
        refuse(file, "describes no network that this program knows.");
    }
    weights.m_name = header.at("name");
    weights.m_hash = *hash;
    if (weights.m_name != file.stem()) refuse(file, "holds the weights of \"" + weights.m_name + "\".");

    const auto sizes = sizes_of(weights.m_channels, weights.m_blocks);
    std::size_t count = 0;
    for (const auto& [inputs, outputs] : sizes) count += static_cast<std::size_t>(outputs * (9 * inputs + 1));
    if (!header.contains("floats") || header.at("floats") != std::to_string(count)) {
        refuse(file, "does not hold as many weights as its network has.");
    }
    const std::string_view data = std::string_view(bytes).substr(start);
    if (data.size() < count * sizeof(float)) refuse(file, "is cut short.");
    if (data.size() > count * sizeof(float) || base::sha256(data) != *hash) refuse(file, "is damaged.");

    weights.m_floats.resize(count);
    std::memcpy(weights.m_floats.data(), data.data(), data.size());
    std::span<const float> left = weights.m_floats;
    for (const auto& [inputs, outputs] : sizes) {
        const auto kernel = static_cast<std::size_t>(outputs * inputs * 9);
        weights.m_convolutions.push_back(
            {inputs, outputs, left.first(kernel), left.subspan(kernel, static_cast<std::size_t>(outputs))});
        left = left.subspan(kernel + static_cast<std::size_t>(outputs));
    }
    return weights;
}

}  // namespace hangtrue::enlarge

// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/test_faults.h"

#include <array>
#include <cerrno>
#include <charconv>
#include <csignal>
#include <string>

#include "engine/base/error.h"

namespace hangtrue::cli {

namespace {

constexpr std::array steps{
    base::Step::temporary_made, base::Step::half_written,    base::Step::written, base::Step::synced,
    base::Step::verified,       base::Step::intention_noted, base::Step::renamed, base::Step::recorded,
};
constexpr std::array calls{base::Call::write, base::Call::sync, base::Call::rename, base::Call::sync_folder};

[[noreturn]] void refuse(std::string_view fault) {
    throw base::InvalidWish("HANGTRUE_FAULT is for tests and cannot be \"" + std::string(fault) + "\". Unset it.");
}

template <typename Value, std::size_t Count>
Value named(const std::array<Value, Count>& known, std::string_view name, std::string_view fault) {
    for (const Value value : known) {
        if (base::name_of(value) == name) return value;
    }
    refuse(fault);
}

template <typename Number>
Number number(std::string_view text, std::string_view fault) {
    Number value = 0;
    const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || stop != text.data() + text.size()) refuse(fault);
    return value;
}

}  // namespace

TestFaults::TestFaults(std::string_view text) {
    while (!text.empty()) {
        const std::string_view fault = text.substr(0, text.find(','));
        add(fault);
        text.remove_prefix(std::min(text.size(), fault.size() + 1));
    }
}

void TestFaults::add(std::string_view fault) {
    const std::size_t at = fault.find('@');
    if (at == std::string_view::npos) refuse(fault);
    const std::string_view what = fault.substr(0, at);
    const std::string_view where = fault.substr(at + 1);
    if (what == "kill" || what == "interrupt") {
        m_signals.push_back({named(steps, where, fault), what == "kill" ? SIGKILL : SIGINT});
    } else if (what == "ENOSPC" || what == "EIO") {
        const std::size_t colon = where.find(':');
        const long first = colon == std::string_view::npos ? 1 : number<long>(where.substr(colon + 1), fault);
        m_failing.push_back({named(calls, where.substr(0, colon), fault), what == "EIO" ? EIO : ENOSPC, first});
    } else if (what == "flip") {
        m_flips.push_back(number<std::int64_t>(where, fault));
    } else {
        refuse(fault);
    }
}

void TestFaults::reached(base::Step step) {
    for (const AtStep& fault : m_signals) {
        if (fault.step == step) raise(fault.signal);
    }
}

int TestFaults::failing(base::Call call) {
    const long now = ++m_calls[static_cast<std::size_t>(call)];
    for (const FailingCall& fault : m_failing) {
        if (fault.call == call && now >= fault.first) return fault.error_number;
    }
    return 0;
}

void TestFaults::altering(std::span<std::byte> bytes, std::int64_t offset) {
    for (const std::int64_t flip : m_flips) {
        const std::int64_t place = flip - offset;
        if (place >= 0 && place < static_cast<std::int64_t>(bytes.size())) {
            bytes[static_cast<std::size_t>(place)] ^= std::byte{1};
        }
    }
}

}  // namespace hangtrue::cli

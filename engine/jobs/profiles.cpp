// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/profiles.h"

#include <string>

#include "engine/base/error.h"
#include "engine/base/output_file.h"

namespace hangtrue::jobs {
namespace {

constexpr std::int64_t largest_profile = 64LL * 1024 * 1024;

FileSpace file_space(colour::Profile profile, std::string name) {
    plan::FileSpaceFacts facts{profile.hash(), std::move(name), static_cast<std::int64_t>(profile.bytes().size())};
    return {std::move(profile), std::move(facts)};
}

colour::Profile profile_beside_shops(const shops::Medium& medium, const Context& context) {
    const auto file = context.data_folder / "shops" / medium.print_profile;
    const std::string bytes = base::read_whole_file(file, largest_profile);
    return colour::Profile::from_bytes(std::as_bytes(std::span(bytes)), file.string());
}

}  // namespace

FileSpace file_space_of(const shops::Medium& medium, const Context& context) {
    switch (medium.file_space.value_or(shops::FileSpace::srgb)) {
        case shops::FileSpace::srgb: break;
        case shops::FileSpace::adobe_rgb: return file_space(colour::Profile::adobe_rgb(), "Adobe RGB (1998)");
        case shops::FileSpace::print_profile: {
            colour::Profile profile = profile_beside_shops(medium, context);
            std::string name = profile.description();
            return file_space(std::move(profile), std::move(name));
        }
    }
    return file_space(colour::Profile::srgb(), "sRGB");
}

std::optional<colour::Profile> print_profile_of(const shops::Medium& medium, const Context& context) {
    if (medium.print_profile.empty()) return std::nullopt;
    return profile_beside_shops(medium, context);
}

colour::Profile profile_with(const base::Sha256& hash, const ledger::Ledger& ledger, const std::string& what_for) {
    for (const auto& profile : {colour::Profile::srgb(), colour::Profile::adobe_rgb(), colour::Profile::srgb_grey()}) {
        if (profile.hash() == hash) return profile;
    }
    if (const auto bytes = ledger.profile(hash)) return colour::Profile::from_bytes(*bytes, "the ledger");
    throw base::UnreadableInput("The colour profile that " + what_for + " needs is not in the ledger (" +
                                hash.hex().substr(0, 12) + "…). Was the plan made on another computer?");
}

}  // namespace hangtrue::jobs

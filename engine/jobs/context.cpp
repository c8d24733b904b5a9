// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/context.h"

#include <system_error>

namespace hangtrue::jobs {

base::OutputFile::Existing existing_rule(bool replace) {
    return replace ? base::OutputFile::Existing::replace : base::OutputFile::Existing::refuse;
}

void refuse_the_picture_itself(const std::filesystem::path& picture, const std::filesystem::path& out) {
    std::error_code missing;
    if (!std::filesystem::equivalent(picture, out, missing)) return;
    throw base::InvalidWish(out.string() +
                            " is the picture itself, which is never written over. Choose another name or folder.");
}

shops::ShopFolder known_shops(const Context& context) { return shops::shops_in(context.data_folder / "shops"); }

}  // namespace hangtrue::jobs

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

void expect_free_name(const std::filesystem::path& picture, const std::filesystem::path& out, bool replace,
                      const Context& context) {
    refuse_the_picture_itself(picture, out);
    const base::OutputFile probe(out, existing_rule(replace), context.faults);
}

std::filesystem::path scratch_folder() {
    std::error_code status;
    std::filesystem::path folder = std::filesystem::temp_directory_path(status);
    if (status) {
        throw base::WriteFailed(
            "The folder for temporary files is not there. Make the one that TMPDIR names, or have TMPDIR name "
            "another.");
    }
    return folder;
}

shops::ShopFolder known_shops(const Context& context) { return shops::shops_in(context.data_folder / "shops"); }

}  // namespace hangtrue::jobs

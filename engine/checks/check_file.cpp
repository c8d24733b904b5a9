// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/colour/profile.h"
#include "engine/plan/file_choice.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {
namespace {

using raster::FileFormat;
using raster::TiffCompression;

std::string word_of(FileFormat format) { return format == FileFormat::jpeg ? "jpeg" : "tiff"; }

std::string word_of(TiffCompression compression) {
    switch (compression) {
        case TiffCompression::none: return "none";
        case TiffCompression::lzw: return "lzw";
        case TiffCompression::deflate: return "deflate";
    }
    return "";
}

template <typename Value>
bool holds(const std::vector<Value>& values, const Value& value) {
    return std::find(values.begin(), values.end(), value) != values.end();
}

/// The fewest bytes for the same pixels that the shop takes.
std::string smaller_file_option(const Subject& subject) {
    const auto& rules = subject.medium.rules;
    if (rules.formats.empty() || holds(rules.formats, std::string("jpeg"))) return "--format jpeg";
    if (subject.plan.file.bits > 8 && (!rules.tiff_bits || holds(*rules.tiff_bits, 8))) return "--bits 8";
    return {};
}

/// The plan's ppi times `share`, where the medium takes so few.
std::string ppi_option(const Subject& subject, double share) {
    const double ppi = std::floor(subject.plan.ppi.value * share);
    const bool is_taken = subject.medium.ppi.least ? ppi >= subject.medium.ppi.least->value : ppi >= 1;
    if (!is_taken || subject.medium.pixel_rule == shops::PixelRule::exact) return {};
    return "--ppi " + base::number_text(ppi, 0);
}

void check_form(const Subject& subject, std::vector<Finding>& findings) {
    const auto& file = subject.plan.file;
    const auto& rules = subject.medium.rules;
    if (!rules.formats.empty() && !holds(rules.formats, word_of(file.format))) {
        findings.push_back(found("format-not-taken",
                                 "The shop takes no " + word_of(file.format) + " file for " + subject.medium.name + ".",
                                 {}, "Take " + plan::listed(rules.formats) + ".", "--format " + rules.formats.front()));
    }
    if (file.format != FileFormat::tiff) return;
    if (rules.tiff_bits && !rules.tiff_bits->empty() && !holds(*rules.tiff_bits, file.bits)) {
        findings.push_back(
            found("depth-not-taken", "The shop does not take TIFF files of " + std::to_string(file.bits) + " bits.",
                  {static_cast<double>(file.bits), static_cast<double>(rules.tiff_bits->front()), "bits"},
                  "Take " + std::to_string(rules.tiff_bits->front()) + " bits.",
                  "--bits " + std::to_string(rules.tiff_bits->front())));
    }
    if (rules.tiff_compressions && !rules.tiff_compressions->empty() &&
        !holds(*rules.tiff_compressions, word_of(file.compression))) {
        findings.push_back(
            found("compression-not-taken",
                  file.compression == TiffCompression::none
                      ? "The shop does not take TIFF files without compression."
                      : "The shop does not take TIFF files compressed with " + word_of(file.compression) + ".",
                  {}, "Take " + plan::listed(*rules.tiff_compressions) + ".",
                  "--compression " + rules.tiff_compressions->front()));
    }
    if (file.big_tiff && !rules.big_tiff.value_or(false)) {
        findings.push_back(
            found("big-tiff-not-taken", "The file would be a BigTIFF, and the shop has not said that it takes those.",
                  {}, "Take 8 bits, JPEG or a smaller size, or ask the shop.", smaller_file_option(subject)));
    } else if (file.big_tiff) {
        findings.push_back(
            found("big-tiff", "The file is a BigTIFF: it is larger than 4.29 GB, where a plain TIFF ends.", {},
                  "Take 8 bits or JPEG if the shop's page does not take it after all.", smaller_file_option(subject)));
    }
}

void check_amounts(const Subject& subject, std::vector<Finding>& findings) {
    const auto& plan = subject.plan;
    const auto& rules = subject.medium.rules;
    const base::PixelSize size = plan.geometry.file;
    const auto as_figure = [](auto value) { return static_cast<double>(value); };
    if (plan.file.format == FileFormat::tiff && rules.most_bytes) {
        const auto profile_bytes = plan.file.embed_profile ? plan.file_profile_bytes : 0;
        const auto bytes = plan::tiff_bytes(plan.file, plan::size_tags(size, plan.file.bits, plan.ppi, profile_bytes,
                                                                       plan.picture.copyright, plan.picture.author));
        // How far a compressed one shrinks is seen when it is written; it is not kept where that is not far enough.
        const bool is_exact = plan.file.compression == TiffCompression::none;
        if (is_exact && bytes > *rules.most_bytes) {
            findings.push_back(found("file-too-large",
                                     "The file would have " + base::bytes_text(bytes) +
                                         ", and the shop takes at most " + base::bytes_text(*rules.most_bytes) + ".",
                                     {as_figure(bytes), as_figure(*rules.most_bytes), "bytes"},
                                     "Take JPEG or 8 bits where the shop takes them, a lower --ppi or a smaller size.",
                                     smaller_file_option(subject)));
        }
    }
    if (rules.most_pixels && size.count() > *rules.most_pixels) {
        findings.push_back(found(
            "too-many-pixels",
            "The file would have " + base::count_text(size.count()) + " pixels, and the shop takes at most " +
                base::count_text(*rules.most_pixels) + ".",
            {as_figure(size.count()), as_figure(*rules.most_pixels), "px"}, "Take a lower --ppi or a smaller size.",
            ppi_option(subject, std::sqrt(as_figure(*rules.most_pixels) / as_figure(size.count())))));
    }
    const int side = std::max(size.width, size.height);
    if (rules.most_side_px && side > *rules.most_side_px) {
        findings.push_back(
            found("side-too-long",
                  "The file would be " + base::count_text(side) + " pixels long, and the shop takes at most " +
                      base::count_text(*rules.most_side_px) + " a side.",
                  {as_figure(side), as_figure(*rules.most_side_px), "px"}, "Take a lower --ppi or a smaller size.",
                  ppi_option(subject, as_figure(*rules.most_side_px) / as_figure(side))));
    }
}

void check_space(const Subject& subject, std::vector<Finding>& findings) {
    const auto& plan = subject.plan;
    const auto& asked = subject.medium.file_space;
    const auto wants = [&](shops::FileSpace space, const colour::Profile& profile) {
        return asked == space && plan.file_profile != profile.hash();
    };
    if (wants(shops::FileSpace::srgb, colour::Profile::srgb()) ||
        wants(shops::FileSpace::adobe_rgb, colour::Profile::adobe_rgb())) {
        findings.push_back(found("wrong-file-space",
                                 "The shop asks for " +
                                     std::string(asked == shops::FileSpace::srgb ? "sRGB" : "Adobe RGB (1998)") +
                                     ", and the file is planned in " + plan.file_space_name + ".",
                                 {}, "Settle the wish again: the plan was made for other rules."));
    }
    if (!asked) {
        findings.push_back(found("file-space-untold",
                                 "The shop has not said which colour space it wants; the file is in " +
                                     plan.file_space_name + ", which nearly all take.",
                                 {}, "Ask the shop (shop questions) and note the answer as file_space."));
    }
    const auto& embed = subject.medium.rules.embed_profile;
    if (embed && *embed != plan.file.embed_profile) {
        findings.push_back(found("profile-rule",
                                 *embed ? "The shop wants the profile embedded, and the file would have none."
                                        : "The shop wants no profile embedded, and the file would have one.",
                                 {}, "Settle the wish again: the plan was made for other rules."));
    }
}

void check_name(const Subject& subject, std::vector<Finding>& findings) {
    const std::string& name = subject.plan.file.name;
    const auto& rules = subject.medium.rules;
    // UTF-8: every byte but the continuing ones begins a character.
    const auto characters = std::count_if(name.begin(), name.end(),
                                          [](char byte) { return (static_cast<unsigned char>(byte) & 0xc0U) != 0x80; });
    if (rules.most_name_length && characters > *rules.most_name_length) {
        findings.push_back(
            found("name-too-long",
                  "The file's name, " + plan::in_quotes(name) + ", has " + std::to_string(characters) +
                      " characters, and the shop takes at most " + std::to_string(*rules.most_name_length) + ".",
                  {static_cast<double>(characters), static_cast<double>(*rules.most_name_length), "characters"},
                  "Shorten the name rule in the shop file, or the picture's name."));
    }
    const bool is_ascii =
        std::all_of(name.begin(), name.end(), [](char byte) { return static_cast<unsigned char>(byte) < 0x80; });
    if (rules.ascii_names.value_or(false) && !is_ascii) {
        findings.push_back(
            found("name-not-ascii",
                  "The file's name, " + plan::in_quotes(name) + ", holds letters that the shop does not take.", {},
                  "Use the letters a to z, digits, spaces, - and _ alone."));
    }
}

}  // namespace

void check_file(const Subject& subject, std::vector<Finding>& findings) {
    check_form(subject, findings);
    check_amounts(subject, findings);
    check_shape(subject, findings);
    check_space(subject, findings);
    check_name(subject, findings);
}

}  // namespace hangtrue::checks

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/test_words.h"

#include <cmath>

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/report/ticket.h"
#include "engine/text/document.h"
#include "engine/trial/learn.h"

namespace hangtrue::jobs {
namespace {

using base::number_text;
using trial::Learned;

/// Less of a gain than this is not worth a print.
constexpr double least_gain = 0.25;

/// "darker by 4.1", …: how prints come back, from what files need.
std::string bias_words(const colour::Shift& needed) {
    constexpr double told = 0.7;  // Less is not to be seen.
    std::vector<std::string> parts;
    const auto add = [&](double value, const char* when_positive, const char* when_negative) {
        if (std::abs(value) < told) return;
        parts.push_back(std::string(value > 0 ? when_positive : when_negative) + " by " +
                        number_text(std::abs(value), 1));
    };
    add(needed.lightness, "too dark", "too light");
    add(needed.a, "too green", "too magenta");
    add(needed.b, "too blue", "too yellow");
    constexpr double told_contrast = 0.03;
    if (std::abs(needed.contrast) >= told_contrast) {
        parts.push_back(std::string(needed.contrast > 0 ? "too flat" : "too contrasty") + " by " +
                        number_text(std::abs(needed.contrast) * 100, 0) + " %");
    }
    std::string words;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        words += (i == 0 ? "" : i + 1 == parts.size() ? " and " : ", ") + parts[i];
    }
    return words;
}

std::string source_words(const Learned& learned) {
    const std::string sheets = learned.sheets == 1 ? "one test sheet" : std::to_string(learned.sheets) + " test sheets";
    switch (learned.by) {
        case Learned::By::scan: return "Measured on " + sheets;
        case Learned::By::photograph: return "Read from photographs of " + sheets;
        default: return "Judged by eye on " + sheets;
    }
}

/// An eye slips at times; a second answer shows whether it did.
bool rests_on_one_answer(const Learned& learned) {
    return learned.by == Learned::By::eye && learned.is_applied && learned.sheets == 1;
}

std::string price_words(const TestStatus& status) {
    return status.sheet_cents ? ", for " + report::money_text(*status.sheet_cents, status.currency) + "," : "";
}

}  // namespace

trial::Answer::All all_too(const std::string& word) {
    std::vector<std::string> known;
    for (const auto& one : trial::Answer::all_words) {
        if (one.word == word) return one.value;
        known.emplace_back(one.word);
    }
    throw base::InvalidWish("All of them too \"" + word + "\" is not understood: it is " + text::list_of_words(known) +
                            ".");
}

bool is_enough(const Learned& learned, const std::optional<double>& error_after_next) {
    if (learned.by == Learned::By::nothing || rests_on_one_answer(learned)) return false;
    constexpr double good_scan = 2;  // A scan that fits worse is of something odd: creased, shaded, another medium.
    if (learned.by == Learned::By::scan && learned.error <= good_scan) return true;
    if (learned.error <= trial::good_enough) return true;
    return error_after_next && learned.error - *error_after_next < least_gain;
}

std::vector<std::string> status_sentences(const TestStatus& status) {
    const Learned& learned = status.learned;
    const std::string medium = "\"" + status.medium_name + "\" from " + status.shop_name;
    if (learned.by == Learned::By::nothing) {
        if (status.sheets_made > 0) {
            return {"Nothing was read yet of the " +
                    (status.sheets_made == 1 ? "test sheet" : std::to_string(status.sheets_made) + " test sheets") +
                    " of " + medium + ": answer or scan it."};
        }
        return {"No test sheet was made yet for " + medium + ": begin with one."};
    }
    std::vector<std::string> sentences;
    const std::string bias = bias_words(learned.shift);
    sentences.push_back(source_words(learned) + ", prints on " + medium + " come back " +
                        (bias.empty() ? "as the picture is, as far as can be seen" : bias) +
                        " in the middle tones (1 is just visible side by side).");
    const double unsure = std::max({learned.sd.lightness, learned.sd.a, learned.sd.b});
    sentences.push_back("Each of these figures is sure to about " + number_text(unsure, 1) + " either way.");
    const std::string errors = "an uncorrected print is expected to differ from the picture by " +
                               number_text(learned.error_now, 1) + ", a corrected one by " +
                               number_text(learned.error, 1) + " (1 is just visible)";
    if (learned.is_applied) {
        sentences.push_back("Correction " + std::to_string(status.correction_id) + " is applied to prints: " + errors +
                            ".");
    } else {
        const bool gains = learned.error_now - learned.error > least_gain;
        sentences.push_back("No correction is applied: " + errors +
                            (gains ? ", and it is not sure enough yet that it would." : ": too little to be seen."));
    }
    if (learned.by == Learned::By::eye && learned.error > trial::good_enough) {
        sentences.emplace_back("What lightness, tint and contrast cannot mend needs a scan to be told.");
    }
    if (status.is_enough) {
        sentences.emplace_back("Stop here: one more sheet would hardly show.");
    } else if (status.error_after_next) {
        std::string more = "One more: another sheet" + price_words(status) +
                           " would bring the difference that is left from " + number_text(learned.error, 1) +
                           " to about " + number_text(*status.error_after_next, 1);
        if (rests_on_one_answer(learned)) more += ", and show whether the only answer so far was a slip of the eye";
        sentences.push_back(more + ".");
    } else {
        sentences.emplace_back("One more: a scan with a profile would tell more than a photograph can.");
    }
    return sentences;
}

std::string scan_remark(const trial::Measured& measured, bool has_profile, bool is_photograph) {
    std::string remark;
    if (has_profile) {
        remark = "The file has a colour profile, so its colours were taken as measured.";
    } else if (is_photograph) {
        remark = "It is a photograph: greys were compared with the bare paper beside them, colours were left alone.";
    } else {
        remark =
            "The file has no colour profile: greys were compared with the bare paper beside them, colours were left "
            "alone. A scan with the scanner's profile in it tells more.";
    }
    if (measured.f50_cycles_per_mm) {
        remark += " The print keeps half of its contrast at " + number_text(*measured.f50_cycles_per_mm, 1) +
                  " lines (cycles) a millimetre; sharpening goes by that where the shop's file does not say otherwise.";
    } else {
        remark +=
            std::string(" How much the print blurs could not be told from it: ") +
            (is_photograph ? "lay the whole sheet on a plain dark table, its edges in the picture, let it fill "
                             "most of it, and turn the camera's own sharpening off."
                           : "scan at 600 ppi or more, or the whole sheet, a little askew, under something dark.");
    }
    return remark;
}

}  // namespace hangtrue::jobs

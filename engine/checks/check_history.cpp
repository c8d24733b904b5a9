// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {
namespace {

using base::number_text;

/// Colour difference that is just visible side by side, and so in a picture that should be grey all over.
constexpr double visible_tint = 1;

std::string test_sheet_command(const plan::Plan& plan) {
    return "hangtrue test sheet " + plan::in_quotes(plan.picture.name) + " " + print_options(plan);
}

void check_correction(const AppliedCorrection& correction, const plan::Plan& plan, std::vector<Finding>& findings) {
    const std::string name = "Correction " + std::to_string(correction.id);
    if (correction.has_light && correction.judged_lux && *correction.judged_lux < least_judging_lux) {
        findings.push_back(found(
            "light-counted-twice",
            name + " was judged by eye under " + number_text(*correction.judged_lux, 0) +
                " lux and so makes prints lighter for dim light already; --light would do it once more.",
            {*correction.judged_lux, least_judging_lux, "lux"},
            "Leave --light out, or judge a test sheet under " + number_text(least_judging_lux, 0) + " lux or more.",
            "--light off"));
    }
    if (correction.age_days > correction.most_days) {
        findings.push_back(with_command(found("correction-old",
                                              name + " was learned " + number_text(correction.age_days, 0) +
                                                  " days ago: the shop's printer or paper may have changed since.",
                                              {correction.age_days, correction.most_days, "days"},
                                              "Print a test sheet, or leave the correction out.", "--correction none"),
                                        test_sheet_command(plan)));
    }
    if (correction.has_different_screens) {
        findings.push_back(with_command(
            found("screen-changed",
                  name +
                      " was learned from answers that were judged on different screens, or on one whose settings had "
                      "changed: part of it may correct the screen, not the shop.",
                  {}, "Scan a test sheet, which needs no screen; or judge the sheets again, all on one screen."),
            "hangtrue test status"));
    }
    if (correction.paper_difference > most_paper_difference) {
        findings.push_back(
            found("paper-changed",
                  "The paper of the last test print differs by " + number_text(correction.paper_difference, 1) +
                      " from that of the one before (1 is just visible): the shop seems to have changed it.",
                  {correction.paper_difference, most_paper_difference, "dE00"},
                  "Scan another test sheet on the new paper; older ones tell of the old one."));
    }
    if (correction.clipped_share > most_clipped_share) {
        findings.push_back(
            with_command(found("correction-clips",
                               name + " would have " + percent_text(correction.clipped_share) +
                                   " of the picture stronger in colour than the file can hold: there the print "
                                   "differs from the picture.",
                               {100 * correction.clipped_share, 100 * most_clipped_share, "%"},
                               "Look at those colours; hold them back in your editor, or leave the correction out.",
                               "--correction none"),
                         "hangtrue view"));
    }
}

void check_test_prints(const History& history, const plan::Plan& plan, std::vector<Finding>& findings) {
    if (history.sheets_read > 0) return;
    const std::string medium = plan.medium_name + (plan.process.empty() ? "" : " (" + plan.process + ")");
    findings.push_back(
        with_command(found("no-test-print",
                           history.sheets_made == 0
                               ? "No test print of " + medium +
                                     " has been made yet: how bright and how neutral it prints is not known."
                               : "A test sheet of " + medium + " was made, and nothing has been answered from it yet.",
                           {0, 1, "test prints"},
                           history.sheets_made == 0 ? "A small test print first costs little."
                                                    : "Answer or scan it; it may be on its way."),
                     history.sheets_made == 0 ? test_sheet_command(plan) : "hangtrue test answer"));
}

void check_black_and_white(const History& history, const plan::Plan& plan, std::vector<Finding>& findings) {
    if (!plan.picture.is_neutral || history.tint_doubt <= visible_tint) return;
    findings.push_back(with_command(
        found("tint-in-black-and-white",
              "A black-and-white print shows every tint of the printer, and how neutral this medium prints "
              "is known to " +
                  number_text(history.tint_doubt, 1) + " only (1 is just visible).",
              {history.tint_doubt, visible_tint, "dE00"}, "Scan a test sheet of this medium first."),
        test_sheet_command(plan)));
}

std::string state_words(const EarlierPrint& earlier, const plan::Plan& plan) {
    if (!earlier.is_same_picture) return "The picture was edited in between.";
    std::string words;
    // Each medium has corrections of its own, which are not compared.
    if (earlier.is_same_medium && earlier.correction != plan.correction.id) {
        const auto name = [](std::int64_t id) {
            return id == 0 ? std::string("no correction") : "correction " + std::to_string(id);
        };
        words = "That one has " + name(earlier.correction) + ", this one " + name(plan.correction.id) + ".";
    }
    if (earlier.light_lux != plan.light.lux) {
        const auto light = [](double lux) {
            return lux > 0 ? "for a light of " + number_text(lux, 0) + " lux" : std::string("without --light");
        };
        words += std::string(words.empty() ? "" : " ") + "That one was made " + light(earlier.light_lux) +
                 ", this one is " + light(plan.light.lux) + ".";
    }
    return words;
}

/// Against the newest print of this medium, else the newest of any.
void check_lightness(const History& history, const plan::Plan& plan, std::vector<Finding>& findings) {
    const EarlierPrint* earlier = nullptr;
    for (const EarlierPrint& print : history.earlier) {
        if (earlier == nullptr || (print.is_same_medium && !earlier->is_same_medium)) earlier = &print;
    }
    if (earlier == nullptr) return;
    const double change = earlier->lightness_now - earlier->lightness_then;
    if (std::abs(change) <= most_lightness_change) return;
    const std::string why = state_words(*earlier, plan);
    findings.push_back(
        with_command(found("lightness-changed",
                           std::string("This print will be ") + (change > 0 ? "brighter" : "darker") +
                               " than the one of " + earlier->made_on + " on " + earlier->medium_name + " (number " +
                               std::to_string(earlier->id) + " in the ledger): by " + number_text(std::abs(change), 1) +
                               " of 100 on average." + (why.empty() ? "" : " " + why),
                           {std::abs(change), most_lightness_change, "L*"},
                           earlier->is_same_medium ? "If it shall look like that one, make that one again."
                                                   : "Look at both side by side before you pay."),
                     earlier->is_same_medium ? "hangtrue ledger again " + std::to_string(earlier->id) : std::string()));
}

}  // namespace

std::vector<Finding> findings_of(const History& history, const plan::Plan& plan) {
    std::vector<Finding> findings;
    if (history.correction) check_correction(*history.correction, plan, findings);
    check_test_prints(history, plan, findings);
    check_black_and_white(history, plan, findings);
    check_lightness(history, plan, findings);
    return findings;
}

}  // namespace hangtrue::checks

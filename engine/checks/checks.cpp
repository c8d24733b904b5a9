// SPDX-License-Identifier: Apache-2.0
#include "engine/checks/checks.h"

#include <algorithm>
#include <cassert>

#include "engine/base/units_text.h"
#include "engine/checks/parts.h"
#include "engine/plan/words.h"

namespace hangtrue::checks {

const std::vector<CheckInfo>& table() {
    using enum Severity;
    constexpr bool passable = true;
    constexpr bool never = false;  // A shop's file rule: a file that breaks it is money lost.
    static const std::vector<CheckInfo> rows{
        {"format-not-taken", stop, never, "The shop does not take this file format for this medium."},
        {"depth-not-taken", stop, never, "The shop does not take TIFF files of this many bits."},
        {"compression-not-taken", stop, never, "The shop does not take TIFF files compressed this way."},
        {"big-tiff-not-taken", stop, never, "The file is a BigTIFF, and the shop has not said that it takes those."},
        {"file-too-large", stop, never,
         "The TIFF has (compressed: may have) more bytes than the shop takes. A JPEG's quality is "
         "fitted to the limit."},
        {"too-many-pixels", stop, never, "The file has more pixels than the shop takes."},
        {"side-too-long", stop, never, "A side of the file has more pixels than the shop takes."},
        {"pixels-not-exact", stop, never, "The shop wants exact pixel numbers, and the file has others."},
        {"shape-off", stop, never,
         "The file's sides have a ratio that is further from the wanted one than the shop's tolerance."},
        {"wrong-file-space", stop, never, "The file is not in the colour space that the shop asks for."},
        {"profile-rule", stop, never,
         "The shop asks for the profile to be embedded, or for none, and the file does the other."},
        {"name-too-long", stop, never, "The file's name is longer than the shop takes."},
        {"name-not-ascii", stop, never, "The file's name holds letters that the shop does not take."},
        {"medium-gone", stop, passable,
         "A plan settled earlier is for a medium that the shop file does not have any more, so that no rule of the "
         "shop was checked."},
        {"size-gone", stop, passable, "A plan settled earlier is for a size that the medium does not have any more."},
        {"too-few-pixels", stop, passable,
         "The picture brings less than the least ppi of the medium, and less than 20/20 vision "
         "resolves from where the print is to be seen."},
        {"fewer-pixels-than-wanted", look, passable,
         "The picture brings less than the ppi that the medium wants, though enough for where the "
         "print is to be seen."},
        {"enlarged-much", look, passable, "Each pixel of the picture becomes more than 2 x 2 of the file."},
        {"shape-against-size", look, passable,
         "The size has another shape, and takes more than 15 % of the picture away."},
        {"no-bleed", look, passable, "The shop asks for bleed, and the file has none."},
        {"mirrored-untold", look, passable,
         "Acrylic may be printed from behind, and the shop has not said whether the file must be "
         "mirrored."},
        {"no-profile", note, passable, "The picture has no colour profile and was taken as sRGB."},
        {"file-space-untold", note, passable,
         "The shop has not said which colour space it wants; the file is in sRGB, embedded."},
        {"improvement-untold", note, passable,
         "The shop has not said whether its order form changes pictures, and how to switch that "
         "off."},
        {"clipped-white", note, passable, "More than 1 % of the picture is white without any drawing."},
        {"clipped-black", note, passable, "More than 5 % of the picture is black without any drawing."},
        {"process-not-told", look, passable,
         "A test sheet is of another size than the print, and the shop has not said whether one machine prints both."},
        {"correction-old", look, passable,
         "The correction was learned longer ago than a year, or than the date that was set."},
        {"paper-changed", look, passable,
         "The last two measured test prints were on papers that differ visibly, so that the correction may be of the "
         "old one."},
        {"correction-clips", look, passable,
         "The correction brings more than 1 % of the picture out of what the file space holds."},
        {"copyright-missing", note, passable, "The picture names no copyright, so that the file names none."},
        {"mirrored", note, passable, "The file is mirrored left to right, as the shop wants it."},
        {"big-tiff", note, passable, "The file is a BigTIFF, which older programs cannot open."},
        {"wrapped-round", note, passable, "Part of the picture goes round the bars and is not on the face."},
        {"safe-area", note, passable, "The shop asks to keep what matters away from the edge."},
        {"heavy-print", note, passable, "A metal or acrylic print larger than 1 square metre."},
    };
    return rows;
}

Finding found(std::string_view name, std::string sentence, Figures figures, std::string way_out) {
    const auto row =
        std::find_if(table().begin(), table().end(), [name](const CheckInfo& info) { return info.name == name; });
    assert(row != table().end());
    return {.name = row->name,
            .severity = row->severity,
            .sentence = std::move(sentence),
            .figure = figures.figure,
            .limit = figures.limit,
            .unit = std::move(figures.unit),
            .way_out = std::move(way_out),
            .passable = row->passable};
}

std::vector<Finding> findings(const plan::Plan& plan, const shops::Medium& medium, const plan::PictureFacts& picture,
                              base::ShownUnits units) {
    const Subject subject{plan, medium, picture, units};
    std::vector<Finding> found_here;
    check_file(subject, found_here);
    check_picture(subject, found_here);
    check_print(subject, found_here);
    std::stable_sort(found_here.begin(), found_here.end(),
                     [](const Finding& a, const Finding& b) { return a.severity < b.severity; });
    return found_here;
}

Finding medium_gone(const plan::Plan& plan) {
    return found("medium-gone",
                 "No shop file has the medium of this plan any more, " + plan::in_quotes(plan.medium_name) + " (" +
                     plan.medium + ") from " + plan.shop_name + " (" + plan.shop +
                     "): the print could not be held against the shop's rules.",
                 {},
                 "Settle a wish for a medium that the shop has; or, if you know that it still takes this file, pass "
                 "this check.");
}

Finding process_not_told(const plan::Plan& print) {
    return found("process-not-told",
                 print.shop_name + " has not said whether " + plan::in_quotes(print.medium_name) +
                     " is printed the same way at every size: another machine or material has a bias of its own, and "
                     "this sheet would tell nothing of it.",
                 {}, "Ask the shop (`hangtrue shop questions " + print.shop + "` writes the letter) before you pay.");
}

std::vector<Finding> findings_of(const AppliedCorrection& correction) {
    std::vector<Finding> findings;
    const std::string name = "Correction " + std::to_string(correction.id);
    if (correction.age_days > correction.most_days) {
        findings.push_back(found("correction-old",
                                 name + " was learned " + base::number_text(correction.age_days, 0) +
                                     " days ago: the shop's printer or paper may have changed since.",
                                 {correction.age_days, correction.most_days, "days"},
                                 "Print a test sheet (`hangtrue test sheet`), or give --correction none."));
    }
    if (correction.paper_difference > most_paper_difference) {
        findings.push_back(
            found("paper-changed",
                  "The paper of the last test print differs by " + base::number_text(correction.paper_difference, 1) +
                      " from that of the one before (1 is just visible): the shop seems to have changed it.",
                  {correction.paper_difference, most_paper_difference, "dE00"},
                  "Scan another test sheet on the new paper; older ones tell of the old one."));
    }
    if (correction.clipped_share > most_clipped_share) {
        findings.push_back(found("correction-clips",
                                 name + " would have " + base::number_text(100 * correction.clipped_share, 1) +
                                     " % of the picture stronger in colour than the file can hold: there the print "
                                     "differs from the picture.",
                                 {100 * correction.clipped_share, 100 * most_clipped_share, "%"},
                                 "Look at those colours (`hangtrue view`); hold them back in your editor, or give "
                                 "--correction none."));
    }
    return findings;
}

std::vector<Finding> stops(const std::vector<Finding>& findings, bool anyway) {
    std::vector<Finding> result;
    std::copy_if(findings.begin(), findings.end(), std::back_inserter(result), [anyway](const Finding& finding) {
        return finding.severity == Severity::stop && !(anyway && finding.passable);
    });
    return result;
}

}  // namespace hangtrue::checks

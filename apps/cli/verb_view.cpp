// SPDX-License-Identifier: Apache-2.0
#include <optional>

#include "apps/cli/json_values.h"
#include "apps/cli/rectangles.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "apps/cli/wish_words.h"
#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/jobs/look.h"
#include "engine/jobs/make.h"

namespace hangtrue::cli {

namespace {

plan::Intent intent_of(const std::string& word) {
    plan::Wish wish;
    jobs::set_wish_word(wish, "intent", word);
    return wish.intent;
}

/// What `--as print` shows; nothing for the file's own pixels.
std::optional<jobs::ProofWish> proof_of(const Arguments& arguments) {
    if (arguments.text("as").value_or("file") == "file") {
        for (const char* name : {"paper-white", "paper-black", "print-intent", "print-black-point", "gamut"}) {
            if (!arguments.has(name)) continue;
            throw base::InvalidWish("--" + std::string(name) +
                                    " says how the print is shown: give --as print with it.");
        }
        return std::nullopt;
    }
    jobs::ProofWish wish;
    wish.paper_white = arguments.text("paper-white").value_or("show") == "show";
    wish.paper_black = arguments.text("paper-black").value_or("show") == "show";
    if (const auto intent = arguments.text("print-intent")) wish.intent = intent_of(*intent);
    wish.black_point_compensation = arguments.text("print-black-point").value_or("keep") == "keep";
    wish.hatch = arguments.text("gamut").value_or("off") == "hatch";
    return wish;
}

std::string name_of(jobs::ProofBasis basis) {
    switch (basis) {
        case jobs::ProofBasis::profile: return "profile";
        case jobs::ProofBasis::measured: return "measured";
        case jobs::ProofBasis::assumed: return "assumed";
    }
    return "";
}

Json json_of(const colour::Lab& lab) { return {{"lightness", lab.lightness}, {"a", lab.a}, {"b", lab.b}}; }

Json json_of(const jobs::Viewed::AsPrint& print) {
    return {{"basis", name_of(print.basis)},
            {"paper_lab", json_of(print.paper)},
            {"black_lab_against_paper", json_of(print.black)},
            {"hatched", print.hatched},
            {"outside_gamut_share", print.hatched ? Json(print.outside_share) : Json(nullptr)},
            {"sentences", print.sentences}};
}

}  // namespace

Reply view(const Arguments& arguments, jobs::Context& context) {
    const auto out = arguments.text("out");
    if (!out) throw base::InvalidWish("Say which file to write the view to: --out FILE.png.");
    jobs::ViewRequest request;
    request.picture = arguments.positionals().front();
    request.plan = plan_of(arguments);
    if (!request.plan) request.wish = wishes_of(arguments).front().wish;
    request.panel = static_cast<int>(arguments.number("panel").value_or(1));
    request.window = {0, 0, beyond_any_side, beyond_any_side};
    if (const auto window = arguments.text("window")) request.window = rectangle_of("window", *window, "the file");
    request.scale = arguments.number("scale").value_or(1);
    request.as_print = proof_of(arguments);
    request.out = *out;
    request.replace = arguments.has("replace");
    const jobs::Viewed viewed = jobs::view(request, context);

    Reply reply;
    reply.json["out"] = *out;
    reply.json["window"] = json_of(viewed.window);
    reply.json["scale"] = request.scale;
    reply.json["width_px"] = viewed.written.width;
    reply.json["height_px"] = viewed.written.height;
    reply.json["bits"] = viewed.bits;
    reply.json["as_decoded"] = viewed.as_decoded;
    reply.json["made_file"] = viewed.made_file.empty() ? Json(nullptr) : Json(viewed.made_file.string());
    reply.json["notice"] = viewed.notice.empty() ? Json(nullptr) : Json(viewed.notice);
    reply.json["as_print"] = viewed.as_print ? json_of(*viewed.as_print) : Json(nullptr);
    reply.text =
        *out + " shows " + pixels_text({viewed.window.width, viewed.window.height}) + " of the print file, from " +
        std::to_string(viewed.window.x) + ", " + std::to_string(viewed.window.y) +
        (request.scale < 1 ? ", made smaller to " + pixels_text(viewed.written) + ".\n" : ", pixel for pixel.\n");
    if (viewed.as_print) {
        reply.text += "The colours are those of the print, for an sRGB screen. ";
        for (const std::string& sentence : viewed.as_print->sentences) reply.text += sentence + "\n";
        if (viewed.as_print->hatched) {
            reply.text += "Hatched, " + base::number_text(100 * viewed.as_print->outside_share, 1) +
                          " % of it: colours that the print cannot hold.\n";
        }
    }
    if (viewed.as_decoded) {
        reply.text += "The print file is a JPEG, and its pixels are shown as they decode: " +
                      (viewed.made_file.empty() ? std::string("it was coded for this view, and not kept.\n")
                                                : "those of " + viewed.made_file.string() + ".\n");
    }
    if (!viewed.notice.empty()) reply.text += viewed.notice + "\n";
    return reply;
}

}  // namespace hangtrue::cli

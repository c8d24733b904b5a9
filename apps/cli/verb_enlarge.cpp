// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "engine/base/error.h"
#include "engine/jobs/look.h"
#include "engine/jobs/make.h"

namespace hangtrue::cli {

Reply enlarge(const Arguments& arguments, jobs::Context& context) {
    const auto factor = arguments.number("factor");
    if (!factor) throw base::InvalidWish("Say how many times as wide and as high: --factor 2.");
    plan::Wish wish;
    for (const char* key : {"enlarge", "grain"}) {
        if (const auto word = arguments.text(key)) jobs::set_wish_word(wish, key, *word);
    }

    jobs::EnlargeRequest request;
    request.in = arguments.positionals()[0];
    request.out = arguments.positionals()[1];
    request.factor = *factor;
    request.by = wish.enlarging;
    request.grain = wish.grain;
    request.replace = arguments.has("replace");
    const jobs::Enlarged enlarged = jobs::enlarge(request, context);

    Reply reply;
    reply.json["out"] = request.out.string();
    reply.json["width_px"] = enlarged.size.width;
    reply.json["height_px"] = enlarged.size.height;
    reply.json["bits"] = enlarged.bits;
    reply.json["channels"] = enlarged.channels;
    reply.json["network"] = cli::json_of(enlarged.network);
    reply.json["likeness"] = cli::json_of(enlarged.likeness);
    reply.text = request.out.string() + " is made: " + pixels_text(enlarged.size) + ", " +
                 std::to_string(enlarged.bits) + " bits, by " +
                 (enlarged.network.doublings > 0 ? "the network \"" + enlarged.network.name + "\"" : "the filter");
    const bool is_grain_left_open = enlarged.network.doublings == 0 && arguments.text("grain");
    reply.text += is_grain_left_open ? ", which keeps the grain whatever --grain says.\n" : ".\n";
    return reply;
}

}  // namespace hangtrue::cli

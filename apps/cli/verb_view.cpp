// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <charconv>

#include "apps/cli/json_values.h"
#include "apps/cli/text_table.h"
#include "apps/cli/verbs.h"
#include "apps/cli/wish_words.h"
#include "engine/base/error.h"
#include "engine/jobs/look.h"

namespace hangtrue::cli {

namespace {

/// More than any file's sides, and far from overflowing when two are added.
constexpr int beyond_any_side = 1 << 29;

base::PixelRect window_of(const std::string& text) {
    std::array<int, 4> numbers{};
    const char* at = text.data();
    const char* end = at + text.size();
    bool is_window = true;
    for (std::size_t i = 0; is_window && i < numbers.size(); ++i) {
        if (i > 0) {
            is_window = at != end && *at == ',';
            if (is_window) ++at;
        }
        const auto [stop, error] = std::from_chars(at, end, numbers[i]);
        is_window = is_window && error == std::errc() && numbers[i] < beyond_any_side && numbers[i] > -beyond_any_side;
        at = stop;
    }
    const auto [x, y, width, height] = numbers;
    if (!is_window || at != end || width <= 0 || height <= 0) {
        throw base::InvalidWish(
            "--window takes left, top, width and height in whole pixels of the file, as in "
            "1200,800,640,480; not \"" +
            text + "\".");
    }
    return {x, y, width, height};
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
    if (const auto window = arguments.text("window")) request.window = window_of(*window);
    request.scale = arguments.number("scale").value_or(1);
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
    reply.text =
        *out + " shows " + pixels_text({viewed.window.width, viewed.window.height}) + " of the print file, from " +
        std::to_string(viewed.window.x) + ", " + std::to_string(viewed.window.y) +
        (request.scale < 1 ? ", made smaller to " + pixels_text(viewed.written) + ".\n" : ", pixel for pixel.\n");
    if (viewed.as_decoded) {
        reply.text += "The print file is a JPEG, and its pixels are shown as they decode: " +
                      (viewed.made_file.empty() ? std::string("it was coded for this view, and not kept.\n")
                                                : "those of " + viewed.made_file.string() + ".\n");
    }
    if (!viewed.notice.empty()) reply.text += viewed.notice + "\n";
    return reply;
}

}  // namespace hangtrue::cli

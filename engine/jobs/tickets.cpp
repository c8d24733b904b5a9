// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/tickets.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "engine/base/units_text.h"
#include "engine/colour/difference.h"
#include "engine/jobs/print_file.h"
#include "engine/plan/words.h"
#include "engine/render/render.h"
#include "engine/shops/shop_folder.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

std::string compression_words(raster::TiffCompression compression) {
    switch (compression) {
        case raster::TiffCompression::none: return "uncompressed";
        case raster::TiffCompression::lzw: return "LZW compressed";
        case raster::TiffCompression::deflate: return "deflate compressed";
    }
    return "";
}

std::string format_words(const MadeFile& made) {
    if (made.plan.file.format == raster::FileFormat::jpeg) {
        return "JPEG, 8 bit, quality " + std::to_string(made.lossy ? made.lossy->quality : 100) +
               ", full colour resolution";
    }
    return std::string(made.plan.file.big_tiff ? "BigTIFF, " : "TIFF, ") + std::to_string(made.plan.file.bits) +
           " bit, " + compression_words(made.plan.file.compression);
}

std::string side_words(const base::Edges<base::Millimetres>& edges, base::ShownUnits units) {
    const auto width = [units](base::Millimetres side) { return plan::edge_in_both_units(side, units); };
    if (edges == base::Edges<base::Millimetres>::all(edges.top)) return width(edges.top) + " on each side";
    return width(edges.top) + " at the top, " + width(edges.right) + " right, " + width(edges.bottom) +
           " at the bottom, " + width(edges.left) + " left";
}

bool is_any(const base::Edges<base::Millimetres>& edges) { return !(edges == base::Edges<base::Millimetres>{}); }

std::string edge_words(const plan::Geometry& geometry, base::ShownUnits units) {
    std::string words;
    const auto add = [&](const std::string& sentence) { words += (words.empty() ? "" : " ") + sentence; };
    if (is_any(geometry.bleed)) add("Bleed: " + side_words(geometry.bleed, units) + ", to be cut off.");
    if (is_any(geometry.wrap)) {
        add("Canvas wrap: " + side_words(geometry.wrap, units) +
            (geometry.fill == plan::Fill::mirror ? ", mirrored from the picture, to be folded round the bars."
                                                 : ", in the file, to be folded round the bars."));
    }
    if (is_any(geometry.border)) add("Border: " + side_words(geometry.border, units) + ", part of the print.");
    if (geometry.mirrored) add("The file is mirrored, as it is printed on the back.");
    return words;
}

/// A plan for a small picture: the part, reduced, in sRGB, nothing else.
plan::Plan small_plan(const OpenedPicture& picture, base::RealRect part, base::PixelSize size,
                      const colour::Profile& srgb) {
    plan::Plan plan;
    plan.picture.name = picture.facts.file_name;
    plan.picture.size = picture.facts.info.size;
    plan.geometry.file = size;
    plan.geometry.image = {0, 0, size.width, size.height};
    plan.geometry.crop = part;
    plan.resampling = size.width < part.width ? plan::Resampling::reduce_linear : plan::Resampling::enlarge_encoded;
    plan.file_profile = srgb.hash();
    plan.file.bits = 8;
    return plan;
}

/// The first name of "order SHOP DATE.pdf", "order SHOP DATE (2).pdf", … that is free.
fs::path free_order_name(const fs::path& folder, const std::string& shop, const std::string& date) {
    for (int number = 1;; ++number) {
        const std::string suffix = number == 1 ? "" : " (" + std::to_string(number) + ")";
        fs::path name = folder / ("order " + shop + " " + date + suffix + ".pdf");
        if (!fs::exists(name)) return name;
    }
}

}  // namespace

report::SmallPicture small_picture(OpenedPicture& picture, base::RealRect part, int longest_side, Context& context) {
    const double scale = std::min(1.0, longest_side / std::max(part.width, part.height));
    const base::PixelSize size{std::max(1, static_cast<int>(part.width * scale + 0.5)),
                               std::max(1, static_cast<int>(part.height * scale + 0.5))};
    const colour::Profile srgb = colour::Profile::srgb();
    const plan::Plan plan = small_plan(picture, part, size, srgb);
    const PreparedStages prepared(plan, picture.facts.info.model, picture.profile, srgb);
    const auto samples = render::rendered_window(prepared.stages(), *picture.reader, {0, 0, size.width, size.height},
                                                 context.threads, context.progress);
    report::SmallPicture small;
    small.size = size;
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(samples.data());
    small.rgb.assign(bytes, bytes + samples.size());
    return small;
}

std::string enlarging_words(const plan::Plan& plan, const std::optional<render::Likeness>& likeness) {
    if (plan.network.doublings == 0) return {};
    std::string words = "Enlarged " + base::number_text(plan.enlarging, 2) + " times with the trained network \"" +
                        plan.network.name + "\"" +
                        (plan.network.grain == enlarge::Grain::calm ? ", the grain left out." : ".");
    if (!likeness) return words;
    words += " Made small again, it differs from the picture by " + base::number_text(likeness->mean, 2) +
             " of 255 steps of brightness on average, and by " + base::number_text(likeness->largest_block, 2) +
             " where 16 x 16 pixels together differ most";
    if (plan.picture.noise.sd_8bit > 0) {
        words += "; the picture's own grain is " + base::number_text(plan.picture.noise.sd_8bit, 1);
    }
    return words + ".";
}

std::string light_words(const plan::PlannedLight& light) {
    if (!light.is_asked()) return {};
    const std::string where = base::number_text(light.lux, 0) + " lux" + (light.room.empty() ? "" : ", " + light.room);
    if (!light.changes()) return "Made for " + where + ": bright enough, so that no tone is changed.";
    constexpr std::size_t middle = colour::Correction::knots / 2;
    const double stops = std::log2(colour::luminance_of(light.tones.lightness[middle]) / colour::luminance_of(50));
    return "Made for " + where + ": middle grey is " + base::number_text(stops, 2) +
           " stop lighter in the file, to keep the shadows apart; white and black stay.";
}

report::Ticket ticket_of(const MadeFile& made, const report::SmallPicture& small, const Context& context) {
    const plan::Plan& plan = made.plan;
    report::Ticket ticket;
    ticket.picture_name = fs::path(plan.picture.name).stem().string();
    ticket.picture = small;
    const auto width = static_cast<double>(plan.picture.size.width);
    const auto height = static_cast<double>(plan.picture.size.height);
    const base::RealRect& crop = plan.geometry.crop;
    ticket.crop = {crop.x / width, crop.y / height, crop.width / width, crop.height / height};
    ticket.shop_name = plan.shop_name;
    ticket.medium_name = plan.medium_name;
    ticket.size_name = plan.size_name;
    ticket.process = plan.process;
    ticket.finished_size = plan::in_both_units(plan.geometry.finished, context.units);
    ticket.file_size = plan::in_both_units(
        {base::length_of(plan.geometry.file.width, plan.ppi), base::length_of(plan.geometry.file.height, plan.ppi)},
        context.units);
    ticket.pixels = plan.geometry.file;
    ticket.ppi = plan.ppi.value;
    ticket.file_name = made.file.filename().string();
    ticket.bytes = made.bytes;
    ticket.sha256 = made.sha256.hex();
    ticket.format = format_words(made);
    ticket.colour_space =
        plan.file_space_name + (plan.file.embed_profile ? ", embedded" : ", not embedded, as the shop asks");
    ticket.edges = edge_words(plan.geometry, context.units);
    ticket.enlarging = enlarging_words(plan, made.likeness);
    ticket.sharpening = plan.sharpening.reason;
    if (plan.correction.id > 0) {
        ticket.correction = "The file holds correction " + std::to_string(plan.correction.id) +
                            ", learned from test prints on this medium: printed as it is, it comes out as meant.";
    }
    ticket.light = light_words(plan.light);
    ticket.quantity = plan.quantity;
    ticket.panel = plan.panel;
    ticket.panels = plan.panels;
    ticket.order_choices = plan.order_choices;
    ticket.author = plan.picture.author;
    ticket.copyright = plan.picture.copyright;
    ticket.made_on = base::timestamp(context.clock.now()).substr(0, 10);
    ticket.ledger_id = made.ledger_id;
    return ticket;
}

std::vector<fs::path> write_order_sheets(const std::vector<MakeOutcome>& outcomes, Context& context) {
    std::map<std::pair<std::string, fs::path>, std::vector<const MadeFile*>> by_shop;
    for (const MakeOutcome& outcome : outcomes) {
        for (const MadeFile& made : outcome.files) by_shop[{made.plan.shop, outcome.request.to}].push_back(&made);
    }
    const std::vector<shops::Shop> shops = known_shops(context).shops;
    const std::string date = base::timestamp(context.clock.now()).substr(0, 10);
    std::vector<fs::path> sheets;
    for (const auto& [key, files] : by_shop) {
        if (files.size() < 2) continue;
        const auto& [shop_id, folder] = key;
        report::OrderSheet sheet;
        sheet.shop_name = files.front()->plan.shop_name;
        sheet.currency = files.front()->plan.currency;
        sheet.date = date;
        const auto shop =
            std::find_if(shops.begin(), shops.end(), [&id = shop_id](const auto& s) { return s.id == id; });
        if (shop != shops.end()) {
            sheet.order_page = shop->order_page;
            if (shop->postage) sheet.postage_cents = shop->postage->cents;
            if (shop->smallest_order) sheet.smallest_order_cents = shop->smallest_order->cents;
            sheet.days = shop->days;
        }
        for (const MadeFile* made : files) {
            sheet.lines.push_back({made->file.filename().string(), fs::path(made->plan.picture.name).stem().string(),
                                   made->plan.medium_name, made->plan.size_name, made->plan.quantity,
                                   made->plan.price_cents, made->plan.order_choices});
        }
        const fs::path name = free_order_name(folder, shop_id, date);
        report::write_order_sheet(sheet, name, base::OutputFile::Existing::refuse, context.faults);
        sheets.push_back(name);
    }
    return sheets;
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/ledger_list.h"

#include <algorithm>
#include <climits>
#include <cmath>
#include <filesystem>
#include <string_view>

#include "engine/jobs/opened_picture.h"
#include "engine/jobs/plan_files.h"
#include "engine/jobs/verify.h"
#include "engine/optics/light.h"
#include "engine/optics/vision.h"
#include "engine/plan/words.h"
#include "engine/text/document.h"

namespace hangtrue::jobs {
namespace {

/// A crop that ends within this of the picture's edges goes to the edges.
constexpr double at_edge_px = 1.0;

/// The lines of a plan that a list needs: a whole plan takes four times as long to read, and a ledger holds thousands.
/// Plans are written by the program alone, a value a line, and none of these keys stands in them twice.
std::string listed_lines(const std::string& plan_text) {
    std::string lines = "format = 1\n";
    for (std::size_t at = 0; at < plan_text.size();) {
        const std::size_t end = std::min(plan_text.find('\n', at), plan_text.size());
        const std::string_view line = std::string_view(plan_text).substr(at, end - at);
        for (const std::string_view key :
             {"shop_name = ", "medium_name = ", "panel = ", "panels = ", "finished_mm = ", "number = "}) {
            if (line.starts_with(key)) lines.append(line).append("\n");
        }
        at = end + 1;
    }
    return lines;
}

ListedRecord listed(ledger::Row row) {
    ListedRecord record;
    record.picture_name = std::filesystem::path(row.picture_path).filename().string();
    record.shop_name = row.shop;
    record.medium_name = row.medium;
    // A plan of another version's is no reason to hide what was made.
    ended([&] {
        const text::Document plan = text::Document::parse(listed_lines(row.plan_text), "a record's plan", 1);
        text::Table root = plan.root();
        const auto name = [&](const char* key, std::string& to) {
            if (const auto item = root.find(key); item && !item->string().empty()) to = item->string();
        };
        name("shop_name", record.shop_name);
        name("medium_name", record.medium_name);
        if (const auto item = root.find("finished_mm")) {
            const auto sides = item->items();
            record.size = base::SizeMm{{sides.at(0).any_real()}, {sides.at(1).any_real()}};
        }
        if (const auto item = root.find("panel")) record.panel = static_cast<int>(item->integer(1, 1000));
        if (const auto item = root.find("panels")) record.panels = static_cast<int>(item->integer(1, 1000));
        if (const auto item = root.find("number")) record.test_sheet = item->integer(1, INT64_MAX);
    });
    record.row = std::move(row);
    return record;
}

std::string lowered(std::string text) {
    for (char& letter : text) {
        if (letter >= 'A' && letter <= 'Z') letter = static_cast<char>(letter - 'A' + 'a');
    }
    return text;
}

bool holds(const ListedRecord& record, const std::string& lowered_search) {
    const auto& row = record.row;
    for (const std::string* text : {&row.picture_name, &record.picture_name, &row.shop, &record.shop_name, &row.medium,
                                    &record.medium_name, &row.size_name}) {
        if (lowered(*text).find(lowered_search) != std::string::npos) return true;
    }
    return false;
}

bool any(const base::Edges<base::Millimetres>& edges) {
    return edges.top.value > 0 || edges.right.value > 0 || edges.bottom.value > 0 || edges.left.value > 0;
}

/// From one panel to the next, in pixels of the picture.
double panel_step(const plan::Plan& plan) {
    const plan::Geometry& geometry = plan.geometry;
    return base::pixels(geometry.finished.width + plan.gap, plan.ppi) * geometry.crop.width / geometry.image.width;
}

/// What hangs of the whole group, in pixels of the picture, from one panel of it.
base::RealRect hanging_crop(const plan::Plan& plan) {
    const plan::Geometry& geometry = plan.geometry;
    const double scale = geometry.crop.width / geometry.image.width;  // Picture pixels a file pixel.
    const base::PixelRect& face = geometry.finished_px;
    // With a border the picture ends before what hangs does.
    const double left = std::max(face.x, geometry.image.x);
    const double top = std::max(face.y, geometry.image.y);
    const double right = std::min(face.x + face.width, geometry.image.x + geometry.image.width);
    const double bottom = std::min(face.y + face.height, geometry.image.y + geometry.image.height);
    base::RealRect crop{geometry.crop.x + (left - geometry.image.x) * scale,
                        geometry.crop.y + (top - geometry.image.y) * scale, (right - left) * scale,
                        (bottom - top) * scale};
    crop.x -= (plan.panel - 1) * panel_step(plan);
    crop.width += (plan.panels - 1) * panel_step(plan);
    return crop;
}

/// Empty where the plan has the largest part about the middle, which is what is taken by itself.
std::string crop_word(const plan::Plan& plan) {
    const base::RealRect crop = hanging_crop(plan);
    const auto width = static_cast<double>(plan.picture.size.width);
    const auto height = static_cast<double>(plan.picture.size.height);
    // What the files hold of the picture, bleed and wrap included: as large as can be, it was left open.
    const base::RealRect& held = plan.geometry.crop;
    const bool fills_width = held.width + (plan.panels - 1) * panel_step(plan) >= width - at_edge_px;
    const bool fills_height = held.height >= height - at_edge_px;
    if (!fills_width && !fills_height) {
        return plain_number(crop.x) + "," + plain_number(crop.y) + "," + plain_number(crop.width) + "," +
               plain_number(crop.height);
    }
    const double x = std::clamp((crop.x + crop.width / 2) / width, 0.0, 1.0);
    const double y = std::clamp((crop.y + crop.height / 2) / height, 0.0, 1.0);
    const bool is_middle = std::abs(x - 0.5) * width < at_edge_px && std::abs(y - 0.5) * height < at_edge_px;
    return is_middle ? std::string() : "auto@" + plain_number(x) + "," + plain_number(y);
}

std::string edges_word(const plan::Geometry& geometry) {
    std::string text;
    for (const base::Millimetres side :
         {geometry.border.top, geometry.border.right, geometry.border.bottom, geometry.border.left}) {
        text += (text.empty() ? "" : ",") + plain_number(side.value) + "mm";
    }
    return text + ":" + plan::hex(geometry.fill_colour);
}

std::string wrap_word(const plan::Geometry& geometry) {
    if (geometry.fill == plan::Fill::mirror) return "mirror";
    const bool runs_round = geometry.image.width > geometry.finished_px.width;
    return runs_round ? "round" : plan::hex(geometry.fill_colour);
}

const shops::Size* size_named(const shops::Medium* medium, const std::string& name) {
    if (medium == nullptr) return nullptr;
    const auto found = std::find_if(medium->sizes.begin(), medium->sizes.end(),
                                    [&](const shops::Size& size) { return size.name == name; });
    return found == medium->sizes.end() ? nullptr : &*found;
}

void add_file_words(WishWords& words, const plan::Plan& plan, const shops::Medium& medium) {
    const bool is_tiff = plan.file.format == raster::FileFormat::tiff;
    if (!medium.rules.formats.empty() && medium.rules.formats.front() != (is_tiff ? "tiff" : "jpeg")) {
        words["format"] = is_tiff ? "tiff" : "jpeg";
    }
    if (is_tiff && medium.rules.tiff_bits && !medium.rules.tiff_bits->empty() &&
        plan.file.bits != *std::max_element(medium.rules.tiff_bits->begin(), medium.rules.tiff_bits->end())) {
        words["bits"] = std::to_string(plan.file.bits);
    }
    if (is_tiff && plan.file.compression != raster::TiffCompression::none) {
        words["compression"] = plan.file.compression == raster::TiffCompression::lzw ? "lzw" : "deflate";
    }
    if (std::abs(plan.ppi.value - medium.ppi.wanted.value) > 1e-6) words["ppi"] = plain_number(plan.ppi.value);
    const bool has_bleed_outside = medium.bleed && medium.bleed->place == shops::BleedPlace::outside;
    if (has_bleed_outside && any(medium.bleed->widths) && !any(plan.geometry.bleed)) words["bleed"] = "off";
}

void add_colour_words(WishWords& words, const plan::Plan& plan) {
    if (plan.light.is_asked()) {
        words["light"] = plain_number(plan.light.lux);
        for (const optics::Room& room : optics::rooms()) {
            if (room.name == plan.light.room) words["light"] = std::string(room.id);
        }
        if (plan.light.screen_candelas != plan::Wish{}.screen_candelas) {
            words["screen-brightness"] = plain_number(plan.light.screen_candelas);
        }
    }
    switch (plan.conversion.intent) {
        case colour::Intent::perceptual: words["intent"] = "perceptual"; break;
        case colour::Intent::saturation: words["intent"] = "saturation"; break;
        case colour::Intent::absolute_colorimetric: words["intent"] = "absolute"; break;
        case colour::Intent::relative_colorimetric: break;
    }
    if (!plan.conversion.black_point_compensation) words["black-point"] = "off";
}

void add_looking_words(WishWords& words, const plan::Plan& plan) {
    const bool needs_network = plan.enlarging > plan::least_enlarging_by_network;
    if (plan.network.doublings > 0) {
        const bool is_chosen_by_itself = needs_network && plan.network.name == "fine";
        if (!is_chosen_by_itself) words["enlarge"] = plan.network.name;
        if (plan.network.grain == enlarge::Grain::calm) words["grain"] = "calm";
    } else if (needs_network) {
        words["enlarge"] = "filter";
    }
    const bool is_off =
        plan.sharpening.filter.is_off() && plan.sharpening.reason.starts_with("Not sharpened, as asked");
    if (is_off) words["sharpen"] = "off";
    const base::SizeMm& face = plan.geometry.finished;
    const base::SizeMm group{face.width * plan.panels + plan.gap * (plan.panels - 1), face.height};
    const base::Millimetres usual = optics::wall_distance(group, std::nullopt, std::nullopt);
    const base::Millimetres distance = plan.sharpening.design_distance;
    if (std::abs(usual.value - distance.value) > 0.5) words["distance"] = plain_number(distance.value) + "mm";
}

}  // namespace

std::vector<ListedRecord> listed_records(const std::string& search, int most, Context& context) {
    const std::string wanted = lowered(search);
    std::vector<ListedRecord> records;
    // Names stand in the plans alone, so that each is looked into, however old.
    for (ledger::Row& row : ledger_rows({}, wanted.empty() ? most : INT_MAX, context)) {
        context.progress.check();
        ListedRecord record = listed(std::move(row));
        if (holds(record, wanted)) records.push_back(std::move(record));
        if (records.size() >= static_cast<std::size_t>(std::max(most, 0))) break;
    }
    return records;
}

WishWords words_of_plan(const plan::Plan& plan, const shops::Medium* medium) {
    WishWords words{{"shop", plan.shop}, {"medium", plan.medium}};
    // Where the shop cuts its bleed from the ordered size, less hangs than was ordered.
    const shops::Size* size = size_named(medium, plan.size_name);
    base::SizeMm ordered = plan.geometry.finished;
    if (size != nullptr) {
        ordered = size->finished;
    } else if (medium != nullptr && medium->bleed && medium->bleed->place == shops::BleedPlace::inside) {
        const auto& cut = plan.geometry.bleed;
        ordered = {ordered.width + cut.left + cut.right, ordered.height + cut.top + cut.bottom};
    }
    words["size"] = size_word(ordered);
    if (plan.quantity > 1) words["quantity"] = std::to_string(plan.quantity);
    if (plan.panels > 1) {
        words["panels"] = std::to_string(plan.panels);
        words["gap"] = plain_number(plan.gap.value) + "mm";
    }
    if (const std::string crop = crop_word(plan); !crop.empty()) words["crop"] = crop;
    if (any(plan.geometry.border)) words["border"] = edges_word(plan.geometry);
    if (any(plan.geometry.wrap) && !any(plan.geometry.border)) words["wrap"] = wrap_word(plan.geometry);
    add_looking_words(words, plan);
    add_colour_words(words, plan);
    if (medium != nullptr) add_file_words(words, plan, *medium);
    return words;
}

RecordedOrder order_of_record(std::int64_t id, Context& context) {
    const ledger::Row row = ledger_row(id, context);
    const plan::Plan plan = plan_of_record(row);
    RecordedOrder order{row.picture_path, {}};
    const ledger::Ledger ledger(ledger_file(context), ledger::Access::look);
    std::error_code ignored;
    for (const std::filesystem::path& place : ledger.picture_places(row.picture_content)) {
        if (std::filesystem::exists(order.picture, ignored)) break;
        order.picture = place;
    }
    const shops::ShopFolder folder = known_shops(context);
    for (const shops::Shop& shop : folder.shops) {
        if (shop.id != plan.shop) continue;
        for (const shops::Medium& medium : shop.media) {
            if (medium.id == plan.medium) order.words = words_of_plan(plan, &medium);
        }
    }
    if (order.words.empty()) order.words = words_of_plan(plan, nullptr);
    return order;
}

}  // namespace hangtrue::jobs

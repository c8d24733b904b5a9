// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The ticket: one page that says what the print file is and that it is printed as it is; and the note of at
/// most 250 characters for an order form. From plain structs. Thread-safe.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/output_file.h"
#include "engine/base/units.h"

namespace hangtrue::report {

/// A small picture: interleaved 8-bit sRGB.
struct SmallPicture {
    base::PixelSize size;
    std::vector<std::uint8_t> rgb;
};

struct Ticket {
    std::string picture_name;
    SmallPicture picture;                    ///< Upright, whole.
    base::RealRect crop;                     ///< What is printed, as shares 0..1 of the picture.
    std::string shop_name, medium_name, size_name, process;
    std::string finished_size;               ///< "36 x 24 in (91.4 x 61 cm)"
    std::string file_size;                   ///< Likewise, with bleed or wrap.
    base::PixelSize pixels;
    double ppi = 0;
    std::string file_name;
    std::int64_t bytes = 0;
    std::string sha256;
    std::string format;                      ///< "TIFF, 8 bit, uncompressed"
    std::string colour_space;                ///< "sRGB, embedded"
    std::string edges;                       ///< "Bleed 3 mm on each side, outside the finished size." May be empty.
    std::string sharpening;                  ///< What was done and why.
    int quantity = 1;
    int panel = 1, panels = 1;
    std::vector<std::string> order_choices;  ///< In the shop's own words.
    std::vector<std::string> findings;       ///< Sentences worth saying to the shop or to oneself.
    std::string author, copyright;
    std::string made_on;                     ///< Date.
    std::int64_t ledger_id = 0;
    std::string picture_credit;              ///< May be empty.
};

/// At most 250 characters (Unicode code points), whole words; the promise "printed as it is" always in it.
std::string order_note(const Ticket& ticket);

/// One A4 page, PDF. Throws WriteFailed.
void write_ticket(const Ticket& ticket, const std::filesystem::path& name, base::OutputFile::Existing existing,
                  base::Faults& faults);

struct OrderLine {
    std::string file_name, picture_name, medium_name, size_name;
    int quantity = 1;
    std::optional<std::int64_t> price_cents;  ///< Of one.
    std::vector<std::string> order_choices;
};

struct OrderSheet {
    std::string shop_name, currency, order_page, date;
    std::vector<OrderLine> lines;
    std::optional<std::int64_t> postage_cents, smallest_order_cents;
    std::optional<int> days;
};

/// Sum of what is known; nothing where a price is missing.
std::optional<std::int64_t> total_cents(const OrderSheet& sheet);
std::string money_text(std::int64_t cents, const std::string& currency);

void write_order_sheet(const OrderSheet& sheet, const std::filesystem::path& name,
                       base::OutputFile::Existing existing, base::Faults& faults);

}  // namespace hangtrue::report

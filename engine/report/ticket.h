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
#include "engine/report/small_picture.h"

namespace hangtrue::report {

struct Ticket {
    std::string picture_name;
    SmallPicture picture;  ///< Upright, whole.
    base::RealRect crop;   ///< What is printed, as shares 0..1 of the picture.
    std::string shop_name, medium_name, size_name, process;
    std::string finished_size;  ///< "36 x 24 in (91.4 x 61 cm)"
    std::string file_size;      ///< Likewise, with bleed or wrap.
    base::PixelSize pixels;
    double ppi = 0;
    std::string file_name;
    std::int64_t bytes = 0;
    std::string sha256;
    std::string format;        ///< "TIFF, 8 bit, uncompressed"
    std::string colour_space;  ///< "sRGB, embedded"
    std::string edges;         ///< "Bleed 3 mm on each side, outside the finished size." May be empty.
    std::string enlarging;     ///< By which network, and how like the picture that is. May be empty.
    std::string sharpening;    ///< What was done and why. May be empty.
    std::string light;         ///< That the tones were changed for the light it will hang in. May be empty.
    std::string correction;    ///< That test prints corrected the file, and which. May be empty.
    int quantity = 1;
    int panel = 1, panels = 1;
    std::vector<std::string> order_choices;  ///< In the shop's own words.
    std::string author, copyright;
    std::string made_on;  ///< "2026-03-14", or a timestamp that begins so.
    std::int64_t ledger_id = 0;
    std::string picture_credit;  ///< May be empty.
};

/// The promise of every ticket and note.
inline constexpr const char* promise = "printed as it is: no colour change, no retouching, no resizing";

inline constexpr int most_note_characters = 250;

/// At most 250 characters (Unicode code points) on one line, in whole words, the promise always in it. What has no
/// room is left out, least needed first: medium, edges, pixels, quantity, panel; then size and file name are shortened
/// ("...").
std::string order_note(const Ticket& ticket);

/// One A4 page, PDF, whatever the lengths of the texts: they are set smaller, then cut with an ellipsis, then counted
/// ("and 12 more"). The same ticket gives the same bytes on the same machine. Throws WriteFailed.
void write_ticket(const Ticket& ticket, const std::filesystem::path& name, base::OutputFile::Existing existing,
                  base::Faults& faults);

struct OrderLine {
    std::string file_name, picture_name, medium_name, size_name;
    int quantity = 1;
    std::optional<std::int64_t> price_cents;  ///< Of one.
    std::vector<std::string> order_choices;
};

struct OrderSheet {
    std::string shop_name, currency, order_page, date;  ///< Date as in Ticket.
    std::vector<OrderLine> lines;
    std::optional<std::int64_t> postage_cents, smallest_order_cents;
    std::optional<int> days;
};

/// Prices times quantities, and the postage where it is known; nothing where a price is missing.
std::optional<std::int64_t> total_cents(const OrderSheet& sheet);
/// "1,249.00 EUR".
std::string money_text(std::int64_t cents, const std::string& currency);

/// A4, PDF: one page where it fits, else as many as it takes. Throws WriteFailed.
void write_order_sheet(const OrderSheet& sheet, const std::filesystem::path& name, base::OutputFile::Existing existing,
                       base::Faults& faults);

}  // namespace hangtrue::report

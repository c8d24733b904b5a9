// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The test sheets of the ledger: what stands on each, what was read from it, and what that taught. For looking:
/// nothing here writes.

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/jobs/context.h"
#include "engine/jobs/picture_list.h"
#include "engine/jobs/readings.h"
#include "engine/ledger/trial_records.h"
#include "engine/trial/learned.h"

namespace hangtrue::jobs {

struct ListedSheet {
    std::int64_t number = 0;
    std::string made_at;  ///< ISO 8601 UTC.
    ledger::Printed printed;
    std::string shop_name, medium_name;  ///< As the shop's file has them; the IDs where there is none any more.
    std::string picture_name, size_name;
    std::filesystem::path picture;  ///< Where the picture was.
    std::filesystem::path file;     ///< The sheet's print file, where it was made.
    std::filesystem::path guide;    ///< The page that says how to judge it, beside the file.
    int answers = 0;                ///< That count: what was taken back does not.
    int measurements = 0;           ///< Scans, photographs, instruments.
};
/// The last first.
std::vector<ListedSheet> listed_sheets(const Context& context);

/// One thing that can be pointed at on a sheet: a cell by its letter, a tinted grey by its name.
struct SheetSpot {
    std::string name;
    base::PixelRect rect;  ///< As the print shows it, in pixels of the sheet.
};

struct SheetView {
    ListedSheet listed;
    base::PixelSize size;  ///< Of the sheet's file.
    std::vector<SheetSpot> cells;
    std::vector<SheetSpot> greys;
    SmallPixels shown;     ///< The sheet as it prints, reduced; empty where its file is gone.
    std::string sentence;  ///< Why it is empty.
};
/// Throws InvalidWish where there is no such sheet, LedgerFailed, Cancelled.
SheetView sheet_view(std::int64_t number, int longest_side, Context& context);

/// A flat colour of a sheet as it was meant and as it was read, 8-bit sRGB, both relative to white.
struct ReadColour {
    std::string name;
    std::array<std::uint8_t, 3> meant{};
    std::array<std::uint8_t, 3> read{};
    double difference = 0;  ///< CIEDE2000.
};
struct SheetReading {
    std::string taken_at;
    std::string sentence;             ///< "By eye: E, next F." or "By scan: 61 colours read."
    std::vector<ReadColour> colours;  ///< In the sheet's order; empty for an answer.
};
/// Those that count, in the order in which they were taken.
std::vector<SheetReading> readings_of_sheet(std::int64_t number, const Context& context);

/// A correction as it is drawn.
struct DrawnCorrection {
    struct Point {
        double picture = 0;    ///< L* of a grey of the picture…
        double lightness = 0;  ///< …and of the file,
        double a = 0;          ///< with its tint.
        double b = 0;
    };
    std::vector<Point> points;  ///< From black to white.
    /// A colour as it is meant, and what the shop prints of it where nothing is corrected; 8-bit sRGB.
    struct Pair {
        std::array<std::uint8_t, 3> meant{};
        std::array<std::uint8_t, 3> uncorrected{};
    };
    std::vector<Pair> pairs;
};
DrawnCorrection drawn_correction(const trial::Learned& learned);

}  // namespace hangtrue::jobs

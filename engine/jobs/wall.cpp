// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/wall.h"

#include "engine/base/error.h"
#include "engine/base/units_text.h"
#include "engine/jobs/opened_picture.h"
#include "engine/jobs/tickets.h"
#include "engine/plan/plan_file.h"
#include "engine/report/result_picture.h"

namespace hangtrue::jobs {
namespace {

constexpr int longest_side_px = 1200;

std::string looked_at(const plan::Plan& plan, base::ShownUnits units) {
    return "made to be seen from " + base::distance_text(plan.sharpening.design_distance, units);
}

}  // namespace

void draw_wall(const std::vector<std::filesystem::path>& files, const std::filesystem::path& out, Context& context) {
    const ledger::Ledger ledger(ledger_file(context), ledger::Access::look);
    std::vector<report::HungPrint> prints;
    for (const std::filesystem::path& file : files) {
        const auto row = ledger.row_of_file(std::filesystem::absolute(file));
        if (!row) throw base::InvalidWish("The ledger has no record of " + file.string() + ".");
        const plan::Plan plan = plan::plan_from_text(row->plan_text, "the ledger's plan");
        StageSeconds seconds;
        OpenedPicture print = unmeasured_picture(file, out.parent_path(), context, seconds);
        const base::PixelRect hangs = plan.geometry.finished_px;
        report::HungPrint& hung = prints.emplace_back();
        hung.picture = small_picture(print,
                                     {static_cast<double>(hangs.x), static_cast<double>(hangs.y),
                                      static_cast<double>(hangs.width), static_cast<double>(hangs.height)},
                                     longest_side_px, context);
        hung.finished = plan.geometry.finished;
        hung.caption = {plan.medium_name,
                        base::size_text(plan.geometry.finished, context.units) + " from " + plan.shop_name,
                        base::number_text(plan.ppi.value, 1) + " ppi, " + looked_at(plan, context.units)};
    }
    report::write_result_picture(prints, out, base::OutputFile::Existing::replace, context.faults);
}

}  // namespace hangtrue::jobs

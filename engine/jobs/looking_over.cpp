// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/looking_over.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "engine/base/error.h"
#include "engine/jobs/corrections.h"
#include "engine/jobs/print_samples.h"
#include "engine/jobs/profiles.h"
#include "engine/plan/plan_file.h"
#include "engine/render/sample_record.h"
#include "engine/trial/prior.h"

namespace hangtrue::jobs {
namespace {

/// Of both prints' parts of the picture together, what both show.
constexpr double same_part = 0.8;
/// A picture edited again keeps its path; farther back nobody compares.
constexpr int most_rows = 200;

double area(const base::RealRect& rect) { return std::max(0.0, rect.width) * std::max(0.0, rect.height); }

double common_share(const base::RealRect& a, const base::RealRect& b) {
    const double left = std::max(a.x, b.x);
    const double top = std::max(a.y, b.y);
    const base::RealRect common{left, top, std::min(a.x + a.width, b.x + b.width) - left,
                                std::min(a.y + a.height, b.y + b.height) - top};
    const double both = area(common);
    return both / (area(a) + area(b) - both);
}

base::RealRect in_shares(const base::RealRect& part, base::PixelSize size) {
    return {part.x / size.width, part.y / size.height, part.width / size.width, part.height / size.height};
}

/// The mean of colours as the file holds them, and as they were meant before its correction.
struct Lightness {
    double in_file = 0;
    double meant = 0;
};
class LightnessSum {
  public:
    LightnessSum(const colour::Profile& file_profile, const plan::PlannedCorrection& correction)
        : m_reader(file_profile), m_corrector(correction.curves), m_is_corrected(correction.id != 0) {}
    void add(std::array<float, 3> rgb) {
        const colour::Lab lab = m_reader.lab(rgb);
        m_sum.in_file += lab.lightness;
        m_sum.meant += m_is_corrected ? m_corrector.uncorrected(lab).lightness : lab.lightness;
        ++m_count;
    }
    std::optional<Lightness> mean() const {
        if (m_count == 0) return std::nullopt;
        return Lightness{m_sum.in_file / m_count, m_sum.meant / m_count};
    }

  private:
    colour::LabReader m_reader;
    colour::Corrector m_corrector;
    bool m_is_corrected;
    Lightness m_sum;
    int m_count = 0;
};

/// By the means of blocks that the ledger keeps, those that lie whole within the picture's own pixels.
std::optional<Lightness> lightness_of(const ledger::Row& row, const plan::Plan& plan,
                                      const colour::Profile& file_profile) {
    constexpr int side = render::fingerprint_block;
    const base::PixelSize file = plan.geometry.file;
    const int columns = (file.width + side - 1) / side;
    const int rows = (file.height + side - 1) / side;
    if (row.fingerprint.size() != 3 * static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows)) {
        return std::nullopt;
    }
    base::PixelRect face = base::intersection(plan.geometry.image, plan.geometry.finished_px);
    if (plan.geometry.mirrored) face.x = file.width - face.right();
    LightnessSum sum(file_profile, plan.correction);
    for (int y = 0; y < rows; ++y) {
        for (int x = 0; x < columns; ++x) {
            const base::PixelRect block{x * side, y * side, side, side};
            if (!(base::intersection(block, face) == block)) continue;
            const std::size_t at =
                3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(columns) + static_cast<std::size_t>(x));
            const auto share = [&](std::size_t i) { return static_cast<float>(row.fingerprint[at + i]) / 65535.0F; };
            sum.add({share(0), share(1), share(2)});
        }
    }
    return sum.mean();
}

/// The same of a print to be, from blocks of the samples of about the same size on the print.
std::optional<Lightness> lightness_of(const checks::Samples& samples, const plan::Plan& plan,
                                      const colour::Profile& file_profile) {
    const double file_px_a_sample = samples.part.width * plan.enlarging / samples.size.width;
    const int side = std::max(1, static_cast<int>(std::lround(render::fingerprint_block / file_px_a_sample)));
    LightnessSum sum(file_profile, plan.correction);
    for (int y = 0; y + side <= samples.size.height; y += side) {
        for (int x = 0; x + side <= samples.size.width; x += side) {
            std::array<double, 3> block{};
            for (int v = y; v < y + side; ++v) {
                for (int u = x; u < x + side; ++u) {
                    const auto& rgb =
                        samples.file[static_cast<std::size_t>(v) * static_cast<std::size_t>(samples.size.width) +
                                     static_cast<std::size_t>(u)];
                    for (std::size_t i = 0; i < 3; ++i) block[i] += static_cast<double>(rgb[i]) / (side * side);
                }
            }
            sum.add({static_cast<float>(block[0]), static_cast<float>(block[1]), static_cast<float>(block[2])});
        }
    }
    return sum.mean();
}

/// Of this picture, and of earlier states of it: what was made under the same path with another content.
std::vector<ledger::Row> earlier_rows(const OpenedPicture& picture, const ledger::Ledger& ledger) {
    std::vector<ledger::Row> rows = ledger.rows_of_picture(picture.facts.content);
    const std::string path = std::filesystem::absolute(picture.path).lexically_normal().string();
    const std::string name = picture.path.filename().string();
    for (ledger::Row& row : ledger.rows(picture.path.stem().string(), most_rows)) {
        const std::filesystem::path there(row.picture_path);
        if (row.picture_content != picture.facts.content && there.filename().string() == name &&
            there.lexically_normal().string() == path) {
            rows.push_back(std::move(row));
        }
    }
    std::sort(rows.begin(), rows.end(), [](const ledger::Row& a, const ledger::Row& b) { return a.id > b.id; });
    if (rows.size() > most_rows) rows.resize(most_rows);
    return rows;
}

struct Now {
    const plan::Plan& plan;
    const checks::Samples& samples;
    Lightness lightness;
    ledger::Printed printed;
    bool one_process;  ///< For all sizes of the medium.
};

/// Nothing where it shows another part, is a test sheet, or cannot be read any more.
std::optional<checks::EarlierPrint> earlier_print(const ledger::Row& row, const Now& now,
                                                  const ledger::Ledger& ledger) {
    try {
        const auto whole = ledger.row(row.id);
        if (!whole) return std::nullopt;
        const plan::Plan plan = plan::plan_from_text(row.plan_text, "the ledger");
        const base::RealRect then_part = in_shares(plan.geometry.crop, plan.picture.size);
        if (plan.test_sheet != 0 ||
            common_share(then_part, in_shares(now.samples.part, now.plan.picture.size)) < same_part) {
            return std::nullopt;
        }
        const auto then = lightness_of(*whole, plan, profile_with(plan.file_profile, ledger, "an earlier print"));
        if (!then) return std::nullopt;
        const ledger::Printed printed{plan.shop, plan.medium, now.one_process ? std::string() : plan.process};
        checks::EarlierPrint print;
        print.id = row.id;
        print.made_on = row.made_at.substr(0, 10);
        print.medium_name = plan.medium_name;
        print.is_same_medium = printed == now.printed;
        print.is_same_picture = plan.picture.content == now.plan.picture.content;
        print.correction = plan.correction.id;
        print.light_lux = plan.light.lux;
        print.lightness_then = print.is_same_medium ? then->in_file : then->meant;
        print.lightness_now = print.is_same_medium ? now.lightness.in_file : now.lightness.meant;
        return print;
    } catch (const base::UnreadableInput&) {
        return std::nullopt;  // A record of another version: no reason not to print.
    }
}

/// The newest print of this medium and the newest of another.
std::vector<checks::EarlierPrint> earlier_prints(const Now& now, const OpenedPicture& picture,
                                                 const ledger::Ledger& ledger, const Context& context) {
    std::vector<checks::EarlierPrint> prints;
    for (const ledger::Row& row : earlier_rows(picture, ledger)) {
        context.progress.check();
        const auto print = earlier_print(row, now, ledger);
        if (!print) continue;
        const bool has_such = std::any_of(prints.begin(), prints.end(), [&](const checks::EarlierPrint& other) {
            return other.is_same_medium == print->is_same_medium;
        });
        if (!has_such) prints.push_back(*print);
        if (prints.size() == 2) break;
    }
    return prints;
}

/// How far a grey's tint may be off: what was learned and is not corrected, and how unsure that is.
double tint_doubt(const std::optional<KnownCorrection>& known, const plan::Plan& plan) {
    if (!known || known->learned.by == trial::Learned::By::nothing) {
        return std::hypot(trial::shops_err.a, trial::shops_err.b);
    }
    const trial::Learned& learned = known->learned;
    const bool is_applied = plan.correction.id == known->id;
    return is_applied
               ? std::hypot(learned.sd.a, learned.sd.b)
               : std::hypot(std::hypot(learned.shift.a, learned.shift.b), std::hypot(learned.sd.a, learned.sd.b));
}

}  // namespace

std::vector<checks::Finding> all_findings(const SettledWish& settled, const plan::CorrectionWish& correction,
                                          OpenedPicture& picture, const ledger::Ledger& ledger, Context& context) {
    std::vector<checks::Finding> findings = settled.findings;
    const auto add = [&findings](std::vector<checks::Finding> more) {
        findings.insert(findings.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
    };
    const plan::Plan& plan = settled.plans.front();
    if (settled.medium) {
        const shops::Medium& medium = *settled.medium;
        const checks::Samples samples =
            print_samples(settled.plans, picture, settled.file_profile, print_profile_of(medium, context), context);
        add(checks::findings_in(samples, settled.plans, medium, context.units));
        const ledger::Printed printed = printed_as(plan.shop, medium, plan.process);
        checks::History history;
        history.correction = applied_correction(plan, correction, samples.picture, settled.file_profile, context);
        const ledger::TrialRecords records(ledger_file(context), ledger::Access::look);
        history.sheets_made = static_cast<int>(records.sheets(printed).size());
        const auto known = latest_correction(printed, context);
        history.sheets_read = known ? known->learned.sheets : 0;
        history.tint_doubt = tint_doubt(known, plan);
        if (const auto lightness = lightness_of(samples, plan, settled.file_profile)) {
            const Now now{plan, samples, *lightness, printed, printed.process.empty()};
            history.earlier = earlier_prints(now, picture, ledger, context);
        }
        add(checks::findings_of(history, plan));
    }
    checks::sort_by_severity(findings);
    return findings;
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/make_queue.h"

#include <QResizeEvent>
#include <QVBoxLayout>
#include <algorithm>
#include <filesystem>
#include <map>
#include <memory>
#include <utility>

#include "apps/desktop/make_row.h"
#include "apps/desktop/style.h"
#include "engine/base/units_text.h"
#include "engine/jobs/tickets.h"

namespace hangtrue::desktop {

MakeJob print_job(const QString& title, const jobs::MakeRequest& request,
                  const std::shared_ptr<jobs::PrintsTogether>& together) {
    return {title,
            [request, together](bool replace, bool anyway, jobs::Context& context) -> Made {
                jobs::MakeRequest asked = request;
                asked.replace |= replace;
                asked.anyway |= anyway;
                jobs::MakeSummary summary = jobs::make({asked}, context, together.get());
                return {std::move(summary.outcomes.front()), std::move(summary.order_sheets)};
            },
            {}};
}

MakeJob again_job(const QString& title, const jobs::AgainRequest& request) {
    return {title,
            [request](bool replace, bool anyway, jobs::Context& context) -> Made {
                jobs::AgainRequest asked = request;
                asked.replace |= replace;
                asked.anyway |= anyway;
                const jobs::Again again = jobs::again(asked, context);
                jobs::MakeOutcome outcome;
                outcome.request.picture = again.picture;
                outcome.sentence = again.sentence;
                if (again.file.empty()) {
                    // Another print than it was: kept only if that is wanted.
                    outcome.ending = jobs::Ending::refused;
                } else {
                    outcome.files.emplace_back().file = again.file;
                    outcome.files.back().ledger_id = again.ledger_id;
                }
                return {outcome};
            },
            {}};
}

MakeJob sheet_job(const QString& title, const jobs::TestSheetRequest& request) {
    return {title,
            [request](bool replace, bool anyway, jobs::Context& context) -> Made {
                jobs::TestSheetRequest asked = request;
                asked.replace |= replace;
                asked.anyway |= anyway;
                const jobs::MadeTestSheet sheet = jobs::make_test_sheet(asked, context);
                jobs::MakeOutcome outcome;
                outcome.request.picture = asked.picture;
                outcome.ending = sheet.ending;
                outcome.sentence = sheet.sentence;
                outcome.findings = sheet.findings;
                if (sheet.ending != jobs::Ending::done) return {outcome};
                jobs::MadeFile& made = outcome.files.emplace_back();
                made.file = sheet.file;
                made.ticket = sheet.guide;
                made.plan = sheet.plan;
                outcome.sentence =
                    MakeQueue::tr("Test sheet %1 is made. Order it like a print, then come back with what you see%2.")
                        .arg(sheet.kept.sheet.number)
                        .arg(sheet.costs.empty()
                                 ? QString()
                                 : MakeQueue::tr(" (it costs %1)").arg(QString::fromStdString(sheet.costs)))
                        .toStdString();
                return {outcome};
            },
            {}};
}

MakeJob file_job(const QString& title, const std::filesystem::path& file, const QString& sentence,
                 std::function<void(bool replace, jobs::Context&)> work) {
    return {title,
            [file, sentence, work = std::move(work)](bool replace, bool /*anyway*/, jobs::Context& context) -> Made {
                work(replace, context);
                jobs::MakeOutcome outcome;
                outcome.sentence = sentence.toStdString();
                outcome.files.emplace_back().file = file;
                return {outcome};
            },
            {}};
}

namespace {

bool are_several_of_a_shop(const std::vector<jobs::MakeOutcome>& outcomes) {
    std::map<std::string, int> files_of;
    for (const jobs::MakeOutcome& outcome : outcomes) {
        for (const jobs::MadeFile& made : outcome.files) ++files_of[made.plan.shop];
    }
    return std::any_of(files_of.begin(), files_of.end(), [](const auto& shop) { return shop.second > 1; });
}

}  // namespace

MakeQueue::MakeQueue(Bridge& bridge, QWidget* parent) : QScrollArea(parent), m_bridge(bridge) {
    setAccessibleName(tr("What is being made"));
    setFocusPolicy(Qt::NoFocus);  // Its lines' buttons are reached one by one.
    setWidgetResizable(true);
    setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    auto* inside = new QWidget;
    m_rows = new QVBoxLayout(inside);
    m_rows->setContentsMargins(0, 0, space::small, 0);
    m_rows->setSpacing(0);
    m_rows->addStretch(1);
    setWidget(inside);
    hide();
}

bool MakeQueue::is_empty() const { return m_rows->count() <= 1; }  // The stretch is always there.

void MakeQueue::set_most_height(int height) {
    m_most_height = height;
    fit();
}

void MakeQueue::add(const MakeJob& job, bool replace, bool anyway) {
    auto* row = new MakeRow(job.title, widget());
    m_rows->insertWidget(0, row);
    const TaskHandle task = m_bridge.run<Made>(
        Lane::make, QStringLiteral("make"), row,
        [work = job.work, replace, anyway](jobs::Context& context) { return work(replace, anyway, context); },
        [this, row, done = job.done](Result<Made> result) {
            Made made = result.is_done() ? std::move(*result.value) : Made{};
            if (!result.is_done()) {
                made.outcome.ending = result.ended.ending;
                made.outcome.sentence = result.ended.sentence;
            }
            row->show_outcome(made.outcome, made.order_sheets);
            fit();
            if (done) done(made.outcome);
        },
        [this, row](const base::ProgressReport& report) {
            if (row->is_over()) return;
            if (!row->has_begun()) bring_to_sight(row);
            row->show_progress(QString::fromStdString(report.step), report.fraction);
        });
    connect(row, &MakeRow::wants_cancel, this, [task] { task.cancel(); });
    connect(row, &MakeRow::wants_removal, this, [this, row] { take_away(row); });
    connect(row, &MakeRow::wants_again, this, [this, job, row, replace, anyway](bool now_replace, bool now_anyway) {
        take_away(row);
        if (job.tried_again) job.tried_again();
        add(job, replace || now_replace, anyway || now_anyway);
    });
    fit();
}

void MakeQueue::add_prints(const std::vector<jobs::MakeRequest>& requests,
                           const std::function<void(const jobs::MakeOutcome&)>& each_done) {
    struct Together {
        std::size_t left = 0;  // Wait or are being made.
        bool is_sheet_due = false;
        bool has_sheet = false;
        std::vector<jobs::MakeOutcome> outcomes;  // One a print: of its last try.
    };
    auto together = std::make_shared<Together>();
    together->left = requests.size();
    together->outcomes.resize(requests.size());
    const auto names = std::make_shared<jobs::PrintsTogether>();
    for (std::size_t i = 0; i < requests.size(); ++i) {
        const jobs::MakeRequest& request = requests[i];
        MakeJob job = print_job(
            tr("%1, %2").arg(QString::fromStdString(request.picture.stem().string()),
                             QString::fromStdString(base::size_text(request.wish.size, m_bridge.workplace().units))),
            request, names);
        job.tried_again = [together] { ++together->left; };
        job.done = [this, together, i, each_done](const jobs::MakeOutcome& outcome) {
            if (each_done) each_done(outcome);
            together->outcomes[i] = outcome;
            together->is_sheet_due |= !outcome.files.empty();
            if (--together->left > 0 || !together->is_sheet_due) return;
            together->is_sheet_due = false;
            if (!are_several_of_a_shop(together->outcomes)) return;
            add_order_sheets(together->outcomes, std::exchange(together->has_sheet, true));
        };
        add(job);
    }
}

void MakeQueue::add_order_sheets(const std::vector<jobs::MakeOutcome>& outcomes, bool is_new) {
    add({is_new ? tr("The order, anew") : tr("The order"),
         [outcomes, is_new](bool, bool, jobs::Context& context) -> Made {
             Made made;
             made.order_sheets = jobs::write_order_sheets(outcomes, context);
             QString said = MakeQueue::tr("All that is to be ordered, on one page for each shop.");
             if (is_new) said += MakeQueue::tr(" It holds what was made since; the earlier one is out of date.");
             made.outcome.sentence = said.toStdString();
             return made;
         },
         {}});
}

void MakeQueue::take_away(MakeRow* row) {
    m_rows->removeWidget(row);
    row->hide();
    row->deleteLater();
    fit();
}

void MakeQueue::bring_to_sight(MakeRow* row) { ensureWidgetVisible(row, 0, 0); }

void MakeQueue::fit() {
    setVisible(!is_empty());
    widget()->layout()->activate();
    const int width = std::max(200, viewport()->width());
    setFixedHeight(std::min(m_most_height, widget()->layout()->heightForWidth(width) + 2));
    emit lines_changed();
}

void MakeQueue::resizeEvent(QResizeEvent* event) {
    QScrollArea::resizeEvent(event);
    if (event->oldSize().width() != event->size().width() && !is_empty()) fit();
}

}  // namespace hangtrue::desktop

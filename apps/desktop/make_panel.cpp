// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/make_panel.h"

#include <QDir>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>
#include <utility>

#include "apps/desktop/make_queue.h"
#include "apps/desktop/order.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/part_choices.h"
#include "apps/desktop/style.h"
#include "engine/jobs/check_report.h"

namespace hangtrue::desktop {

namespace {

constexpr int most_queue_height = 210;  ///< In the panel beside the print.

}  // namespace

MakePanel::MakePanel(Order& order, Bridge& bridge, Habits habits, QWidget* parent)
    : QWidget(parent), m_order(order), m_bridge(bridge), m_habits(std::move(habits)) {
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::small);
    m_make = new QPushButton(tr("Make the print file"), this);
    m_make->setProperty("weight", QStringLiteral("first"));
    m_make->setShortcut(QKeySequence(Qt::CTRL | Qt::Key_Return));
    m_make->setToolTip(tr("Makes the file, reads it back and writes its ticket (%1)")
                           .arg(m_make->shortcut().toString(QKeySequence::NativeText)));
    connect(m_make, &QPushButton::clicked, this, &MakePanel::make);
    layout->addWidget(m_make);
    m_make_all = new QPushButton(this);
    m_make_all->setToolTip(tr("All pictures that were opened together, with this order; each gets as much as fits"));
    connect(m_make_all, &QPushButton::clicked, this, &MakePanel::make_all);
    layout->addWidget(m_make_all);
    auto* line = new QHBoxLayout;
    line->setSpacing(6);
    auto* into = new QLabel(tr("into"), this);
    into->setProperty("quiet", true);
    line->addWidget(into);
    m_into = new QPushButton(this);
    m_into->setProperty("weight", QStringLiteral("word"));
    connect(m_into, &QPushButton::clicked, this, &MakePanel::choose_folder);
    line->addWidget(m_into);
    line->addStretch(1);
    layout->addLayout(line);
    m_queue = new MakeQueue(m_bridge, this);
    layout->addWidget(m_queue);
    set_folder(m_habits.last_folder());
    for (auto change :
         {&Order::settled_changed, &Order::picture_changed, &Order::trouble_changed, &Order::others_changed}) {
        connect(&m_order, change, this, &MakePanel::show_state);
    }
    show_state();
}

void MakePanel::set_folder(const QString& folder) {
    m_folder = folder;
    m_into->setText(QDir(folder).dirName());
    m_into->setToolTip(tr("%1\nClick to make files elsewhere").arg(folder));
    m_into->setAccessibleName(tr("Folder for print files: %1").arg(folder));
}

void MakePanel::choose_folder() {
    const QString chosen = QFileDialog::getExistingDirectory(this, tr("Where shall the print files go?"), m_folder);
    if (chosen.isEmpty()) return;
    set_folder(chosen);
    m_habits.set_last_folder(chosen);
}

void MakePanel::show_state() {
    const bool can_be_made = m_order.has_picture() && m_order.words().contains("size");
    m_make->setEnabled(can_be_made);
    m_make_all->setEnabled(can_be_made);
    m_make_all->setVisible(!m_order.others().empty());
    m_make_all->setText(tr("Make all %1 pictures so").arg(m_order.others().size() + 1));
}

jobs::MakeRequest MakePanel::request_of_order() const {
    jobs::MakeRequest request;
    request.picture = m_order.path();
    request.wish = m_order.wish();
    request.to = m_folder.toStdString();
    return request;
}

void MakePanel::make() {
    if (!m_order.has_picture() || !m_order.words().contains("size")) return;
    add_print(request_of_order(),
              tr("%1, %2, %3").arg(m_order.title(), words_of(Part::medium, m_order), words_of(Part::size, m_order)));
}

void MakePanel::make_all() {
    if (!m_order.has_picture() || !m_order.words().contains("size")) return;
    jobs::MakeRequest request = request_of_order();
    std::vector<jobs::MakeRequest> requests{request};
    request.wish.crop = plan::CropAround{};  // The hung picture's own crop says nothing of the others.
    for (const auto& picture : m_order.others()) {
        request.picture = picture;
        requests.push_back(request);
    }
    QDir().mkpath(m_folder);
    m_queue->add_prints(requests, when_made());
}

void MakePanel::add_print(const jobs::MakeRequest& request, const QString& title) {
    QDir().mkpath(m_folder);
    MakeJob job = print_job(title, request);
    job.done = when_made();
    m_queue->add(job);
}

std::function<void(const jobs::MakeOutcome&)> MakePanel::when_made() {
    return [this, words = m_order.words()](const jobs::MakeOutcome& outcome) {
        if (outcome.ending == jobs::Ending::done && words == m_order.words() &&
            outcome.request.picture == m_order.path()) {
            m_order.set_made(outcome.files);
        }
        emit made(outcome);
    };
}

void MakePanel::keep_findings(const std::filesystem::path& out) {
    if (!m_order.has_picture() || !m_order.words().contains("size")) return;
    add_file(file_job(tr("Findings: %1, %2, %3")
                          .arg(m_order.title(), words_of(Part::medium, m_order), words_of(Part::size, m_order)),
                      out, tr("Written: a page with the picture, its flags, and what each says."),
                      [picture = m_order.path(), wish = m_order.wish(), out](bool replace, jobs::Context& context) {
                          jobs::expect_free_name(picture, out, replace, context);
                          const jobs::CheckOutcome print = jobs::check(picture, wish, context);
                          jobs::write_check_report(picture, {&print, 1}, out, replace, false, context);
                      }),
             out, false);
}

void MakePanel::enlarge(const jobs::EnlargeRequest& request) {
    add_file(file_job(tr("%1, enlarged %2 times").arg(shown(request.in.stem())).arg(request.factor), request.out,
                      tr("Made: a picture, neither sharpened nor changed for a print."),
                      [request](bool replace, jobs::Context& context) {
                          jobs::EnlargeRequest asked = request;
                          asked.replace = replace;
                          jobs::enlarge(asked, context);
                      }),
             request.out, request.replace);
}

void MakePanel::add_file(MakeJob job, const std::filesystem::path& file, bool replace) {
    if (file.parent_path() == std::filesystem::path(m_folder.toStdString())) QDir().mkpath(m_folder);
    job.done = [this](const jobs::MakeOutcome& outcome) { emit file_made(outcome.ending); };
    m_queue->add(job, replace);
}

void MakePanel::take_queue_back() {
    layout()->addWidget(m_queue);
    m_queue->set_most_height(most_queue_height);
}

}  // namespace hangtrue::desktop

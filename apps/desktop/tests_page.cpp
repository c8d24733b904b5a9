// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/tests_page.h"

#include <QBoxLayout>
#include <QCheckBox>
#include <QComboBox>
#include <QFileDialog>
#include <QLabel>
#include <QLineEdit>
#include <QListView>
#include <QPushButton>
#include <QScrollArea>
#include <QShortcut>
#include <QStackedWidget>
#include <QStandardPaths>
#include <utility>

#include "apps/desktop/bridge.h"
#include "apps/desktop/correction_drawing.h"
#include "apps/desktop/make_queue.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/row_delegate.h"
#include "apps/desktop/screen_profile.h"
#include "apps/desktop/sheet_canvas.h"
#include "apps/desktop/sheet_form.h"
#include "apps/desktop/sheet_model.h"
#include "apps/desktop/style.h"
#include "apps/desktop/task_line.h"
#include "engine/jobs/sheet_list.h"
#include "engine/jobs/test_sheets.h"

namespace hangtrue::desktop {

/// All that the page shows of one sheet.
struct TestsPage::Known {
    jobs::SheetView view;
    jobs::TestStatus status;
    std::vector<jobs::SheetReading> readings;
    jobs::DrawnCorrection drawn;
};

TestsPage::TestsPage(Bridge& bridge, MakeQueue& queue, QWidget* parent)
    : QWidget(parent), m_bridge(bridge), m_queue(queue) {
    setAccessibleName(tr("Test sheets"));
    auto* layout = new QHBoxLayout(this);
    layout->setContentsMargins(space::page, space::large, space::page, space::large);
    layout->setSpacing(space::page);
    layout->addWidget(left_side(), 2);
    m_stack = new QStackedWidget(this);
    m_stack->addWidget(form_side());
    m_stack->addWidget(sheet_side());
    layout->addWidget(m_stack, 6);
    connect(m_list->selectionModel(), &QItemSelectionModel::currentChanged, this, &TestsPage::show_marked);
    connect(&m_bridge, &Bridge::screen_changed, this, &TestsPage::show_marked);
    connect(m_list, &QListView::activated, this, [this] { m_canvas->setFocus(); });
    connect(m_canvas, &SheetCanvas::answer_changed, this, &TestsPage::answer_changed);
    answer_changed();
}

QWidget* TestsPage::left_side() {
    auto* side = new QWidget(this);
    auto* layout = new QVBoxLayout(side);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::middle);
    layout->addWidget(heading(tr("Test sheets"), side));
    m_model = new SheetModel(this);
    m_list = new QListView(side);
    m_list->setAccessibleName(tr("The test sheets, newest first"));
    m_list->setModel(m_model);
    m_list->setWordWrap(true);
    m_list->setFrameShape(QFrame::NoFrame);
    m_list->setStyleSheet(QStringLiteral("QListView { border: none; background: transparent; }"));
    m_list->setItemDelegate(new RowDelegate(m_list));
    m_list->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    layout->addWidget(m_list, 1);
    m_list_words = quiet_words(tr("Looking …"), side);
    layout->addWidget(m_list_words);
    auto* make =
        button(tr("New test sheet…"), tr("A small print that shows how the shop prints"), QKeySequence::New, "", side);
    layout->addWidget(make, 0, Qt::AlignLeft);
    connect(make, &QPushButton::clicked, this, [this] { begin_sheet(); });
    return side;
}

QWidget* TestsPage::form_side() {
    auto* side = new QWidget(this);
    auto* layout = new QVBoxLayout(side);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::middle);
    layout->addWidget(heading(tr("A new test sheet"), side));
    layout->addWidget(quiet_words(tr("A small print on the same medium, by the same machine, holds one part of the "
                                     "picture in several variants, greys, colours and marks. It costs as little as the "
                                     "shop's smallest print, and what it teaches holds for every print that follows."),
                                  side));
    m_form = new SheetForm(side);
    layout->addWidget(m_form);
    m_form_words = plain_words(QString(), side);
    layout->addWidget(m_form_words);
    m_make = button(tr("Make the test sheet"), tr("Writes its file and the page that says how to judge it"),
                    QKeySequence(Qt::CTRL | Qt::Key_M), "first", side);
    layout->addWidget(m_make, 0, Qt::AlignLeft);
    layout->addStretch(1);
    connect(m_form, &SheetForm::changed, this, [this] {
        m_make->setEnabled(m_form->request().has_value());
        // Before the shops were read, nothing is known to be missing; and what came of a sheet is not wiped away.
        if (!m_is_known) return;
        const QString missing = m_form->missing();
        if (!missing.isEmpty() || m_form_words->text() == m_missing) m_form_words->setText(missing);
        m_missing = missing;
    });
    connect(m_make, &QPushButton::clicked, this, &TestsPage::make_sheet);
    auto* leave = new QShortcut(QKeySequence(Qt::Key_Escape), side);
    leave->setContext(Qt::WidgetWithChildrenShortcut);
    connect(leave, &QShortcut::activated, this, [this] {
        if (m_model->rowCount() > 0) m_list->setCurrentIndex(m_model->index(0));
    });
    m_form->set_folder(QStandardPaths::writableLocation(QStandardPaths::PicturesLocation));
    m_make->setEnabled(false);
    return side;
}

QWidget* TestsPage::sheet_side() {
    auto* area = new QScrollArea(this);
    area->setWidgetResizable(true);
    area->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    area->setFocusPolicy(Qt::NoFocus);
    auto* side = new QWidget(area);
    auto* layout = new QVBoxLayout(side);
    layout->setContentsMargins(0, 0, space::middle, 0);
    layout->setSpacing(space::middle);
    m_title = heading(QString(), side);
    m_title->setWordWrap(true);
    layout->addWidget(m_title);
    auto* sheet = new QHBoxLayout;
    sheet->setSpacing(space::large);
    m_canvas = new SheetCanvas(side);
    sheet->addWidget(m_canvas, 1);
    m_drawing = new CorrectionDrawing(side);
    m_drawing->setFixedWidth(230);
    sheet->addWidget(m_drawing);
    layout->addLayout(sheet, 1);
    layout->addWidget(answer_row(side));
    m_reading = new TaskLine(side);
    layout->addWidget(m_reading);
    m_words = plain_words(QString(), side);
    layout->addWidget(m_words);
    m_read_words = quiet_words(QString(), side);
    layout->addWidget(m_read_words);
    m_read = new ReadColours(side);
    layout->addWidget(m_read);
    m_taught = plain_words(QString(), side);
    layout->addWidget(m_taught);
    m_read->hide();
    m_drawing->hide();
    area->setWidget(side);
    return area;
}

QWidget* TestsPage::answer_row(QWidget* parent) {
    auto* row = new QWidget(parent);
    auto* layout = new QVBoxLayout(row);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->setSpacing(space::small);
    m_answer_words = quiet_words(QString(), row);
    layout->addWidget(m_answer_words);
    auto* eye = new QHBoxLayout;
    eye->setSpacing(space::small);
    m_all_too = new QComboBox(row);
    m_all_too->setAccessibleName(tr("Where no cell fits"));
    m_all_too->setToolTip(tr("Where no cell fits: all of them are off the same way"));
    m_all_too->addItem(tr("One of them fits"), QString());
    m_all_too->addItem(tr("All are too dark"), QStringLiteral("dark"));
    m_all_too->addItem(tr("All are too light"), QStringLiteral("light"));
    m_all_too->addItem(tr("All are too green"), QStringLiteral("green"));
    m_all_too->addItem(tr("All are too magenta"), QStringLiteral("magenta"));
    m_all_too->addItem(tr("All are too warm"), QStringLiteral("warm"));
    m_all_too->addItem(tr("All are too cool"), QStringLiteral("cool"));
    const auto number = [row](const QString& words, const QString& tip) {
        auto* field = new QLineEdit(row);
        field->setPlaceholderText(words);
        field->setAccessibleName(words);
        field->setToolTip(tip);
        field->setMaximumWidth(150);
        return field;
    };
    m_brightness = number(tr("screen, cd/m2"), tr("How bright the screen's white is, where you know it"));
    m_light = number(tr("light, lux"), tr("How bright the light on the print is, where you know it"));
    m_answer = button(tr("That is my answer"), tr("Keeps what you chose; it teaches the next prints"),
                      QKeySequence(Qt::CTRL | Qt::Key_Return), "first", row);
    eye->addWidget(m_all_too);
    eye->addWidget(m_brightness);
    eye->addWidget(m_light);
    eye->addStretch(1);
    eye->addWidget(m_answer);
    layout->addLayout(eye);
    auto* scan = new QHBoxLayout;
    scan->setSpacing(space::small);
    auto* load =
        button(tr("Load a scan…"), tr("A scan or a photograph of the printed sheet"), QKeySequence::Open, "", row);
    m_is_photograph = new QCheckBox(tr("it is a camera's photograph"), row);
    m_is_photograph->setToolTip(tr("A camera's colours are not measured ones"));
    m_show_file = button(tr("Show its file"),
                         tr("Opens the folder with the sheet's print file, which goes to the shop, and with the page "
                            "that says how the printed sheet is judged"),
                         QKeySequence(Qt::CTRL | Qt::Key_F), "", row);
    m_withdraw = button(tr("Take back"),
                        tr("What was answered or scanned of this sheet counts no more, as if it had not been told; "
                           "the ledger keeps it"),
                        {}, "", row);
    scan->addWidget(load);
    scan->addWidget(m_is_photograph);
    scan->addStretch(1);
    scan->addWidget(m_show_file);
    scan->addWidget(m_withdraw);
    layout->addLayout(scan);
    connect(m_answer, &QPushButton::clicked, this, &TestsPage::give_answer);
    connect(m_all_too, &QComboBox::currentIndexChanged, this, &TestsPage::answer_changed);
    connect(load, &QPushButton::clicked, this, &TestsPage::choose_scan);
    connect(m_show_file, &QPushButton::clicked, this, [this] {
        if (marked() != 0) show_in_folder(m_model->sheet(m_list->currentIndex().row()).file);
    });
    connect(m_withdraw, &QPushButton::clicked, this, &TestsPage::withdraw);
    return row;
}

void TestsPage::showEvent(QShowEvent* event) {
    QWidget::showEvent(event);
    refresh();
}

QString TestsPage::words() const { return m_stack->currentIndex() == 0 ? m_form_words->text() : m_words->text(); }
QString TestsPage::taught() const { return m_taught->text(); }

std::int64_t TestsPage::marked() const {
    const QModelIndex index = m_list->currentIndex();
    return index.isValid() ? m_model->sheet(index.row()).number : 0;
}

void TestsPage::refresh() {
    struct Read {
        std::vector<jobs::ListedSheet> sheets;
        std::vector<jobs::ShopText> shops;
    };
    m_bridge.run<Read>(
        Lane::list, QStringLiteral("sheets"), this,
        [](jobs::Context& context) {
            return Read{jobs::listed_sheets(context), jobs::shop_texts(context)};
        },
        [this](Result<Read> result) {
            if (!result.is_done()) {
                m_list_words->setText(shown(result.ended.sentence));
                return;
            }
            m_is_known = true;
            m_form->set_shops(result.value->shops);
            emit m_form->changed();
            const std::int64_t wanted = m_wanted != 0 ? std::exchange(m_wanted, 0) : marked();
            m_model->set_sheets(std::move(result.value->sheets));
            m_list_words->setText(m_model->rowCount() == 0
                                      ? tr("No test sheet was made yet. One small print can save a large one.")
                                      : QString());
            if (const int row = m_model->row_of(wanted); row >= 0) {
                m_list->setCurrentIndex(m_model->index(row));
            } else if (m_model->rowCount() > 0 && !m_is_beginning) {
                m_list->setCurrentIndex(m_model->index(0));
            }
        });
}

void TestsPage::begin_sheet(const QString& picture) {
    m_is_beginning = true;
    m_list->setCurrentIndex({});
    m_stack->setCurrentIndex(0);
    m_form_words->clear();
    if (!picture.isEmpty()) m_form->set_picture(picture);
    m_form->setFocus();
}

void TestsPage::make_sheet() {
    const auto request = m_form->request();
    if (!request) return;
    const QString picture = shown(request->picture.stem());
    MakeJob job = sheet_job(tr("Test sheet of %1").arg(picture), *request);
    job.done = [this](const jobs::MakeOutcome& outcome) {
        m_form_words->setText(shown(outcome.sentence));
        if (outcome.ending == jobs::Ending::done) {
            m_made = outcome.files.front().plan.test_sheet;
            m_made_words = shown(outcome.sentence);
            m_wanted = m_made;
            m_is_beginning = false;
            refresh();
        }
        emit was_answered();
    };
    m_form_words->setText(tr("It is being made; how far it is stands below."));
    m_queue.add(job);
}

void TestsPage::mark(std::int64_t number) {
    if (const int row = m_model->row_of(number); row >= 0) {
        m_list->setCurrentIndex(m_model->index(row));
    } else {
        m_wanted = number;
    }
}

void TestsPage::show_marked() {
    const std::int64_t number = marked();
    if (number == 0) return;
    m_is_beginning = false;
    const jobs::ListedSheet& sheet = m_model->sheet(m_list->currentIndex().row());
    m_stack->setCurrentIndex(1);
    m_title->setText(tr("Sheet %1: %2 on %3 from %4")
                         .arg(number)
                         .arg(shown(sheet.picture.stem()), shown(sheet.medium_name), shown(sheet.shop_name)));
    const int side = static_cast<int>(1400 * devicePixelRatioF());
    m_bridge.run<Known>(
        Lane::look, QStringLiteral("sheet"), this,
        [number, side, printed = sheet.printed, screen = m_bridge.screen()](jobs::Context& context) {
            Known known;
            known.view = jobs::sheet_view(number, side, context);
            known.view.shown = for_screen(std::move(known.view.shown), screen);
            // A shop whose file is gone leaves the sheet without its medium, not without its picture.
            const jobs::Ended end = jobs::ended(
                [&] { known.status = jobs::test_status(printed.shop, printed.medium, printed.process, context); });
            if (end.ending == jobs::Ending::cancelled) throw base::Cancelled();
            if (end.ending != jobs::Ending::done) known.status.sentences = {end.sentence};
            known.readings = jobs::readings_of_sheet(number, context);
            if (known.status.learned.by != decltype(known.status.learned.by)::nothing) {
                known.drawn = jobs::drawn_correction(known.status.learned);
            }
            return known;
        },
        [this, number](Result<Known> result) {
            if (result.is_done()) {
                // What was pressed of a sheet and not given yet is there when one comes back to it.
                if (m_shown != number) {
                    m_words->clear();
                    m_all_too->setCurrentIndex(0);  // Said of the sheet that was seen.
                }
                m_shown = 0;
                show_known(*result.value);
                m_shown = number;
                m_canvas->set_answer(m_unsaid.value(number));
            } else {
                m_words->setText(shown(result.ended.sentence));
            }
            emit was_shown();
        });
}

void TestsPage::show_known(const Known& known) {
    m_canvas->show_sheet(known.view);
    if (!known.view.sentence.empty()) m_words->setText(shown(known.view.sentence));
    if (known.view.listed.number == std::exchange(m_made, 0)) m_words->setText(m_made_words);
    QStringList read;
    std::vector<jobs::ReadColour> colours;
    for (const jobs::SheetReading& reading : known.readings) {
        read.append(tr("%1: %2").arg(day_of(reading.taken_at), shown(reading.sentence)));
        if (!reading.colours.empty()) colours = reading.colours;
    }
    m_read_words->setText(read.join(QLatin1Char('\n')));
    m_read_words->setVisible(!read.isEmpty());
    m_read->show_colours(std::move(colours));
    m_withdraw->setEnabled(!known.readings.empty());
    QStringList sentences;
    for (const std::string& sentence : known.status.sentences) sentences.append(shown(sentence));
    m_taught->setText(sentences.join(QLatin1Char(' ')));
    m_drawing->show_correction(known.drawn);
}

void TestsPage::answer_changed() {
    if (m_shown != 0) m_unsaid[m_shown] = m_canvas->answer();
    const bool is_all_too = m_all_too->currentIndex() > 0;
    QString words;
    if (is_all_too) {
        words = tr("No cell fits: %1.").arg(m_all_too->currentText().toLower());
    } else if (m_canvas->best().isEmpty()) {
        words = tr(
            "Hold the print beside your screen. Press the cell that looks most like the screen, then the next best.");
    } else if (m_canvas->second().isEmpty()) {
        words = tr("%1 looks most like the screen. Press the next best too, where there is one.").arg(m_canvas->best());
    } else {
        words = tr("%1 looks most like the screen, %2 comes next.").arg(m_canvas->best(), m_canvas->second());
    }
    words += QLatin1Char(' ');
    words += m_canvas->grey().isEmpty() ? tr("Press the grey, too, that has no tint beside the bare paper.")
                                        : tr("%1 has no tint beside the bare paper.").arg(m_canvas->grey());
    m_answer_words->setText(words);
    m_answer->setEnabled(is_all_too || !m_canvas->best().isEmpty() || !m_canvas->grey().isEmpty());
}

void TestsPage::take(Lane lane, const QString& kind, std::function<jobs::TestStatus(jobs::Context&)> work,
                     std::function<void()> kept) {
    // The line and its button are those of a scan; what is answered while one is read leaves them alone.
    const bool is_scan = lane == Lane::measure;
    Bridge::ProgressOut progress;
    if (is_scan) progress = [this](const base::ProgressReport& report) { m_reading->show_progress(report); };
    const TaskHandle task = m_bridge.run<jobs::TestStatus>(
        lane, kind, this, std::move(work),
        [this, is_scan, number = marked(), kept = std::move(kept)](Result<jobs::TestStatus> result) {
            if (is_scan) m_reading->end();
            QString words = shown(result.ended.sentence);
            if (result.is_done()) {
                QStringList remarks;
                for (const std::string& remark : result.value->remarks) remarks.append(shown(remark));
                words = remarks.isEmpty() ? tr("Kept.") : remarks.join(QLatin1Char(' '));
                if (kept) kept();
                refresh();
            }
            // Somebody may look at another sheet by now, and stays there.
            m_words->setText(number == marked() ? words : tr("Sheet %1: %2").arg(number).arg(words));
            emit was_answered();
        },
        std::move(progress));
    if (is_scan) m_reading->set_task(task);
}

void TestsPage::give_answer() {
    jobs::AnswerRequest request;
    request.sheet = marked();
    // The cells that were pressed are those of the sheet that is seen.
    if (request.sheet == 0 || request.sheet != m_shown) return;
    request.all_too = m_all_too->currentData().toString().toStdString();
    if (request.all_too.empty()) {
        request.cell = m_canvas->best().toStdString();
        request.second = m_canvas->second().toStdString();
    }
    request.grey = m_canvas->grey().toStdString();
    for (const auto& [field, value, what] :
         {std::tuple{m_brightness, &request.screen_candelas, tr("The screen's brightness")},
          std::tuple{m_light, &request.light_lux, tr("The light on the print")}}) {
        if (field->text().trimmed().isEmpty()) continue;
        bool is_number = false;
        const double number = field->text().toDouble(&is_number);
        if (!is_number || number <= 0) {
            m_words->setText(tr("%1 is a number, not \"%2\".").arg(what, field->text()));
            emit was_answered();
            return;
        }
        *value = number;
    }
    // By its sheet, so that the next sheet's answer does not take its place while it waits.
    take(
        Lane::keep, QStringLiteral("answer %1").arg(request.sheet),
        [request](jobs::Context& context) { return jobs::take_answer(request, context); },
        [this, number = request.sheet, given = m_canvas->answer()] {
            // What was pressed since is still to be given.
            if (m_unsaid.value(number) != given) return;
            m_unsaid.remove(number);
            if (m_shown != number) return;
            m_shown = 0;
            m_canvas->clear_answer();
            m_all_too->setCurrentIndex(0);
            m_shown = number;
        });
}

void TestsPage::choose_scan() {
    const QString file = QFileDialog::getOpenFileName(this, tr("Load a scan of the printed sheet"));
    if (!file.isEmpty()) load_scan(file.toStdString(), m_is_photograph->isChecked());
}

void TestsPage::load_scan(const std::filesystem::path& file, bool is_photograph) {
    const std::int64_t number = marked();
    if (number == 0) return;
    m_words->clear();
    m_reading->begin(tr("Reading %1").arg(shown(file.filename())));
    take(Lane::measure, QStringLiteral("scan"), [number, file, is_photograph](jobs::Context& context) {
        return jobs::take_scan(number, file, is_photograph, context);
    });
}

void TestsPage::withdraw() {
    const std::int64_t number = marked();
    if (number == 0) return;
    take(Lane::keep, QStringLiteral("withdraw %1").arg(number),
         [number](jobs::Context& context) { return jobs::withdraw_readings(number, context); });
}

}  // namespace hangtrue::desktop

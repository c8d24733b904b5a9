// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Test sheets: made here, answered in their own picture or read from a scan; and what they taught.

#include <QHash>
#include <QString>
#include <QWidget>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>

#include "apps/desktop/sheet_canvas.h"
#include "engine/jobs/readings.h"

class QCheckBox;
class QComboBox;
class QLabel;
class QLineEdit;
class QListView;
class QPushButton;
class QStackedWidget;

namespace hangtrue::jobs {
struct SheetReading;
struct SheetView;
}  // namespace hangtrue::jobs

namespace hangtrue::desktop {

class Bridge;
class CorrectionDrawing;
class MakeQueue;
class ReadColours;
class SheetForm;
class SheetModel;
class TaskLine;
enum class Lane;

class TestsPage : public QWidget {
    Q_OBJECT
  public:
    TestsPage(Bridge& bridge, MakeQueue& queue, QWidget* parent);

    void refresh();
    /// The form for a new sheet; `picture` empty: to be chosen there.
    void begin_sheet(const QString& picture = QString());
    /// Makes what the form asks for.
    void make_sheet();
    void mark(std::int64_t number);
    /// What is pointed at on the sheet, and what the fields say.
    void give_answer();
    void load_scan(const std::filesystem::path& file, bool is_photograph);
    TaskLine& reading() { return *m_reading; }
    /// Takes back what was read from the marked sheet.
    void withdraw();

    SheetForm& form() { return *m_form; }
    SheetCanvas& canvas() { return *m_canvas; }
    const SheetModel& model() const { return *m_model; }
    /// What was said last, and what the medium's sheets taught.
    QString words() const;
    QString taught() const;

  signals:
    /// A sheet with all that is known of it stands on the page.
    void was_shown();
    /// Making, answering or reading came to its end.
    void was_answered();

  protected:
    void showEvent(QShowEvent* event) override;

  private:
    struct Known;
    QWidget* left_side();
    QWidget* sheet_side();
    QWidget* form_side();
    QWidget* answer_row(QWidget* parent);
    void show_marked();
    void show_known(const Known& known);
    /// `lane`: measuring for what reads a scan, with progress; keeping for a moment's answer.
    /// `kept`: called when it was.
    void take(Lane lane, const QString& kind, std::function<jobs::TestStatus(jobs::Context&)> work,
              std::function<void()> kept = {});
    void answer_changed();
    void choose_scan();
    std::int64_t marked() const;

    Bridge& m_bridge;
    MakeQueue& m_queue;
    SheetModel* m_model;
    QListView* m_list;
    QStackedWidget* m_stack;
    SheetForm* m_form;
    QPushButton* m_make;
    QLabel* m_form_words;
    QLabel* m_list_words;
    QLabel* m_title;
    SheetCanvas* m_canvas;
    QComboBox* m_all_too;
    QLineEdit* m_brightness;
    QLineEdit* m_light;
    QLabel* m_answer_words;
    QPushButton* m_answer;
    QCheckBox* m_is_photograph;
    QPushButton* m_show_file;
    QPushButton* m_withdraw;
    QLabel* m_words;
    TaskLine* m_reading;
    QLabel* m_taught;
    QLabel* m_read_words;
    ReadColours* m_read;
    CorrectionDrawing* m_drawing;
    bool m_is_beginning = false;  ///< The form was asked for: no sheet takes its place by itself.
    std::int64_t m_wanted = 0;    ///< To be marked when the list comes.
    std::int64_t m_made = 0;      ///< Just made: what was said of it is said beside it.
    QString m_made_words;
    bool m_is_known = false;                            ///< Sheets and shops were read.
    QString m_missing;                                  ///< What the form said to be missing.
    std::int64_t m_shown = 0;                           ///< The sheet on the canvas.
    QHash<std::int64_t, SheetCanvas::Answer> m_unsaid;  ///< Pressed, and not given as answer yet, by sheet.
};

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What all pages are built of: headings, quiet words, buttons that tell their keys, and showing a file in its folder.

#include <QImage>
#include <QKeySequence>
#include <QLabel>
#include <QPushButton>
#include <QString>
#include <filesystem>
#include <string>

#include "engine/jobs/picture_list.h"

class QAbstractButton;
class QBoxLayout;
class QLineEdit;

namespace hangtrue::desktop {

QLabel* heading(const QString& text, QWidget* parent);
/// Breaks its lines; less weight.
QLabel* quiet_words(const QString& text, QWidget* parent);
/// Breaks its lines; for sentences that tell how something ended.
QLabel* plain_words(const QString& text, QWidget* parent);

/// With its key in the tooltip; `weight` as the style has it: "", "first", "word", "place".
QPushButton* button(const QString& text, const QString& tip, const QKeySequence& key, const char* weight,
                    QWidget* parent);

/// Other words on a button that has a key: Qt takes the key away with the words.
void set_words(QAbstractButton& button, const QString& text);
/// Escape empties the field, as the cross at its end does.
void empty_by_escape(QLineEdit& field);

/// The page's margins and gaps.
void set_page_margins(QBoxLayout& layout);

/// UTF-8 text of the engine's for the window.
inline QString shown(const std::string& text) { return QString::fromStdString(text); }
inline QString shown(const std::filesystem::path& path) { return QString::fromStdString(path.string()); }

/// "1 record", "12 records": both words are the translator's, %1 is the number in `many`.
inline QString counted(qsizetype count, const QString& one, const QString& many) {
    return count == 1 ? one : many.arg(count);
}

/// A copy of the pixels.
QImage image_of(const jobs::SmallPixels& pixels);

/// Opens the file manager with the file marked where it can do that, else its folder.
void show_in_folder(const std::filesystem::path& file);

/// "2026-03-14T09:26:53Z" as the user's language writes a day; and with the time, of the user's own clock.
QString day_of(const std::string& iso_time);
QString moment_of(const std::string& iso_time);

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What a shop has not told yet: each question with a field for its answer, and the letter that asks for all of them.

#include <QHash>
#include <QWidget>

#include "engine/jobs/shop_editing.h"

class QLabel;
class QPlainTextEdit;
class QVBoxLayout;

namespace hangtrue::desktop {

class Bridge;

class OpenQuestions : public QWidget {
    Q_OBJECT
  public:
    OpenQuestions(Bridge& bridge, QWidget* parent);

    /// `medium`: of that one alone; -1: of all, and of the shop itself.
    void show_shop(const jobs::ShopText& shop, int medium);
    /// As written in the field of that question; it goes into the shop's file. `medium_id`: empty for the shop itself.
    void answer(const std::string& medium_id, const std::string& key, const QString& answer);
    QString words() const;

  signals:
    /// The file holds one answer more.
    void was_filled_in();
    /// The file's text is the place for this one.
    void wants_the_file();
    /// An answer came to its end, either way.
    void was_answered();

  private:
    void clear();
    QWidget* row(const shops::Question& question, const std::string& medium_id);
    /// By which what is being typed is found again.
    QString place_of(const std::string& medium_id, const std::string& key) const;

    Bridge& m_bridge;
    jobs::ShopText m_shop;
    QHash<QString, QString> m_typed;  ///< Not filled in yet: it stays, whatever else is filled in meanwhile.
    QVBoxLayout* m_rows;
    QLabel* m_words;
};

}  // namespace hangtrue::desktop

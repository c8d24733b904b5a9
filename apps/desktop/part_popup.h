// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What opens under a part of the order sentence: choices that say what they mean, and below them what else belongs to
/// that part. Arrow keys go through the choices, Return takes one, Escape closes.

#include <QAbstractButton>
#include <QFrame>
#include <QPointer>
#include <QString>
#include <functional>

class QFormLayout;
class QScrollArea;
class QVBoxLayout;

namespace hangtrue::desktop {

/// One choice: a title, what it means, and where it cannot be had, why not. What is chosen has a bar before it.
class Choice : public QAbstractButton {
    Q_OBJECT
  public:
    Choice(const QString& title, const QString& meaning, const QString& why_not, bool is_current, QWidget* parent);
    QSize sizeHint() const override;
    bool hasHeightForWidth() const override { return true; }
    int heightForWidth(int width) const override;

  protected:
    void paintEvent(QPaintEvent* event) override;
    void enterEvent(QEnterEvent* event) override;
    void leaveEvent(QEvent* event) override;

  private:
    QString below() const;
    QString m_meaning, m_why_not;
    bool m_is_current;
};

class PartPopup : public QFrame {
    Q_OBJECT
  public:
    explicit PartPopup(QWidget* parent);

    void add_heading(const QString& text);
    void add_words(const QString& text);
    /// Closes the popup, then acts. `why_not`: not to be had, and why.
    Choice* add_choice(const QString& title, const QString& meaning, bool is_current, std::function<void()> act,
                       const QString& why_not = {});
    /// A labelled control; `meaning` stands under it.
    void add_field(const QString& label, QWidget* field, const QString& meaning = {});
    /// A drop-down of words: what is shown and the value of each.
    void add_list(const QString& label, const QList<std::pair<QString, QString>>& values, const QString& current,
                  std::function<void(const QString&)> act, const QString& meaning = {});
    /// A line that takes what is typed on Return or when it is left for another part or by a click beside the popup;
    /// Escape leaves it untaken.
    void add_line(const QString& label, const QString& current, const QString& example,
                  std::function<void(const QString&)> act, const QString& meaning = {});

    /// The focus goes back to `anchor` when it closes.
    void open_under(QWidget* anchor);
    /// Escape was pressed: what is typed is not meant.
    bool is_left() const { return m_is_left; }

  protected:
    void keyPressEvent(QKeyEvent* event) override;
    void closeEvent(QCloseEvent* event) override;

  private:
    QScrollArea* m_scroll;
    QWidget* m_inside;
    QVBoxLayout* m_layout;
    QPointer<QWidget> m_anchor;
    Choice* m_first_focus = nullptr;
    bool m_is_left = false;
};

}  // namespace hangtrue::desktop

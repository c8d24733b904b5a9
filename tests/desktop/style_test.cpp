// SPDX-License-Identifier: Apache-2.0
#include <QFontDatabase>
#include <QRegularExpression>
#include <QTest>
#include <algorithm>
#include <cmath>

#include "apps/desktop/style.h"

using namespace hangtrue::desktop;

namespace {

/// WCAG 2.2, "relative luminance" and "contrast ratio".
double luminance(const QColor& colour) {
    const auto linear = [](double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); };
    return 0.2126 * linear(colour.redF()) + 0.7152 * linear(colour.greenF()) + 0.0722 * linear(colour.blueF());
}
double contrast(const QColor& a, const QColor& b) {
    const double first = luminance(a) + 0.05, second = luminance(b) + 0.05;
    return std::max(first, second) / std::min(first, second);
}

}  // namespace

class StyleTest : public QObject {
    Q_OBJECT
  private slots:
    /// WCAG 2.2 AA: 1.4.3 (text, 4.5 : 1) and 1.4.11 (edges of controls, 3 : 1).
    void contrasts_are_enough_in_both_greys() {
        for (const Grey grey : {Grey::light, Grey::dark}) {
            const Tones t = tones_of(grey);
            for (const QColor& behind : {t.ground, t.raised}) {
                QVERIFY(contrast(t.ink, behind) >= 4.5);
                QVERIFY(contrast(t.quiet_ink, behind) >= 4.5);
                QVERIFY(contrast(t.edge, behind) >= 3);
            }
        }
    }

    /// Each rule of the style sheet, as it is set: what it writes on what it lays down. Where it lays nothing down, on
    /// the window and on what is raised. Controls that are switched off are left out, as WCAG does (1.4.3, 1.4.11).
    void every_rule_of_the_style_sheet_has_contrast_enough() {
        for (const Grey grey : {Grey::light, Grey::dark}) {
            set_look(*qApp, grey);
            const Tones t = tones();
            const QString sheet = qApp->styleSheet();
            int texts = 0, edges = 0;
            static const QRegularExpression rule(QStringLiteral("([^{}]+)\\{([^}]*)\\}"));
            for (auto rules = rule.globalMatch(sheet); rules.hasNext();) {
                const auto one = rules.next();
                const QString selector = one.captured(1).simplified();
                if (selector.contains(QLatin1String(":disabled"))) continue;
                const auto value = [&](const char* name) {
                    const QRegularExpression wanted(
                        QStringLiteral("(?:^|[;{\\s])%1:[^;]*(#[0-9a-fA-F]{6})").arg(QString::fromUtf8(name)));
                    return wanted.match(one.captured(2)).captured(1);
                };
                QList<QColor> behind{t.ground, t.raised};
                const QString laid = value("background");
                if (!laid.isEmpty()) behind = {QColor(laid)};
                if (const QString ink = value("color"); !ink.isEmpty()) {
                    for (const QColor& ground : behind) {
                        QVERIFY2(contrast(QColor(ink), ground) >= 4.5, qPrintable(selector));
                    }
                    ++texts;
                }
                if (const QString ink = value("selection-color"); !ink.isEmpty()) {
                    QVERIFY2(contrast(QColor(ink), QColor(value("selection-background-color"))) >= 4.5,
                             qPrintable(selector));
                }
                // Cards, lists and splitters are parted by lines that tell nothing.
                const bool is_control =
                    selector.contains(QRegularExpression(QStringLiteral("Button|Edit|SpinBox|ComboBox|indicator")));
                const QString edge = value("border").isEmpty() ? value("border-bottom") : value("border");
                if (is_control && !edge.isEmpty() && !selector.contains(QLatin1String("\"first\""))) {
                    for (const QColor& ground : {t.ground, t.raised}) {
                        QVERIFY2(contrast(QColor(edge), ground) >= 3, qPrintable(selector));
                    }
                    ++edges;
                }
            }
            QVERIFY(texts >= 12);
            QVERIFY(edges >= 5);
            // What moves and fills: a scroll bar's handle on the window, how far a job is on what is left of it.
            QVERIFY(contrast(t.edge, t.ground) >= 3);
            QVERIFY(contrast(t.ink, t.line) >= 3);
            // The first button's own focus line lies on its ink.
            QVERIFY(contrast(t.ground, t.ink) >= 3);
        }
    }

    /// ISO 3664: the surround of a picture that is judged is neutral.
    void every_tone_is_a_neutral_grey() {
        for (const Grey grey : {Grey::light, Grey::dark}) {
            const Tones t = tones_of(grey);
            for (const QColor& tone :
                 {t.ground, t.raised, t.ink, t.quiet_ink, t.edge, t.line, t.wall_top, t.wall_foot, t.floor}) {
                QCOMPARE(tone.red(), tone.green());
                QCOMPARE(tone.green(), tone.blue());
            }
        }
    }

    void text_follows_the_systems_size_in_one_typeface() {
        set_look(*qApp, Grey::dark);
        for (const Text text : {Text::small, Text::body, Text::strong, Text::heading, Text::sentence}) {
            QCOMPARE(font_of(text).family(), QStringLiteral("Inter"));
        }
        QVERIFY(font_of(Text::small).pointSizeF() < font_of(Text::body).pointSizeF());
        QVERIFY(font_of(Text::body).pointSizeF() < font_of(Text::sentence).pointSizeF());
    }
};

QTEST_MAIN(StyleTest)
#include "style_test.moc"

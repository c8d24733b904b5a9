// SPDX-License-Identifier: Apache-2.0
#include <QFontDatabase>
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

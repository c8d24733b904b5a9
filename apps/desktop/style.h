// SPDX-License-Identifier: Apache-2.0
#pragma once

/// How the window looks: neutral greys alone, one typeface, one measure for space.
///
/// Nothing coloured stands beside a picture that is judged (ISO 3664), so there is no accent colour: what is chosen is
/// told by weight and by lines. Contrasts keep to WCAG 2.2 AA: text 4.5 : 1, edges of controls 3 : 1.

#include <QApplication>
#include <QColor>
#include <QFont>

namespace hangtrue::desktop {

/// One tone of grey each.
struct Tones {
    QColor ground;     ///< The window.
    QColor raised;     ///< Cards, menus, fields: a step towards the ink's opposite.
    QColor ink;        ///< Text.
    QColor quiet_ink;  ///< Text of less weight; still 4.5 : 1 on ground and raised.
    QColor edge;       ///< Edges of controls, 3 : 1 on ground and raised.
    QColor line;       ///< Dividing lines that tell nothing.
    QColor wall_top;   ///< The wall, above and below, and the floor.
    QColor wall_foot;
    QColor floor;
};

enum class Grey { light, dark };

Tones tones_of(Grey grey);
/// Of the look that is set.
const Tones& tones();
Grey grey();

/// Spaces in device-independent pixels; all gaps are one of these.
namespace space {
inline constexpr int hair = 4;
inline constexpr int small = 8;
inline constexpr int middle = 16;
inline constexpr int large = 24;
inline constexpr int page = 40;
}  // namespace space

/// Inter where it is installed, else the system's; sizes follow the system's text size.
enum class Text { small, body, strong, heading, sentence };
QFont font_of(Text text);

/// Sets palette, typeface and style sheet of the whole program; may be called again for the other grey.
void set_look(QApplication& application, Grey grey);

}  // namespace hangtrue::desktop

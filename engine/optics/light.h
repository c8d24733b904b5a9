// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The light on the wall: how bright a print is in a room, which steps of its shadows the eye can still tell apart
/// there, and the tone change that keeps them. Pure mathematics, thread-safe.
///
/// Tones are relative luminances of the picture, linear, 0 black to 1 white.

#include <array>
#include <span>
#include <string_view>

namespace hangtrue::optics {

/// Candelas a square metre of a matt surface: lux x reflectance / pi (Lambert).
double paper_luminance(double lux, double reflectance);
/// The lux under which paper of that reflectance is as bright.
double lux_for(double candelas, double reflectance);

/// Barten's contrast sensitivity (SPIE 5294, 2003, 231-238), of a sine grating `cycles_per_degree` fine, at `candelas`,
/// over a field `field_degrees` square.
double barten_sensitivity(double cycles_per_degree, double candelas, double field_degrees = 10);

/// A room in plain words.
struct Room {
    std::string_view id;      ///< "living-room"
    std::string_view name;    ///< "a living room in the evening"
    double lux;               ///< On the print.
    std::string_view source;  ///< Where the figure comes from, as a sentence.
};
std::span<const Room> rooms();
const Room* find_room(std::string_view id);

/// What is looked at, as luminances: `black` at tone 0, `white` at tone 1, linear between.
struct Seen {
    double black = 0;  ///< cd/m2, stray light included.
    double white = 0;
    double at(double tone) const { return black + (white - black) * tone; }
};

/// A screen of that white, with a native contrast of 1000 to 1, in a dim room (32 lux, ISO 3664's wish for a screen
/// that is judged by) of which it throws back 1 %. Estimates.
Seen screen_seen(double candelas);

/// What a print is made of, as far as light goes.
struct Surface {
    double reflectance = 0.88;  ///< Of its white, 0..1.
    double density = 2.0;       ///< Of its black, above the white.
    double stray = 0.005;       ///< Light of the room that its surface throws at the eye, against the white's.
    friend bool operator==(const Surface&, const Surface&) = default;
};
Seen print_seen(double lux, const Surface& surface);

/// The density that is left of `density` with that stray light: -log10((10^-D + r) / (1 + r)).
double effective_density(double density, double stray);

/// Of the steps that an eye can just tell apart (Barten's threshold at 4 cycles a degree), how many lie between two
/// tones: the integral of dL / (2 m L), m = 1 / sensitivity.
double visible_steps(const Seen& seen, double from_tone, double to_tone);

/// Lightness L* that each L* 0, 5, 10 … 100 becomes.
using ToneKnots = std::array<double, 21>;

/// Of a light that is never asked for, and of one that takes nothing.
ToneKnots unchanged_tones();

/// The change that gives every tone the share of all visible steps in the room (`there`) that it has where the print is
/// as bright as the screen it was judged by (`matched`): dim light takes more of them from the darker tones, and the
/// bright ones, which have more than they need, give. Made less as a whole where a tone would move by more than
/// most_moved. 0 and 100 stay; nothing falls, nothing is darkened: no change where the light is bright enough.
ToneKnots tone_change(const Seen& matched, const Seen& there);
inline constexpr double most_moved = 6;  ///< L*: about half a stop at middle grey.

/// Tone 0..1 after the change, linear in L* between the knots: for reports (pixels take a smooth curve).
double changed_tone(const ToneKnots& knots, double tone);

/// The darkest greys run together: all sRGB grey codes (0 to 255), their tones changed by `knots`, differ up to this
/// one from the next by less than the eye can tell. -1: none does.
int last_merged_code(const Seen& seen, const ToneKnots& knots);

}  // namespace hangtrue::optics

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A room's light on a wall that is drawn on a screen: how bright wall and print look there to an eye that is used to
/// the room, shown to an eye that is used to the screen.

#include <array>
#include <cstdint>
#include <string>

#include "engine/jobs/context.h"
#include "engine/jobs/kept_wishes.h"

namespace hangtrue::jobs {

/// Of each sRGB code, the code that is shown for it.
using ShownTones = std::array<std::uint8_t, 256>;

struct RoomLight {
    double lux = 0;
    std::string room;  ///< In plain words; empty where lux were given.
    /// The wall and what stands in the room: white is as bright as CAM16 has the print's white look in the room,
    /// against the screen's; never brighter than the screen's.
    ShownTones wall{};
    /// The print: the tones of its file (changed where the order asks for that), its black as deep as it is there.
    ShownTones print{};
    std::string sentence;  ///< What is shown, for a photographer.
};

/// `light`: as `--light` takes it. `words`: the order, whose medium the print is on and whose file it is; a medium that
/// is not known is taken as usual paper. Throws InvalidWish.
RoomLight room_light(const std::string& light, const WishWords& words, const Context& context);

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The colour profile of a screen, from wherever the system keeps it: the X server's property, else the colour daemon,
/// else none, which means sRGB. All of it is asked on a worker thread.

#include <QString>
#include <cstddef>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "apps/desktop/bridge.h"
#include "engine/jobs/picture_list.h"
#include "engine/jobs/screen.h"

struct xcb_connection_t;

namespace hangtrue::desktop {

/// What a screen's pixels are converted to. A SharedScreen (bridge.h) is never changed, so that any thread may read it.
struct ScreenProfile {
    std::vector<std::byte> icc;  ///< Empty: sRGB.
    std::string name;            ///< As the profile calls itself; "sRGB" where there is none.
    enum class From { nowhere, x_server, colour_daemon } from = From::nowhere;
};

/// The property _ICC_PROFILE of the root window, for the screen's number 1 and up _ICC_PROFILE_1, … (ICC Profiles in X
/// Specification 0.4). Empty where there is none.
std::vector<std::byte> x_profile(xcb_connection_t* connection, int screen_number);

/// The profile that the colour daemon has for the display of that name ("HDMI-1"), as a file; empty where there is no
/// daemon, no such display or no profile. Waits for the daemon a second at most.
std::filesystem::path daemon_profile(const QString& display);

/// Of the screen with that number and name; a profile that cannot be used counts as none. Slow: for a worker thread.
SharedScreen screen_profile(int screen_number, const QString& display);

/// "Shown in the colours of …", or that the screen's profile is not known and sRGB is taken.
QString words_of(const ScreenProfile& screen);

/// The pixels as the screen must get them, 8 bits; as they are where the profiles are the same. For a worker thread.
jobs::ScreenPixels for_screen(jobs::ScreenPixels pixels, const SharedScreen& screen);
jobs::SmallPixels for_screen(jobs::SmallPixels pixels, const SharedScreen& screen);

}  // namespace hangtrue::desktop

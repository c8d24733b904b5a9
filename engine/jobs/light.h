// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What the light of a room does to a print against the screen, the change that answers it, and a photograph that
/// compares the two. Writes nothing.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/units.h"
#include "engine/jobs/context.h"
#include "engine/plan/plan.h"
#include "engine/plan/wish.h"

namespace hangtrue::jobs {

/// A room that can be called by its name.
struct KnownRoom {
    std::string id;    ///< As `--light` takes it.
    std::string name;  ///< "a living room in the evening"
    double lux = 0;
    std::string source;  ///< Where the figure comes from.
};
std::vector<KnownRoom> known_rooms();

struct LightRequest {
    plan::LightWish light;
    double screen_candelas = 120;
    std::string shop;  ///< With `medium`: whose paper it is; empty: a usual one.
    std::string medium;
};

/// A range of tones, as shares of white's light, and the steps in it that an eye can tell apart.
struct ToneRange {
    std::string name;  ///< "deep shadows"
    double from = 0;
    double to = 0;
    double on_screen = 0;
    double matched = 0;  ///< On the print where it is as bright as the screen.
    double there = 0;    ///< In the room…
    double changed = 0;  ///< …with the tones changed.
};

struct LightReport {
    plan::PlannedLight light;   ///< As a plan would hold it.
    std::string medium_name;    ///< Empty: a usual paper.
    double paper_candelas = 0;  ///< White of the print, cd/m2.
    double stops = 0;           ///< By which it is darker than the screen's white; negative: brighter.
    double brightness = 0;      ///< How bright that looks to an eye that is used to each (CAM16 Q), 1: as bright.
    double matching_lux = 0;    ///< Under which paper and screen are equally bright.
    double density = 0;         ///< Of the print's black there, stray light included.
    int last_merged_code = -1;  ///< The darkest sRGB codes, 0 to 255, run together up to this one; -1: none does…
    int merged_after = -1;      ///< …with the tones changed.
    std::vector<ToneRange> ranges;
    double middle_stops = 0;             ///< By which middle grey becomes lighter in the file.
    std::vector<std::string> sentences;  ///< For a photographer, in order.
};
/// Throws InvalidWish, UnreadableInput.
LightReport light_report(const LightRequest& request, const Context& context);

struct PhotographRequest {
    std::filesystem::path photograph;
    std::optional<base::PixelRect> screen;  ///< In pixels of the upright photograph; both or neither.
    std::optional<base::PixelRect> paper;
    std::optional<double> screen_candelas;  ///< Where known: then the room's lux can be guessed.
};

struct PhotographReport {
    base::PixelRect screen;  ///< Where they stand in the photograph.
    base::PixelRect paper;
    bool were_found = false;  ///< Not given.
    double stops = 0;         ///< By which the screen is brighter: a first guess, and its bounds.
    double least = 0;
    double most = 0;
    bool are_equal = false;
    std::optional<double> lux;  ///< On the paper, a guess, and its bounds.
    double least_lux = 0;
    double most_lux = 0;
    std::vector<std::string> sentences;
};
/// Throws InvalidWish (areas not found, clipped, uneven), UnreadableInput, Cancelled.
PhotographReport photograph_report(const PhotographRequest& request, Context& context);

}  // namespace hangtrue::jobs

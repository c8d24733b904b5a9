// SPDX-License-Identifier: Apache-2.0
#pragma once

/// From the picture's samples to the working form, and from there to the file space.
///
/// Working form: R, G, B, encoded with the space's own curve, 32-bit float planes, nominally 0 to 1, never
/// clipped. A picture in a matrix RGB profile stays in its own space; all others (table profiles, grey, Lab)
/// are brought to ROMM primaries (ISO 22028-2) with the sRGB curve. All functions are thread-safe.

#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "engine/colour/correction.h"
#include "engine/colour/profile.h"

namespace hangtrue::colour {

enum class Intent { perceptual, relative_colorimetric, saturation, absolute_colorimetric };

/// What the samples of a picture are (as raster found them).
enum class SourceModel { grey, rgb, lab };

struct Planes {
    std::span<float> red;
    std::span<float> green;
    std::span<float> blue;
};

class WorkingForm {
  public:
    /// `profile` must fit `model`, else throws UnreadableInput naming `picture_name`. Lab samples say
    /// themselves what they are (D50): of a Lab profile nothing is used but that it is one.
    WorkingForm(const Profile& profile, SourceModel model, const std::string& picture_name);
    ~WorkingForm();
    WorkingForm(WorkingForm&&) noexcept;

    /// `samples`: interleaved, 1 or 3 channels as the model says, 8 or 16 bits; fills planes of equal length.
    /// Lab: 8 bits L* x 255/100, a* + 128, b* + 128; 16 bits L* x 65535/100, (a* + 128) x 256, (b* + 128) x 256.
    void from_samples(std::span<const std::uint8_t> samples, const Planes& out) const;
    void from_samples(std::span<const std::uint16_t> samples, const Planes& out) const;

    /// In place, to linear light and back (for reducing). The inverse of one another within 1e-6 where the
    /// profile's curve is a formula, or a table of one; for other tables within their own rounding (2e-5 in
    /// linear light). Values beyond 0..1 go on continuously and monotonically (the curve mirrored at 0, its
    /// last slope above 1).
    void to_linear(const Planes& planes) const;
    void to_encoded(const Planes& planes) const;

    /// The space's own luminance weights (Y row of its matrix, sum 1), for sharpening.
    std::array<float, 3> luminance_weights() const;
    /// The profile that describes the working form exactly (the picture's own, or the built-in ROMM form).
    const Profile& profile() const;
    /// True where the picture's own samples are kept (matrix RGB).
    bool is_own_space() const;

  private:
    friend class Conversion;
    struct State;
    std::unique_ptr<State> m_state;
};

struct ConversionSettings {
    Intent intent = Intent::relative_colorimetric;
    bool black_point_compensation = true;
};

/// What is done to the colours between working form and file space, in this order. None need outlive the call that
/// takes them.
struct LabChanges {
    /// A change of tones for the light that the print hangs in: a correction without tints. Channel by channel of the
    /// file space's own lights (of Adobe RGB's, where that space has tables), so that it brings nothing out of it.
    const Correction* light = nullptr;
    const Correction* correction = nullptr;
    bool any() const { return light != nullptr || correction != nullptr; }
};

/// How a conversion is computed.
enum class Path { matrix, table, exact };

/// Colour difference (dE00) of the fast way against Little CMS's exact one, measured when a table is built.
struct PathError {
    double mean = 0;
    double percentile_99 = 0;
    double largest = 0;
};

/// From working form to file space. White stays white, black stays black.
class Conversion {
  public:
    /// Throws InvalidWish where the file space is not RGB, UnreadableInput where its profile cannot be used.
    Conversion(const WorkingForm& from, const Profile& file_space, const ConversionSettings& settings,
               const LabChanges& changes = {});
    ~Conversion();
    Conversion(Conversion&&) noexcept;

    /// In place: working form in, file space out, clipped to 0..1.
    void apply(const Planes& planes) const;

    Path path() const;
    PathError error() const;

  private:
    struct State;
    std::unique_ptr<State> m_state;
};

/// One colour given in sRGB (8 bits a channel, "#RRGGBB") as file-space samples, 0..1: for flat edges. White gives
/// exactly 1, 1, 1.
std::array<float, 3> flat_colour(std::array<std::uint8_t, 3> srgb, const Profile& file_space);

}  // namespace hangtrue::colour

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Little CMS behind two values: a context with its own error text, and a transform in floats by the exact
/// path (no optimisation, so no 16-bit tables stand in for the profile's own).

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include <lcms2.h>

#include "engine/colour/conversion.h"

namespace hangtrue::colour {

struct LcmsProfileCloser {
    void operator()(void* profile) const noexcept { cmsCloseProfile(profile); }
};
using LcmsProfile = std::unique_ptr<void, LcmsProfileCloser>;

/// One an owner: what goes wrong in it is kept in it.
class LcmsContext {
  public:
    LcmsContext();
    ~LcmsContext();
    LcmsContext(const LcmsContext&) = delete;
    LcmsContext& operator=(const LcmsContext&) = delete;

    cmsContext get() const { return m_context; }
    /// The last thing that Little CMS complained of; empty where it did not.
    const std::string& complaint() const { return m_complaint; }
    /// Null where the bytes cannot be read.
    LcmsProfile open(std::span<const std::byte> bytes) const;

  private:
    static void keep(cmsContext context, cmsUInt32Number code, const char* text) noexcept;
    cmsContext m_context;
    std::string m_complaint;
};

/// What a transform ends in.
enum class Target { profile, xyz, lab };

/// From a profile's floats (RGB and grey 0..1; Lab as L*, a*, b*) to those of another profile, to XYZ (PCS,
/// white Y = 1) or to L*, a*, b*. Running it is thread-safe.
class ExactTransform {
  public:
    /// Throws UnreadableInput where Little CMS cannot build it.
    ExactTransform(const Profile& from, const Profile& to, const ConversionSettings& settings);
    /// Relative colorimetric, to XYZ or Lab (`target`).
    ExactTransform(const Profile& from, Target target);
    ~ExactTransform();
    ExactTransform(ExactTransform&&) noexcept;
    ExactTransform(const ExactTransform&) = delete;

    /// `in` and `out`: interleaved, `count` colours; 1 float a colour in for grey, else 3.
    void run(const float* in, float* out, std::size_t count) const;

  private:
    std::unique_ptr<LcmsContext> m_context;
    void* m_transform = nullptr;
};

}  // namespace hangtrue::colour

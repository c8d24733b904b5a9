// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/lcms.h"

#include <limits>
#include <new>
#include <utility>

#include "engine/base/error.h"

namespace hangtrue::colour {

namespace {

cmsUInt32Number float_format(DeviceSpace space) {
    switch (space) {
        case DeviceSpace::grey: return TYPE_GRAY_FLT;
        case DeviceSpace::rgb: return TYPE_RGB_FLT;
        case DeviceSpace::cmyk: return TYPE_CMYK_FLT;
        case DeviceSpace::lab: return TYPE_Lab_FLT;
        case DeviceSpace::other: break;
    }
    return 0;
}

cmsUInt32Number lcms_intent(Intent intent) {
    switch (intent) {
        case Intent::perceptual: return INTENT_PERCEPTUAL;
        case Intent::relative_colorimetric: return INTENT_RELATIVE_COLORIMETRIC;
        case Intent::saturation: return INTENT_SATURATION;
        case Intent::absolute_colorimetric: return INTENT_ABSOLUTE_COLORIMETRIC;
    }
    return INTENT_RELATIVE_COLORIMETRIC;
}

[[noreturn]] void refuse(const Profile& profile, const LcmsContext& context) {
    std::string why = context.complaint();
    throw base::UnreadableInput("The colour profile \"" + profile.description() +
                                "\" cannot be used: " + (why.empty() ? "a part of it is missing" : why) +
                                ". Export the picture again with another profile, or ask the shop for an "
                                "intact one.");
}

}  // namespace

LcmsContext::LcmsContext() : m_context(cmsCreateContext(nullptr, this)) {
    if (m_context == nullptr) {
        throw std::bad_alloc();
    }
    cmsSetLogErrorHandlerTHR(m_context, &LcmsContext::keep);
}

LcmsContext::~LcmsContext() { cmsDeleteContext(m_context); }

void LcmsContext::keep(cmsContext context, cmsUInt32Number /*code*/, const char* text) noexcept {
    try {
        if (void* owner = cmsGetContextUserData(context); owner != nullptr) {
            static_cast<LcmsContext*>(owner)->m_complaint = text;
        }
    } catch (...) {
        // No memory for the text: the call that failed says so by its result.
    }
}

LcmsProfile LcmsContext::open(std::span<const std::byte> bytes) const {
    if (bytes.size() > std::numeric_limits<cmsUInt32Number>::max()) {
        return nullptr;
    }
    return LcmsProfile(cmsOpenProfileFromMemTHR(m_context, bytes.data(), static_cast<cmsUInt32Number>(bytes.size())));
}

ExactTransform::ExactTransform(const Profile& from, const Profile& to, const ConversionSettings& settings)
    : m_context(std::make_unique<LcmsContext>()) {
    const LcmsProfile source = m_context->open(from.bytes());
    if (!source) {
        refuse(from, *m_context);
    }
    const LcmsProfile destination = m_context->open(to.bytes());
    if (!destination) {
        refuse(to, *m_context);
    }
    const cmsUInt32Number compensation = settings.black_point_compensation ? cmsFLAGS_BLACKPOINTCOMPENSATION : 0;
    m_transform =
        cmsCreateTransformTHR(m_context->get(), source.get(), float_format(from.device_space()), destination.get(),
                              float_format(to.device_space()), lcms_intent(settings.intent),
                              cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE | compensation);
    if (m_transform == nullptr) {
        refuse(to, *m_context);
    }
}

ExactTransform::ExactTransform(const Profile& from, Target target) : m_context(std::make_unique<LcmsContext>()) {
    const LcmsProfile source = m_context->open(from.bytes());
    if (!source) {
        refuse(from, *m_context);
    }
    const bool is_xyz = target == Target::xyz;
    const LcmsProfile destination(is_xyz ? cmsCreateXYZProfileTHR(m_context->get())
                                         : cmsCreateLab4ProfileTHR(m_context->get(), nullptr));
    if (destination) {
        m_transform = cmsCreateTransformTHR(m_context->get(), source.get(), float_format(from.device_space()),
                                            destination.get(), is_xyz ? TYPE_XYZ_FLT : TYPE_Lab_FLT,
                                            INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE);
    }
    if (m_transform == nullptr) {
        refuse(from, *m_context);
    }
}

ExactTransform::~ExactTransform() {
    if (m_transform != nullptr) {
        cmsDeleteTransform(m_transform);
    }
}

ExactTransform::ExactTransform(ExactTransform&& other) noexcept
    : m_context(std::move(other.m_context)), m_transform(std::exchange(other.m_transform, nullptr)) {}

void ExactTransform::run(const float* in, float* out, std::size_t count) const {
    cmsDoTransform(m_transform, in, out, static_cast<cmsUInt32Number>(count));
}

}  // namespace hangtrue::colour

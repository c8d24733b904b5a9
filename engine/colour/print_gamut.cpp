// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/print_gamut.h"

#include <array>

#include "engine/base/error.h"
#include "engine/colour/lcms.h"

namespace hangtrue::colour {

struct PrintGamut::State {
    LcmsContext context;
    cmsHTRANSFORM transform = nullptr;
    ~State() {
        if (transform != nullptr) cmsDeleteTransform(transform);
    }
};

PrintGamut::PrintGamut(const Profile& print, const ConversionSettings& settings) : m_state(std::make_unique<State>()) {
    const cmsContext context = m_state->context.get();
    const LcmsProfile lab(cmsCreateLab4ProfileTHR(context, nullptr));
    const LcmsProfile device = m_state->context.open(print.bytes());
    if (lab && device) {
        // There by the way that the print goes, back as it is measured.
        constexpr auto back = static_cast<cmsUInt32Number>(Intent::relative_colorimetric);
        const auto there = static_cast<cmsUInt32Number>(settings.intent);
        const cmsBool compensates = settings.black_point_compensation ? 1 : 0;
        std::array<cmsHPROFILE, 4> chain{lab.get(), device.get(), device.get(), lab.get()};
        std::array<cmsBool, 4> compensation{compensates, compensates, compensates, compensates};
        std::array<cmsUInt32Number, 4> intents{there, there, back, back};
        std::array<cmsFloat64Number, 4> adaptation{1, 1, 1, 1};
        m_state->transform =
            cmsCreateExtendedTransform(context, 4, chain.data(), compensation.data(), intents.data(), adaptation.data(),
                                       nullptr, 0, TYPE_Lab_DBL, TYPE_Lab_DBL, cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE);
    }
    if (m_state->transform == nullptr) {
        throw base::UnreadableInput("The print profile \"" + print.description() +
                                    "\" cannot be used to look what the print holds: " + m_state->context.complaint());
    }
}

PrintGamut::~PrintGamut() = default;
PrintGamut::PrintGamut(PrintGamut&&) noexcept = default;

void PrintGamut::held(std::span<const Lab> colours, std::span<Lab> out) const {
    static_assert(sizeof(Lab) == sizeof(cmsCIELab));
    cmsDoTransform(m_state->transform, colours.data(), out.data(), static_cast<cmsUInt32Number>(colours.size()));
}

}  // namespace hangtrue::colour

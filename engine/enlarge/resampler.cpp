// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/resampler.h"

#include <zimg.h>

#include <array>
#include <cmath>
#include <stdexcept>
#include <string>

namespace hangtrue::enlarge {
namespace {

int lanczos_lobes(double scale) { return scale > 1 ? 4 : scale < 1 ? 3 : 20; }

struct Range {
    int first;
    int count;
};

/// The picture pixels under the kernels of image pixels [first, first + count) along one axis.
Range needed_along(double crop_start, double scale, int first, int count) {
    const double reach = lanczos_lobes(scale) * std::fmax(1.0, 1.0 / scale) + 1;  // one to spare for rounding
    const double low = crop_start + first / scale - reach;
    const double high = crop_start + (first + count) / scale + reach;
    const int begin = static_cast<int>(std::floor(low));
    return {begin, static_cast<int>(std::ceil(high)) - begin};
}

[[noreturn]] void throw_zimg_error() {
    std::array<char, 256> text{};
    zimg_get_last_error(text.data(), text.size());
    throw std::runtime_error("resampling failed: " + std::string(text.data()));
}

}  // namespace

base::PixelRect pixels_needed(const Mapping& mapping, base::PixelRect part) {
    if (is_copy(mapping)) {
        return {static_cast<int>(mapping.crop.x) + part.x, static_cast<int>(mapping.crop.y) + part.y, part.width,
                part.height};
    }
    const Range x = needed_along(mapping.crop.x, mapping.scale_x(), part.x, part.width);
    const Range y = needed_along(mapping.crop.y, mapping.scale_y(), part.y, part.height);
    return {x.first, y.first, x.count, y.count};
}

bool is_copy(const Mapping& mapping) {
    return mapping.crop.width == mapping.image.width && mapping.crop.height == mapping.image.height &&
           mapping.crop.x == std::floor(mapping.crop.x) && mapping.crop.y == std::floor(mapping.crop.y);
}

struct PartResampler::State {
    zimg_filter_graph* graph = nullptr;
    std::size_t scratch_bytes = 0;
    ~State() { zimg_filter_graph_free(graph); }
};

PartResampler::PartResampler(const Mapping& mapping, base::PixelRect part)
    : m_needed(pixels_needed(mapping, part)), m_state(std::make_unique<State>()) {
    zimg_image_format source;
    zimg_image_format result;
    zimg_graph_builder_params parameters;
    zimg_image_format_default(&source, ZIMG_API_VERSION);
    zimg_image_format_default(&result, ZIMG_API_VERSION);
    zimg_graph_builder_params_default(&parameters, ZIMG_API_VERSION);

    source.width = static_cast<unsigned>(m_needed.width);
    source.height = static_cast<unsigned>(m_needed.height);
    source.pixel_type = ZIMG_PIXEL_FLOAT;
    source.color_family = ZIMG_COLOR_GREY;
    source.pixel_range = ZIMG_RANGE_FULL;
    source.active_region.left = mapping.crop.x + part.x / mapping.scale_x() - m_needed.x;
    source.active_region.top = mapping.crop.y + part.y / mapping.scale_y() - m_needed.y;
    source.active_region.width = part.width / mapping.scale_x();
    source.active_region.height = part.height / mapping.scale_y();

    result.width = static_cast<unsigned>(part.width);
    result.height = static_cast<unsigned>(part.height);
    result.pixel_type = ZIMG_PIXEL_FLOAT;
    result.color_family = ZIMG_COLOR_GREY;
    result.pixel_range = ZIMG_RANGE_FULL;

    parameters.resample_filter = ZIMG_RESIZE_LANCZOS;
    parameters.filter_param_a = lanczos_lobes(mapping.scale_x());
    parameters.cpu_type = ZIMG_CPU_AUTO_64B;

    m_state->graph = zimg_filter_graph_build(&source, &result, &parameters);
    if (m_state->graph == nullptr) throw_zimg_error();
    if (zimg_filter_graph_get_tmp_size(m_state->graph, &m_state->scratch_bytes) != ZIMG_ERROR_SUCCESS) {
        throw_zimg_error();
    }
}

PartResampler::~PartResampler() = default;
PartResampler::PartResampler(PartResampler&&) noexcept = default;

std::size_t PartResampler::scratch_floats() const { return m_state->scratch_bytes / sizeof(float) + 16; }

void PartResampler::resample(const Plane& source, const Plane& result, float* scratch) const {
    zimg_image_buffer_const from{};
    zimg_image_buffer to{};
    from.version = ZIMG_API_VERSION;
    to.version = ZIMG_API_VERSION;
    from.plane[0].data = source.samples;
    from.plane[0].stride = static_cast<std::ptrdiff_t>(source.stride * sizeof(float));
    from.plane[0].mask = ZIMG_BUFFER_MAX;
    to.plane[0].data = result.samples;
    to.plane[0].stride = static_cast<std::ptrdiff_t>(result.stride * sizeof(float));
    to.plane[0].mask = ZIMG_BUFFER_MAX;
    if (zimg_filter_graph_process(m_state->graph, &from, &to, scratch, nullptr, nullptr, nullptr, nullptr) !=
        ZIMG_ERROR_SUCCESS) {
        throw_zimg_error();
    }
}

}  // namespace hangtrue::enlarge

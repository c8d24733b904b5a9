// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/row_convolution.h"

#include <algorithm>
#include <vector>

namespace hangtrue::enlarge {
namespace {

using dnnl::memory;

/// Channels last: oneDNN's direct kernels take that nearly as fast as their own blocks of channels.
memory::desc pixels(int channels, int rows, int width) {
    return {{1, channels, rows, width}, memory::data_type::f32, memory::format_tag::nhwc};
}

}  // namespace

int filled_channels(int channels) {
    // With a number of channels that is no multiple oneDNN falls back to kernels that are many times slower.
    const int vector = dnnl::get_effective_cpu_isa() >= dnnl::cpu_isa::avx512_core ? 16 : 8;
    return (channels + vector - 1) / vector * vector;
}

RowConvolution::RowConvolution(const dnnl::engine& engine, const Shape& shape) : m_engine(engine) {
    dnnl::primitive_attr attributes;
    attributes.set_scratchpad_mode(dnnl::scratchpad_mode::user);
    dnnl::post_ops then;
    if (shape.after == After::relu) then.append_eltwise(1, dnnl::algorithm::eltwise_relu, 0, 0);
    if (shape.after == After::add) then.append_sum();
    attributes.set_post_ops(then);
    const memory::desc kernel({shape.outputs, shape.inputs, 3, 3}, memory::data_type::f32, memory::format_tag::any);
    const memory::desc biases({shape.outputs}, memory::data_type::f32, memory::format_tag::x);
    m_description = {
        dnnl::convolution_forward::desc(dnnl::prop_kind::forward_inference, dnnl::algorithm::convolution_direct,
                                        pixels(shape.inputs, rows_a_call + 2, shape.width), kernel, biases,
                                        pixels(shape.outputs, rows_a_call, shape.width), {1, 1}, {0, 1}, {0, 1}),
        attributes, engine};
    m_convolution = dnnl::convolution_forward(m_description);
}

LaidOutWeights RowConvolution::laid_out(std::span<const float> kernel, std::span<const float> biases, int inputs,
                                        int outputs) const {
    const auto full = m_description.weights_desc().dims();
    const auto taps = [](memory::dim count) { return static_cast<std::size_t>(9 * count); };
    std::vector<float> filled(taps(full[0] * full[1]));
    for (int output = 0; output < outputs; ++output) {
        std::copy_n(kernel.data() + taps(output * inputs), taps(inputs), filled.data() + taps(output * full[1]));
    }
    dnnl::stream stream(m_engine);
    memory plain({full, memory::data_type::f32, memory::format_tag::oihw}, m_engine, filled.data());
    LaidOutWeights result{memory(m_description.weights_desc(), m_engine), memory(m_description.bias_desc(), m_engine)};
    dnnl::reorder(plain, result.kernel).execute(stream, plain, result.kernel);
    stream.wait();
    auto* const all = static_cast<float*>(result.biases.get_data_handle());
    std::fill(std::copy(biases.begin(), biases.end(), all), all + full[0], 0.0f);
    return result;
}

void RowConvolution::run(const dnnl::stream& stream, float* source, const LaidOutWeights& weights, float* result,
                         base::AlignedFloats& scratchpad) const {
    const memory from(m_description.src_desc(), m_engine, source);
    const memory to(m_description.dst_desc(), m_engine, result);
    const memory::desc wanted = m_description.scratchpad_desc();
    const memory scratch(wanted, m_engine, scratchpad.room_for(wanted.get_size() / sizeof(float) + 1));
    m_convolution.execute(stream, {{DNNL_ARG_SRC, from},
                                   {DNNL_ARG_WEIGHTS, weights.kernel},
                                   {DNNL_ARG_BIAS, weights.biases},
                                   {DNNL_ARG_DST, to},
                                   {DNNL_ARG_SCRATCHPAD, scratch}});
}

const RowConvolution& RowConvolutions::of(const RowConvolution::Shape& shape) {
    const std::lock_guard lock(m_mutex);
    const auto found = m_made.find(shape);
    return found != m_made.end() ? found->second : m_made.try_emplace(shape, m_engine, shape).first->second;
}

}  // namespace hangtrue::enlarge

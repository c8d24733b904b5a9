// SPDX-License-Identifier: Apache-2.0
#include "engine/enlarge/network.h"

#include <omp.h>

#include <algorithm>
#include <oneapi/dnnl/dnnl.hpp>
#include <unordered_map>
#include <utility>
#include <vector>

#include "engine/base/aligned_floats.h"

namespace hangtrue::enlarge {
namespace {

using dnnl::memory;

// What the training divides the noise plane by (training/network.py).
constexpr double noise_unit = 16.0 / 255;

memory::desc planes(int channels, int side, memory::format_tag tag) {
    return {{1, channels, side, side}, memory::data_type::f32, tag};
}

/// How maps of many channels lie in memory, one way for all steps: what the vector units take at once.
memory::desc maps(int channels, int side) {
    const bool wide = dnnl::get_effective_cpu_isa() >= dnnl::cpu_isa::avx512_core;
    return planes(channels, side, wide ? memory::format_tag::nChw16c : memory::format_tag::nChw8c);
}

enum class After { nothing, relu, add };  ///< What a convolution does with its sums.

/// One kind of convolution, for a fixed size of block: its weights are handed in with each call.
class Step {
  public:
    Step() = default;
    Step(const dnnl::engine& engine, const memory::desc& source, const memory::desc& destination, After after) {
        dnnl::primitive_attr attributes;
        attributes.set_scratchpad_mode(dnnl::scratchpad_mode::user);
        dnnl::post_ops then;
        if (after == After::relu) then.append_eltwise(1, dnnl::algorithm::eltwise_relu, 0, 0);
        if (after == After::add) then.append_sum();
        attributes.set_post_ops(then);

        const memory::dim inputs = source.dims()[1];
        const memory::dim outputs = destination.dims()[1];
        const memory::desc kernel({outputs, inputs, 3, 3}, memory::data_type::f32, memory::format_tag::any);
        const memory::desc biases({outputs}, memory::data_type::f32, memory::format_tag::x);
        m_description = {
            dnnl::convolution_forward::desc(dnnl::prop_kind::forward_inference, dnnl::algorithm::convolution_direct,
                                            source, kernel, biases, destination, {1, 1}, {1, 1}, {1, 1}),
            attributes, engine};
        m_convolution = dnnl::convolution_forward(m_description);
    }

    memory::desc source() const { return m_description.src_desc(); }
    memory::desc destination() const { return m_description.dst_desc(); }
    memory::desc weights() const { return m_description.weights_desc(); }
    memory::desc scratchpad() const { return m_description.scratchpad_desc(); }

    void run(const dnnl::stream& stream, const memory& source, const memory& weights, const memory& biases,
             const memory& destination, const memory& scratchpad) const {
        m_convolution.execute(stream, {{DNNL_ARG_SRC, source},
                                       {DNNL_ARG_WEIGHTS, weights},
                                       {DNNL_ARG_BIAS, biases},
                                       {DNNL_ARG_DST, destination},
                                       {DNNL_ARG_SCRATCHPAD, scratchpad}});
    }

  private:
    dnnl::convolution_forward::primitive_desc m_description;
    dnnl::convolution_forward m_convolution;
};

/// Holds oneDNN at one thread, of this thread alone: blocks are what runs in parallel. What it prepares remembers how
/// many threads there were, so this stands around preparing as around running.
class OneThread {
  public:
    OneThread() { omp_set_num_threads(1); }
    ~OneThread() { omp_set_num_threads(m_before); }
    OneThread(const OneThread&) = delete;
    OneThread& operator=(const OneThread&) = delete;

  private:
    int m_before = omp_get_max_threads();
};

struct LayerWeights {
    memory kernel;
    memory biases;
};

}  // namespace

struct Network::State {
    Weights weights;
    dnnl::engine engine{dnnl::engine::kind::cpu, 0};
    Step head, widen, add, tail;
    std::vector<LayerWeights> layers;

    explicit State(Weights from) : weights(std::move(from)) {}

    LayerWeights layer(const Convolution& convolution, const Step& step) {
        dnnl::stream stream(engine);
        // oneDNN takes no const pointers; a reorder only reads its source.
        memory plain(
            {{convolution.outputs, convolution.inputs, 3, 3}, memory::data_type::f32, memory::format_tag::oihw}, engine,
            const_cast<float*>(convolution.kernel.data()));
        LayerWeights result{memory(step.weights(), engine),
                            memory({{convolution.outputs}, memory::data_type::f32, memory::format_tag::x}, engine,
                                   const_cast<float*>(convolution.biases.data()))};
        dnnl::reorder(plain, result.kernel).execute(stream, plain, result.kernel);
        stream.wait();
        return result;
    }
};

struct Network::Scratch::State {
    const Network* owner = nullptr;
    dnnl::stream stream;
    memory input_planes, input, head, body, between, detail, detail_planes, scratchpad;
    dnnl::reorder bring_in, copy, bring_out;

    explicit State(const Network& network) : owner(&network), stream(network.m_state->engine) {
        const Network::State& of = *network.m_state;
        const int side = network.source_px();
        const auto room = [&of](const memory::desc& description) { return memory(description, of.engine); };
        input_planes = room(planes(network_inputs, side, memory::format_tag::nchw));
        input = room(of.head.source());
        head = room(of.add.destination());
        body = room(of.add.destination());
        between = room(of.widen.destination());
        detail = room(of.tail.destination());
        detail_planes = room(planes(network_outputs, side, memory::format_tag::nchw));
        const auto larger = [](const memory::desc& a, const memory::desc& b) { return a.get_size() < b.get_size(); };
        scratchpad = room(
            std::max({of.head.scratchpad(), of.widen.scratchpad(), of.add.scratchpad(), of.tail.scratchpad()}, larger));
        bring_in = dnnl::reorder(input_planes, input);
        copy = dnnl::reorder(head, body);
        bring_out = dnnl::reorder(detail, detail_planes);
    }
};

Network::Scratch::Scratch() = default;
Network::Scratch::~Scratch() = default;
Network::Scratch::Scratch(Scratch&&) noexcept = default;

Network::Network(Weights weights) : m_state(std::make_unique<State>(std::move(weights))) {
    const OneThread one_thread;
    State& state = *m_state;
    const int channels = state.weights.channels();
    m_halo = 2 * state.weights.blocks() + 3;  // A pixel for each convolution.
    const int side = source_px();
    const memory::desc inner = maps(channels, side);
    state.head = Step(state.engine, planes(network_inputs, side, memory::format_tag::any), inner, After::nothing);
    state.widen = Step(state.engine, inner, inner, After::relu);
    state.add = Step(state.engine, inner, inner, After::add);
    state.tail = Step(state.engine, inner, planes(network_outputs, side, memory::format_tag::any), After::nothing);

    const std::vector<Convolution>& all = state.weights.convolutions();
    for (std::size_t i = 0; i < all.size(); ++i) {
        const bool is_first = i == 0;
        const bool is_last = i + 1 == all.size();
        // After the head: ReLU, add, ReLU, add, … and the one after the blocks adds too.
        const bool adds = i % 2 == 0 || i + 2 == all.size();
        state.layers.push_back(state.layer(all[i], is_first  ? state.head
                                                   : is_last ? state.tail
                                                   : adds    ? state.add
                                                             : state.widen));
    }
}

Network::~Network() = default;

const base::Sha256& Network::hash() const { return m_state->weights.hash(); }

void Network::enlarge_block(const RgbPlanes<const float>& source, const Measures& measures,
                            const RgbPlanes<float>& result, Scratch& scratch, const base::Progress& progress) const {
    const OneThread one_thread;
    if (!scratch.m_state || scratch.m_state->owner != this) scratch.m_state = std::make_unique<Scratch::State>(*this);
    Scratch::State& own = *scratch.m_state;
    const State& state = *m_state;

    const auto side = static_cast<std::size_t>(source_px());
    auto* input = static_cast<float*>(own.input_planes.get_data_handle());
    for (const float* plane : source.planes) {
        for (std::size_t y = 0; y < side; ++y, input += side) {
            std::transform(plane + y * source.stride, plane + y * source.stride + side, input,
                           [](float sample) { return sample - 0.5f; });
        }
    }
    for (const double measure : {measures.noise_sd / noise_unit, measures.blur_px, measures.coding}) {
        input = std::fill_n(input, side * side, static_cast<float>(measure));
    }

    std::size_t layer = 0;
    const auto run = [&](const Step& step, const memory& from, const memory& to) {
        progress.check();
        step.run(own.stream, from, state.layers[layer].kernel, state.layers[layer].biases, to, own.scratchpad);
        ++layer;
    };
    own.bring_in.execute(own.stream, own.input_planes, own.input);
    run(state.head, own.input, own.head);
    own.copy.execute(own.stream, own.head, own.body);
    for (int block = 0; block < state.weights.blocks(); ++block) {
        run(state.widen, own.body, own.between);
        run(state.add, own.between, own.body);
    }
    run(state.add, own.body, own.head);
    run(state.tail, own.head, own.detail);
    own.bring_out.execute(own.stream, own.detail, own.detail_planes);
    own.stream.wait();

    // Four places of each channel, shuffled into rows and columns.
    const auto* detail = static_cast<const float*>(own.detail_planes.get_data_handle());
    const auto halo = static_cast<std::size_t>(m_halo);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        for (std::size_t place = 0; place < 4; ++place) {
            const float* from = detail + (4 * channel + place) * side * side + halo * side + halo;
            float* to = result.planes[channel] + (place / 2) * result.stride + place % 2;
            for (int y = 0; y < block_px; ++y, from += side, to += 2 * result.stride) {
                for (std::size_t x = 0; x < block_px; ++x) to[2 * x] = from[x];
            }
        }
    }
    const std::size_t first = halo * source.stride + halo;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        add_doubled(source.planes[channel] + first, source.stride, block_px, block_px, result.planes[channel],
                    result.stride);
    }
}

void add_doubled(const float* source, std::size_t source_stride, int width, int height, float* result,
                 std::size_t result_stride) {
    // At distances 7/4, 3/4, 1/4 and 5/4 of a pixel for the places before a pixel's middle; mirrored after it.
    constexpr std::array<float, 4> weights{-0.0234375f, 0.2265625f, 0.8671875f, -0.0703125f};
    std::vector<float> line(static_cast<std::size_t>(width) + 4);
    for (int y = 0; y < 2 * height; ++y) {
        const bool after = y % 2 == 1;
        const float* row = source + static_cast<std::ptrdiff_t>(source_stride) * (y / 2 - (after ? 1 : 2)) - 2;
        const auto tap = [&](std::size_t i) { return weights[after ? 3 - i : i]; };
        for (std::size_t x = 0; x < line.size(); ++x) {
            line[x] = tap(0) * row[x] + tap(1) * row[x + source_stride] + tap(2) * row[x + 2 * source_stride] +
                      tap(3) * row[x + 3 * source_stride];
        }
        float* to = result + static_cast<std::size_t>(y) * result_stride;
        for (std::size_t x = 0; x < static_cast<std::size_t>(width); ++x) {
            const float* at = line.data() + x;
            to[2 * x] += weights[0] * at[0] + weights[1] * at[1] + weights[2] * at[2] + weights[3] * at[3];
            to[2 * x + 1] += weights[3] * at[1] + weights[2] * at[2] + weights[1] * at[3] + weights[0] * at[4];
        }
    }
}

}  // namespace hangtrue::enlarge

// SPDX-License-Identifier: Apache-2.0
// bench_network [--windows|--stage|--flat] [--avx2] [MODELS]: the enlarging networks. What the processor gives their
// convolutions alone, what of that is left through the whole stage, what flat parts save, and how long a window takes
// from nothing. All cores; the best of a few runs in turn.

#include <hwy/targets.h>
#include <omp.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstring>
#include <ctime>
#include <deque>
#include <exception>
#include <filesystem>
#include <functional>
#include <iostream>
#include <map>
#include <oneapi/dnnl/dnnl.hpp>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "benchmarks/figures.h"
#include "benchmarks/network_windows.h"
#include "engine/base/workers.h"
#include "engine/enlarge/network.h"
#include "engine/render/enlarged_blocks.h"

namespace hangtrue::benchmarks {
namespace {

using dnnl::memory;

constexpr int runs = 3;
constexpr int flat_runs = 3;

double seconds_of(const std::function<void()>& work) {
    const auto start = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// The same on `threads` threads at once, each with the number of its own.
void on_all(int threads, const std::function<void(int)>& work) {
    std::vector<std::thread> all;
    for (int i = 0; i < threads; ++i) all.emplace_back(work, i);
    for (std::thread& one : all) one.join();
}

/// A network's convolutions one after the other over a square, nothing around it, as oneDNN likes it best.
class BareLayers {
  public:
    BareLayers(const enlarge::Weights& weights, int side, dnnl::algorithm algorithm) : m_stream(m_engine) {
        omp_set_num_threads(1);
        for (const enlarge::Convolution& convolution : weights.convolutions()) add(convolution, side, algorithm);
    }
    void run() {
        for (const Layer& layer : m_layers) layer.convolution.execute(m_stream, layer.arguments);
        m_stream.wait();
    }

  private:
    struct Layer {
        dnnl::convolution_forward convolution;
        std::unordered_map<int, memory> arguments;
    };
    memory room(const memory::desc& wanted) {
        memory made(wanted, m_engine);
        std::memset(made.get_data_handle(), 0, wanted.get_size());
        return made;
    }
    void add(const enlarge::Convolution& convolution, int side, dnnl::algorithm algorithm) {
        const auto any = [](const memory::dims& dims) {
            return memory::desc(dims, memory::data_type::f32, memory::format_tag::any);
        };
        dnnl::primitive_attr attributes;
        dnnl::post_ops then;
        then.append_eltwise(1, dnnl::algorithm::eltwise_relu, 0, 0);
        attributes.set_post_ops(then);
        // Its own would belong to the thread that prepares, not to the one that runs.
        attributes.set_scratchpad_mode(dnnl::scratchpad_mode::user);
        // The kernels for channels that do not fill the vectors are direct ones, or far slower.
        const bool fills = convolution.inputs % 16 == 0 && convolution.outputs % 16 == 0;
        const dnnl::convolution_forward::primitive_desc description(
            {dnnl::prop_kind::forward_inference,
             fills ? algorithm : dnnl::algorithm::convolution_direct,
             any({1, convolution.inputs, side, side}),
             any({convolution.outputs, convolution.inputs, 3, 3}),
             {{convolution.outputs}, memory::data_type::f32, memory::format_tag::x},
             any({1, convolution.outputs, side, side}),
             {1, 1},
             {1, 1},
             {1, 1}},
            attributes, m_engine);
        if (!m_layers.empty() && description.src_desc() == m_layers.back().arguments.at(DNNL_ARG_DST).get_desc()) {
            m_source = m_layers.back().arguments.at(DNNL_ARG_DST);
        } else {
            m_source = room(description.src_desc());
        }
        // Two sets of maps in turn, as a real run has them.
        memory& result = m_results[m_layers.size() % 2];
        if (!result || result.get_desc() != description.dst_desc()) result = room(description.dst_desc());
        m_layers.push_back({dnnl::convolution_forward(description),
                            {{DNNL_ARG_SRC, m_source},
                             {DNNL_ARG_WEIGHTS, room(description.weights_desc())},
                             {DNNL_ARG_BIAS, room(description.bias_desc())},
                             {DNNL_ARG_DST, result},
                             {DNNL_ARG_SCRATCHPAD, room(description.scratchpad_desc())}}});
    }

    dnnl::engine m_engine{dnnl::engine::kind::cpu, 0};
    dnnl::stream m_stream;
    memory m_source;
    memory m_results[2];
    std::vector<Layer> m_layers;
};

/// GMAC/s of all threads together; nothing where the processor has no such convolution.
std::optional<double> bare(const enlarge::Weights& weights, double multiply_adds, int side, dnnl::algorithm algorithm,
                           int threads) {
    try {
        std::vector<std::unique_ptr<BareLayers>> layers;
        for (int i = 0; i < threads; ++i) layers.push_back(std::make_unique<BareLayers>(weights, side, algorithm));
        const double work = multiply_adds * side * side * threads;
        const int times = std::max(1, static_cast<int>(4e10 * threads / work));
        const double taken = seconds_of([&] {
            on_all(threads, [&](int i) {
                omp_set_num_threads(1);
                for (int time = 0; time < times; ++time) layers[static_cast<std::size_t>(i)]->run();
            });
        });
        return work * times / taken / 1e9;
    } catch (const dnnl::error&) {
        return std::nullopt;
    }
}

/// Fine and coarse waves: no flat region.
void from_waves(base::PixelRect part, const render::SourceRows&, const std::array<float*, 3>& planes,
                std::size_t stride) {
    for (std::size_t channel = 0; channel < 3; ++channel) {
        for (int y = 0; y < part.height; ++y) {
            float* row = planes[channel] + static_cast<std::size_t>(y) * stride;
            for (int x = 0; x < part.width; ++x) {
                const auto at =
                    static_cast<unsigned>((part.x + x) * 7 + (part.y + y) * 13) + 29 * static_cast<unsigned>(channel);
                row[x] = static_cast<float>(at * 2654435761u >> 24) / 255;
            }
        }
    }
}

/// A smooth sky without grain, in 8-bit codes, down to `horizon`; waves under it.
render::EnlargedBlocks::FromPicture landscape(int horizon) {
    return [horizon](base::PixelRect part, const render::SourceRows& rows, const std::array<float*, 3>& planes,
                     std::size_t stride) {
        from_waves(part, rows, planes, stride);
        for (std::size_t channel = 0; channel < 3; ++channel) {
            for (int y = part.y; y < std::min(part.bottom(), horizon); ++y) {
                float* row = planes[channel] + static_cast<std::size_t>(y - part.y) * stride;
                for (int x = 0; x < part.width; ++x) {
                    const double light = 150 + 0.1 * y + 0.01 * (part.x + x) + 20.0 * static_cast<double>(channel);
                    row[x] = static_cast<float>(std::round(light) / 255);
                }
            }
        }
    };
}

/// The stage by itself: all of a picture, asked for in blocks as a print asks, by all threads.
double stage_seconds(const enlarge::Network& network, base::PixelSize picture, int threads,
                     const render::EnlargedBlocks::FromPicture& from_picture = from_waves) {
    const base::PixelRect whole{0, 0, 2 * picture.width, 2 * picture.height};
    return seconds_of([&] {
        render::EnlargedBlocks blocks(
            network, {}, picture, {.doublings = 1, .grain = enlarge::Grain::keep, .part = whole, .threads = threads},
            from_picture);
        const base::Progress progress;
        std::deque<base::Workers::Group> bands;  // A print has a few under way at once.
        std::vector<base::AlignedFloats> room(static_cast<std::size_t>(threads));
        base::Workers workers(threads);
        constexpr base::PixelSize block{812, 406};  // What 512 x 256 pixels of a print at 1.26x come from.
        constexpr std::size_t most_bands = 5;
        for (int y = 0; y < whole.height; y += block.height) {
            base::Workers::Group& band = bands.emplace_back();
            for (int pieces = blocks.announce({0, y, whole.width, block.height}, {}); pieces > 0; --pieces) {
                workers.submit(band, [&](int) { blocks.make_announced(progress); });
            }
            for (int x = 0; x < whole.width; x += block.width) {
                const base::PixelRect part = base::intersection({x, y, block.width, block.height}, whole);
                workers.submit(band, [&, part](int worker) {
                    const auto stride = static_cast<std::size_t>(part.width);
                    const std::size_t plane = stride * static_cast<std::size_t>(part.height);
                    float* const to = room[static_cast<std::size_t>(worker)].room_for(3 * plane);
                    blocks.fill(part, {}, {to, to + plane, to + 2 * plane}, stride, progress);
                });
            }
            if (bands.size() < most_bands) continue;
            bands.front().wait();
            bands.pop_front();
            blocks.forget_above(y - (static_cast<int>(most_bands) - 2) * block.height);
        }
        for (base::Workers::Group& band : bands) band.wait();
    });
}

/// Other programs disturb it less than the time on the wall.
double stage_processor_seconds(const enlarge::Network& network, base::PixelSize picture, int threads,
                               const render::EnlargedBlocks::FromPicture& from_picture) {
    const std::clock_t start = std::clock();
    stage_seconds(network, picture, threads, from_picture);
    return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

void measure_network(const std::filesystem::path& file, int threads) {
    const enlarge::Weights weights = enlarge::Weights::from_file(file);
    const enlarge::Network network(enlarge::Weights::from_file(file));
    const auto multiply_adds = static_cast<double>(network.multiply_adds());
    const base::PixelSize picture{1536, 1440};
    const double work = multiply_adds * static_cast<double>(picture.count()) / 1e9;

    std::map<std::string, double> best;
    double stage = 0;
    for (int run = 0; run < runs; ++run) {
        for (const auto algorithm : {dnnl::algorithm::convolution_direct, dnnl::algorithm::convolution_winograd}) {
            const std::string name = algorithm == dnnl::algorithm::convolution_direct ? "direct" : "Winograd";
            for (const int side : {128, 256, 384, 512}) {
                const auto speed = bare(weights, multiply_adds, side, algorithm, threads);
                double& kept = best[name + ", " + std::to_string(side)];
                kept = std::max(kept, speed.value_or(0));
            }
        }
        stage = std::max(stage, work / stage_seconds(network, picture, threads));
    }
    double bare_best = 0;
    for (const auto& [name, speed] : best) {
        print_row({weights.name(), "bare, " + name, speed > 0 ? text_of(speed, 1) : "none here", ""});
        bare_best = std::max(bare_best, speed);
    }
    print_row({weights.name(), "the stage, net", text_of(stage, 1), text_of(100 * stage / bare_best, 1) + " %"});
}

/// What leaving flat parts to the cubic gains, and what looking for them costs.
void flat_table(const std::filesystem::path& models, int threads) {
    std::cout << "\n1024x2160 pixels, flat parts by the cubic and by the network in turn, processor time of all "
                 "threads, the best of "
              << flat_runs << "\n\n";
    print_heading({"network", "picture", "by the cubic s", "by the network s", "times as fast"});
    for (const char* name : {"fine", "quick"}) {
        const std::filesystem::path file = models / (std::string(name) + ".weights");
        const enlarge::Network by_cubic(enlarge::Weights::from_file(file));
        const enlarge::Network by_network(enlarge::Weights::from_file(file), enlarge::Flat::by_network);
        for (const int horizon : {720, 0}) {
            double cubic = 1e9;
            double network = 1e9;
            for (int run = 0; run < flat_runs; ++run) {
                const base::PixelSize picture{1024, 2160};
                network = std::min(network, stage_processor_seconds(by_network, picture, threads, landscape(horizon)));
                cubic = std::min(cubic, stage_processor_seconds(by_cubic, picture, threads, landscape(horizon)));
            }
            print_row({name, horizon > 0 ? "a third smooth sky" : "no sky", text_of(cubic, 2), text_of(network, 2),
                       text_of(network / cubic, 3)});
        }
    }
}

void stage_table(const std::filesystem::path& models, int threads) {
    std::cout << "elsewhere 278 GMAC/s were seen direct and 457 by Winograd, of 48 channels on two threads with "
                 "AVX-512, 103 to 123 direct with AVX2\n\n";
    print_heading({"network", "what", "GMAC/s", "of the best"});
    for (const char* name : {"fine", "quick"}) measure_network(models / (std::string(name) + ".weights"), threads);
}

}  // namespace
}  // namespace hangtrue::benchmarks

int main(int count, char** words) {
    using namespace hangtrue;
    try {
        std::filesystem::path models = HANGTRUE_MODELS;
        bool stage = true;
        bool windows = true;
        bool flat = true;
        for (const std::string& word : std::vector<std::string>(words + 1, words + count)) {
            if (word == "--windows") {
                stage = flat = false;
            } else if (word == "--avx2") {
                hwy::SetSupportedTargetsForTest(HWY_AVX2);
                dnnl::set_max_cpu_isa(dnnl::cpu_isa::avx2);
            } else if (word == "--stage") {
                windows = flat = false;
            } else if (word == "--flat") {
                stage = windows = false;
            } else {
                models = word;
            }
        }
        std::cout << benchmarks::machine_text() << "\n\n";
        if (stage) benchmarks::stage_table(models, base::default_thread_count());
        if (flat) benchmarks::flat_table(models, base::default_thread_count());
        if (windows) benchmarks::windows_table();
    } catch (const std::exception& error) {
        std::cerr << error.what() << '\n';
        return 1;
    }
    return 0;
}

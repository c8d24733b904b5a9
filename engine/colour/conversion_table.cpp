// SPDX-License-Identifier: Apache-2.0
#include "engine/colour/conversion_table.h"

#include <algorithm>
#include <cmath>

#include "engine/base/hash.h"
#include "engine/colour/difference.h"

namespace hangtrue::colour {

namespace {

bool is_within(const PathError& error, const PathError& accepted) {
    return error.mean <= accepted.mean && error.percentile_99 <= accepted.percentile_99 &&
           error.largest <= accepted.largest;
}

// Interleaved colours, for whom a path is measured.
std::vector<float> measuring_colours() {
    constexpr std::uint32_t random_colours = 10000;
    constexpr std::uint32_t greys = 512;
    constexpr int steps = 12;  // Of a coarse grid whose points fall beside the nodes of every cube.
    std::vector<float> colours;
    for (std::uint32_t i = 0; i < random_colours; ++i) {
        for (std::uint32_t channel = 0; channel < 3; ++channel) {
            colours.push_back(static_cast<float>(base::place_hash(i, 0, channel) >> 8) / 0xffffff);
        }
    }
    for (std::uint32_t i = 0; i < greys; ++i) {
        colours.insert(colours.end(), 3, static_cast<float>(i) / (greys - 1));
    }
    for (int red = 0; red < steps; ++red) {
        for (int green = 0; green < steps; ++green) {
            for (int blue = 0; blue < steps; ++blue) {
                for (const int step : {red, green, blue}) {
                    colours.push_back(static_cast<float>(step) / (steps - 1));
                }
            }
        }
    }
    return colours;
}

}  // namespace

CubeTable conversion_table(const ExactWay& exact, int size, Intent intent) {
    CubeTable cube;
    cube.size = size;
    const auto count = static_cast<std::size_t>(size);
    cube.nodes.assign(4 * count * count * count, 0.0F);
    std::vector<float> row(3 * count);
    const float last = static_cast<float>(size - 1);
    for (int red = 0; red < size; ++red) {
        for (int green = 0; green < size; ++green) {
            for (std::size_t blue = 0; blue < count; ++blue) {
                row[3 * blue] = static_cast<float>(red) / last;
                row[3 * blue + 1] = static_cast<float>(green) / last;
                row[3 * blue + 2] = static_cast<float>(blue) / last;
            }
            exact(row.data(), row.data(), count);
            float* node = cube.node(red, green, 0);
            for (std::size_t blue = 0; blue < count; ++blue) {
                std::copy_n(row.data() + 3 * blue, 3, node + 4 * blue);
            }
        }
    }
    if (intent != Intent::absolute_colorimetric) {
        std::fill_n(cube.node(size - 1, size - 1, size - 1), 3, 1.0F);
    }
    return cube;
}

PathError table_error(const CubeTable& cube, const ExactWay& exact, const Profile& file_space) {
    std::vector<float> colours = measuring_colours();
    const std::size_t count = colours.size() / 3;
    std::vector<float> red(count);
    std::vector<float> green(count);
    std::vector<float> blue(count);
    for (std::size_t i = 0; i < count; ++i) {
        red[i] = colours[3 * i];
        green[i] = colours[3 * i + 1];
        blue[i] = colours[3 * i + 2];
    }
    const LabReader reader(file_space);
    std::vector<Lab> expected(count);
    exact(colours.data(), colours.data(), count);
    clip_to_unit(colours);
    reader.lab(colours, expected);

    apply_table(cube, {red, green, blue});
    for (std::size_t i = 0; i < count; ++i) {
        colours[3 * i] = red[i];
        colours[3 * i + 1] = green[i];
        colours[3 * i + 2] = blue[i];
    }
    std::vector<Lab> found(count);
    reader.lab(colours, found);

    std::vector<double> differences(count);
    double sum = 0;
    for (std::size_t i = 0; i < count; ++i) {
        differences[i] = delta_e_2000(expected[i], found[i]);
        sum += differences[i];
    }
    std::sort(differences.begin(), differences.end());
    return {.mean = sum / static_cast<double>(count),
            .percentile_99 = differences[count * 99 / 100],
            .largest = differences.back()};
}

std::optional<MeasuredTable> near_table(const ExactWay& exact, const Profile& file_space, Intent intent,
                                        std::initializer_list<int> sizes, const PathError& accepted) {
    for (const int size : sizes) {
        MeasuredTable table;
        table.cube = conversion_table(exact, size, intent);
        table.error = table_error(table.cube, exact, file_space);
        if (is_within(table.error, accepted)) return table;
    }
    return std::nullopt;
}

void apply_exact(const ExactWay& exact, Intent intent, const Planes& planes) {
    constexpr std::size_t chunk = 1024;
    std::array<float, 3 * chunk> colours{};
    const std::size_t total = planes.red.size();
    for (std::size_t start = 0; start < total; start += chunk) {
        const std::size_t count = std::min(chunk, total - start);
        for (std::size_t i = 0; i < count; ++i) {
            colours[3 * i] = planes.red[start + i];
            colours[3 * i + 1] = planes.green[start + i];
            colours[3 * i + 2] = planes.blue[start + i];
        }
        clip_to_unit(colours);
        std::array<float, 3 * chunk> converted{};
        exact(colours.data(), converted.data(), count);
        clip_to_unit(converted);
        for (std::size_t i = 0; i < count; ++i) {
            const bool is_white = colours[3 * i] == 1 && colours[3 * i + 1] == 1 && colours[3 * i + 2] == 1;
            const bool set_white = is_white && intent != Intent::absolute_colorimetric;
            planes.red[start + i] = set_white ? 1 : converted[3 * i];
            planes.green[start + i] = set_white ? 1 : converted[3 * i + 1];
            planes.blue[start + i] = set_white ? 1 : converted[3 * i + 2];
        }
    }
}

void apply_table(const CubeTable& cube, const Planes& planes) {
    apply_cube(cube, planes);
    for (const std::span<float> plane : {planes.red, planes.green, planes.blue}) clip_to_unit(plane);
}

}  // namespace hangtrue::colour

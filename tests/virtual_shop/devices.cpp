// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/devices.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <functional>
#include <numbers>
#include <span>

#include "engine/base/hash.h"
#include "engine/base/output_file.h"
#include "engine/base/workers.h"
#include "engine/colour/matrix_model.h"
#include "engine/raster/print_writer.h"
#include "tests/virtual_shop/paper.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Matrix3;

constexpr double degree = std::numbers::pi / 180;

// About normal: the sum of four bytes of a hash of the place (Irwin and Hall).
float noise_at(int x, int y, std::uint32_t channel) {
    const std::uint32_t h = base::place_hash(static_cast<std::uint32_t>(x), static_cast<std::uint32_t>(y), channel);
    const auto sum = static_cast<float>((h & 255U) + ((h >> 8) & 255U) + ((h >> 16) & 255U) + (h >> 24));
    return (sum - 510) / 147.8f;
}

// A function from 0..1, sampled so that the pixels need no powers.
class Curve {
  public:
    template <typename Function>
    explicit Curve(Function&& function) {
        for (int i = 0; i <= steps; ++i) {
            const double root = static_cast<double>(i) / steps;
            m_values.push_back(static_cast<float>(function(root * root)));  // Dense where it is dark.
        }
    }
    float at(float light) const {
        const float place = std::sqrt(std::clamp(light, 0.0f, 1.0f)) * steps;
        const int below = std::min(static_cast<int>(place), steps - 1);
        const float share = place - static_cast<float>(below);
        return (1 - share) * m_values[static_cast<std::size_t>(below)] +
               share * m_values[static_cast<std::size_t>(below) + 1];
    }

  private:
    static constexpr int steps = 4096;
    std::vector<float> m_values;
};

// What stands between light (X, Y, Z) and code: a matrix, a curve, and noise before it.
struct Sensor {
    Matrix3 from_xyz{};
    Curve curve;
    double read_noise = 0;  ///< Standard deviation in the dark, of white…
    double shot_noise = 0;  ///< …and in white, more.
};

Matrix3 sensor_matrix(Chance& chance, double crosstalk, double balance) {
    Matrix3 mix{};
    for (std::size_t row = 0; row < 3; ++row) {
        const double gain = 1 + chance.between(-balance, balance);
        double rest = 0;
        for (std::size_t column = 0; column < 3; ++column) {
            if (column == row) continue;
            mix[row][column] = gain * chance.between(-crosstalk, crosstalk);
            rest += mix[row][column];
        }
        mix[row][row] = gain - rest;
    }
    const auto srgb = colour::Profile::srgb();
    return colour::product(mix, colour::inverse(srgb.matrix_model()->to_xyz));
}

double srgb_code(double light) { return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055; }

struct Picture {
    base::PixelSize size;
    double ppi = 0;
    std::vector<std::uint16_t> samples;
};

using Light = std::function<std::array<float, 3>(int x, int y)>;  // X, Y, Z at a pixel.

Picture taken(base::PixelSize size, const Sensor& sensor, std::uint64_t seed, const Light& light) {
    Picture out{size, 0, std::vector<std::uint16_t>(static_cast<std::size_t>(size.count()) * 3)};
    std::array<std::array<float, 3>, 3> matrix{};
    for (std::size_t i = 0; i < 3; ++i) {
        for (std::size_t j = 0; j < 3; ++j) matrix[i][j] = static_cast<float>(sensor.from_xyz[i][j]);
    }
    const auto read = static_cast<float>(sensor.read_noise * sensor.read_noise);
    const auto shot = static_cast<float>(sensor.shot_noise * sensor.shot_noise);
    const auto row = [&](int y) {
        auto* pixel = &out.samples[static_cast<std::size_t>(y) * static_cast<std::size_t>(size.width) * 3];
        for (int x = 0; x < size.width; ++x, pixel += 3) {
            const auto xyz = light(x, y);
            for (std::size_t c = 0; c < 3; ++c) {
                float value = matrix[c][0] * xyz[0] + matrix[c][1] * xyz[1] + matrix[c][2] * xyz[2];
                value += std::sqrt(read + shot * std::max(value, 0.0f)) *
                         noise_at(x, y, static_cast<std::uint32_t>(seed * 3 + c));
                const float code = std::clamp(sensor.curve.at(value), 0.0f, 1.0f);
                pixel[c] = static_cast<std::uint16_t>(code * 65535 + 0.5f);
            }
        }
    };
    base::Workers workers(base::default_thread_count());
    base::Workers::Group group;
    constexpr int band = 64;
    for (int top = 0; top < size.height; top += band) {
        workers.submit(group, [&, top](int) {
            for (int y = top; y < std::min(size.height, top + band); ++y) row(y);
        });
    }
    group.wait();
    return out;
}

void write_picture(const Picture& picture, const std::vector<std::byte>& profile, int bits, int quality,
                   const std::filesystem::path& file) {
    base::Faults faults;
    base::Progress progress;
    base::OutputFile out(file, base::OutputFile::Existing::replace, faults);
    raster::PrintTags tags;
    tags.size = picture.size;
    tags.ppi = {picture.ppi};
    tags.icc_profile = profile;
    const std::size_t width = static_cast<std::size_t>(picture.size.width) * 3;
    const auto as_bytes = [&](int first, int count, std::span<std::byte> bytes) {
        const auto* from = &picture.samples[static_cast<std::size_t>(first) * width];
        for (std::size_t i = 0; i < static_cast<std::size_t>(count) * width; ++i) {
            bytes[i] = static_cast<std::byte>((from[i] + 128) / 257);
        }
    };
    const std::string ending = file.extension().string();
    if (ending == ".jpg" || ending == ".jpeg") {
        raster::write_jpeg(out, tags, quality, as_bytes, progress);
    } else {
        tags.bits = bits;
        raster::TiffWriter writer(out, tags, {});
        if (bits == 16) {
            writer.append_rows(std::as_bytes(std::span(picture.samples)));
        } else {
            std::vector<std::byte> bytes(picture.samples.size());
            as_bytes(0, picture.size.height, bytes);
            writer.append_rows(bytes);
        }
        writer.finish();
    }
    out.name_it();
}

// How much of what a device sees at a place lies on the sheet. The paper ends in a cut that no print has blurred: only
// the device does, by a Gaussian of `sigma` mm, its aperture included.
float share_on_sheet(const Paper& paper, double x, double y, double sigma) {
    constexpr double far = 5;  // So many sigma away 3e-7 are left: less than a step of 16 bits.
    const auto beyond = [&](double inside) {
        if (inside > far * sigma) return 1.0;
        if (inside < -far * sigma) return 0.0;
        return 0.5 * std::erfc(-inside / (sigma * std::numbers::sqrt2));
    };
    return static_cast<float>(beyond(std::min(x, paper.width_mm() - x)) * beyond(std::min(y, paper.height_mm() - y)));
}

std::array<float, 3> mixed(const std::array<float, 3>& a, const std::array<float, 3>& b, float share_of_b) {
    std::array<float, 3> out{};
    for (std::size_t i = 0; i < 3; ++i) out[i] = (1 - share_of_b) * a[i] + share_of_b * b[i];
    return out;
}

std::array<float, 3> grey_light(double y) {
    return {static_cast<float>(y * colour::d50.x), static_cast<float>(y), static_cast<float>(y * colour::d50.z)};
}

Matrix3 rotation(int axis, double degrees) {
    const double c = std::cos(degrees * degree), s = std::sin(degrees * degree);
    if (axis == 0) return {{{1, 0, 0}, {0, c, -s}, {0, s, c}}};
    if (axis == 1) return {{{c, 0, s}, {0, 1, 0}, {-s, 0, c}}};
    return {{{c, -s, 0}, {s, c, 0}, {0, 0, 1}}};
}

}  // namespace

Mapping scan(const Print& print, const ScanWish& wish, const std::filesystem::path& file) {
    Chance chance(wish.seed ^ 0x7363616eULL);
    const double skew = wish.skew.value_or(chance.between(0.3, 2) * (chance.bits() % 2 == 0 ? 1 : -1));
    const double margin = chance.between(4, 10), lid = chance.bits() % 2 == 0 ? 0.85 : 0.02;
    const double off_x = chance.between(-2, 2), off_y = chance.between(-2, 2);
    const double pitch = 25.4 / wish.ppi;
    const Paper paper(print, scanner_sigma_px * pitch);

    const double angle = (wish.turned + skew) * degree, c = std::cos(angle), s = std::sin(angle);
    const double wide = std::abs(c) * paper.width_mm() + std::abs(s) * paper.height_mm() + 2 * margin;
    const double high = std::abs(s) * paper.width_mm() + std::abs(c) * paper.height_mm() + 2 * margin;
    const base::PixelSize size{static_cast<int>(std::lround(wide / pitch)),
                               static_cast<int>(std::lround(high / pitch))};
    // From a pixel's centre to the glass, turned back about the middle, to the sheet.
    Mapping to_sheet{{{c * pitch, s * pitch, 0}, {-s * pitch, c * pitch, 0}, {0, 0, 1}}};
    const double mid_x = wide / 2 + off_x, mid_y = high / 2 + off_y;
    to_sheet[0][2] = paper.width_mm() / 2 - c * mid_x - s * mid_y + (c + s) * pitch / 2;
    to_sheet[1][2] = paper.height_mm() / 2 + s * mid_x - c * mid_y + (c - s) * pitch / 2;

    const auto adobe = colour::Profile::adobe_rgb();
    const double gamma = chance.between(1.8, 2.4);
    const Matrix3 own = sensor_matrix(chance, 0.05, 0.05);
    const double fall = wish.has_profile ? 0 : chance.between(-0.02, 0.02);  // Of the lamp, along its length.
    const Sensor sensor{wish.has_profile ? colour::inverse(adobe.matrix_model()->to_xyz) : own,
                        wish.has_profile
                            ? Curve([&](double light) { return adobe.matrix_model()->curves[1].to_encoded(light); })
                            : Curve([&](double light) { return std::pow(light, 1 / gamma); }),
                        wish.noise * 0.0006, wish.noise * 0.004};
    const auto outside = grey_light(lid);
    Picture picture = taken(size, sensor, wish.seed, [&](int x, int y) {
        const double mm_x = to_sheet[0][0] * x + to_sheet[0][1] * y + to_sheet[0][2];
        const double mm_y = to_sheet[1][0] * x + to_sheet[1][1] * y + to_sheet[1][2];
        const float share = share_on_sheet(paper, mm_x, mm_y, scanner_sigma_px * pitch);
        auto light = share > 0 ? mixed(outside, paper.at(mm_x, mm_y), share) : outside;
        const auto lamp = static_cast<float>(1 + fall * (2.0 * x / size.width - 1));
        for (float& value : light) value *= lamp;
        return light;
    });
    picture.ppi = wish.ppi;
    std::vector<std::byte> profile;
    if (wish.has_profile) profile.assign(adobe.bytes().begin(), adobe.bytes().end());
    write_picture(picture, profile, wish.bits, 95, file);
    return to_sheet;
}

Mapping photograph(const Print& print, const PhotographWish& wish, const std::filesystem::path& file) {
    Chance chance(wish.seed ^ 0x70686f74ULL);
    // 3:2, held as the sheet lies; the sheet fills most of it, seen from a little aside by a lens of normal angle.
    const bool is_wide = print.size.width >= print.size.height;
    const double longer = std::sqrt(wish.megapixels * 1e6 * 1.5), shorter = longer / 1.5;
    const base::PixelSize size{static_cast<int>(is_wide ? longer : shorter),
                               static_cast<int>(is_wide ? shorter : longer)};
    const double fills = chance.between(0.8, 0.88);
    const double scale = fills * std::min(size.width / print.width_mm(), size.height / print.height_mm());
    const double focal = 1.2 * longer;      // Pixels.
    const double distance = focal / scale;  // Millimetres.
    const Matrix3 turn =
        colour::product(rotation(2, chance.between(-3, 3)),
                        colour::product(rotation(0, chance.between(-7, 7)), rotation(1, chance.between(-7, 7))));
    const double aim_x = chance.between(-0.03, 0.03) * size.width, aim_y = chance.between(-0.03, 0.03) * size.height;
    // Columns: the sheet's x and y, and its upper left corner, as the camera sees them; then to pixels.
    const double half_w = print.width_mm() / 2, half_h = print.height_mm() / 2;
    Matrix3 sheet{};
    for (std::size_t i = 0; i < 3; ++i) {
        sheet[i] = {turn[i][0], turn[i][1], -half_w * turn[i][0] - half_h * turn[i][1] + (i == 2 ? distance : 0)};
    }
    const Matrix3 lens{
        {{focal, 0, size.width / 2.0 + aim_x - 0.5}, {0, focal, size.height / 2.0 + aim_y - 0.5}, {0, 0, 1}}};
    const Mapping to_sheet = colour::inverse(colour::product(lens, sheet));

    const double pitch = 1 / scale;
    const Paper paper(print, camera_sigma_px * pitch);
    const double fall_x = chance.between(-0.16, 0.16), fall_y = chance.between(-0.16, 0.16);
    const double corners = chance.between(0.08, 0.2);
    const double exposure = chance.between(0.6, 0.72);  // Of white in the middle.
    // Drawn in any case, so that the rest is the same with and without.
    const double drawn_bend = chance.between(0.85, 1.15), drawn_contrast = chance.between(0, 0.35);
    const double bend = wish.has_own_curve ? drawn_bend : 1, contrast = wish.has_own_curve ? drawn_contrast : 0;
    Matrix3 matrix = sensor_matrix(chance, 0.06, 0.09);
    for (auto& row : matrix) {
        for (double& value : row) value *= exposure;
    }
    const Sensor sensor{matrix, Curve([&](double light) {
                            const double code = srgb_code(std::pow(light, bend));
                            return code - contrast * std::sin(2 * std::numbers::pi * code) / (2 * std::numbers::pi);
                        }),
                        wish.noise * 0.001, wish.noise * 0.008};
    const double table_y = chance.between(0.08, 0.4), warmth = chance.between(0, 0.3);
    Picture picture = taken(size, sensor, wish.seed, [&](int x, int y) {
        const auto place = colour::transformed(to_sheet, {static_cast<double>(x), static_cast<double>(y), 1.0});
        const double mm_x = place[0] / place[2], mm_y = place[1] / place[2];
        const float share = share_on_sheet(paper, mm_x, mm_y, camera_sigma_px * pitch);
        // A table of boards: stripes of uneven light.
        std::array<float, 3> light{};
        if (share < 1) {
            const double board = 1 + 0.12 * std::sin(mm_y / 7 + std::sin(mm_x / 60)) + 0.06 * std::sin(mm_y * 1.7);
            light = grey_light(table_y * board);
            light[0] *= static_cast<float>(1 + 0.1 * warmth);
            light[2] *= static_cast<float>(1 - warmth);
        }
        if (share > 0) light = mixed(light, paper.at(mm_x, mm_y), share);
        const double u = 2.0 * x / size.width - 1, v = 2.0 * y / size.height - 1;
        const double lamp =
            (1 + fall_x * (mm_x / half_w - 1) + fall_y * (mm_y / half_h - 1)) * (1 - corners * (u * u + v * v) / 2);
        for (float& value : light) value *= static_cast<float>(std::max(lamp, 0.0));
        return light;
    });
    picture.ppi = 72;  // As cameras write it: it says nothing.
    write_picture(picture, {}, 8, wish.jpeg_quality, file);
    return to_sheet;
}

}  // namespace hangtrue::virtual_shop

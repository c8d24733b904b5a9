// SPDX-License-Identifier: Apache-2.0
#include "tests/virtual_shop/devices.h"

#include <gtest/gtest.h>

#include <cmath>

#include "engine/base/error.h"
#include "engine/colour/matrix_model.h"
#include "engine/optics/mtf.h"
#include "engine/optics/slanted_edge.h"
#include "tests/support/temporary_folder.h"
#include "tests/virtual_shop/paper.h"

namespace hangtrue::virtual_shop {
namespace {

using colour::Lab;

std::uint16_t root_code(double light) { return static_cast<std::uint16_t>(std::lround(std::cbrt(light) * 65535)); }

void set_light(Print& print, int x, int y, double light) {
    auto* pixel = &print.roots[3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(print.size.width) +
                                    static_cast<std::size_t>(x))];
    pixel[0] = root_code(light * colour::d50.x);
    pixel[1] = root_code(light * colour::d50.y);
    pixel[2] = root_code(light * colour::d50.z);
}

Print flat_print(base::PixelSize size, double ppi, double light) {
    Print print{size, ppi, 0, 0, 0.1, 1, std::vector<std::uint16_t>(static_cast<std::size_t>(size.count()) * 3)};
    for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x) set_light(print, x, y, light);
    }
    return print;
}

// One edge, 5 degrees off the columns, each pixel as dark as the edge covers it.
Print edge_print(double ppi, double blur_mm) {
    const int side = static_cast<int>(16 / 25.4 * ppi);
    Print print = flat_print({side, side}, ppi, 0.7);
    print.blur_mm = blur_mm;
    const double slope = std::tan(5 * 3.14159265358979 / 180);
    constexpr int parts = 16;
    for (int y = 0; y < side; ++y) {
        for (int x = 0; x < side; ++x) {
            int dark = 0;
            for (int j = 0; j < parts; ++j) {
                const double edge = side / 2.0 + slope * (y + (j + 0.5) / parts - side / 2.0);
                for (int i = 0; i < parts; ++i) dark += x + (i + 0.5) / parts < edge;
            }
            set_light(print, x, y, 0.7 - 0.55 * dark / (parts * parts));
        }
    }
    return print;
}

class Devices : public testing::Test {
  protected:
    std::filesystem::path file(const char* name) { return m_folder.path() / name; }
    // Linear light in the middle channel of a scan with a profile.
    std::vector<float> linear(const SentFile& scan) {
        const auto* model = scan.profile.matrix_model();
        std::vector<float> out;
        for (std::size_t i = 1; i < scan.samples.size(); i += 3) {
            out.push_back(static_cast<float>(model->curves[1].to_linear(scan.samples[i] / 65535.0)));
        }
        return out;
    }

  private:
    support::TemporaryFolder m_folder;
};

Lab lab_at(const SentFile& scan, const Mapping& to_sheet, double mm_x, double mm_y) {
    const Mapping from_sheet = colour::inverse(to_sheet);
    const auto place = colour::transformed(from_sheet, {mm_x, mm_y, 1.0});
    const int column = static_cast<int>(std::lround(place[0] / place[2])),
              row = static_cast<int>(std::lround(place[1] / place[2]));
    std::array<double, 3> sum{};
    const auto* model = scan.profile.matrix_model();
    constexpr int reach = 6;
    for (int y = row - reach; y <= row + reach; ++y) {
        for (int x = column - reach; x <= column + reach; ++x) {
            for (std::size_t c = 0; c < 3; ++c) {
                const auto code =
                    scan.samples[3 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(scan.size.width) +
                                      static_cast<std::size_t>(x)) +
                                 c];
                sum[c] += model->curves[c].to_linear(code / 65535.0);
            }
        }
    }
    for (double& value : sum) value /= (2 * reach + 1) * (2 * reach + 1);
    const auto xyz = colour::transformed(model->to_xyz, sum);
    return colour::lab_from_xyz({xyz[0], xyz[1], xyz[2]});
}

TEST_F(Devices, ThePrintsBlurIsThereInTheScan) {
    // Measured as ISO 12233 does, against the models of its parts: print and scanner are Gaussians, the edge was drawn
    // on a pixel's square and the square printed. A slanted edge estimator is good for 1 to 2 %.
    for (const double ppi : {300.0, 1200.0}) {
        for (const double f50 : {2.5, 5.0}) {
            const double blur = optics::sigma_of_f50(f50), scan_ppi = 600, pitch = 25.4 / scan_ppi, square = 25.4 / ppi;
            ScanWish wish;
            wish.ppi = scan_ppi;
            wish.skew = 0;
            wish.noise = 0;
            const auto name = file("edge.tif");
            const Mapping to_sheet = scan(edge_print(ppi, blur), wish, name);
            const SentFile scanned = read_sent(name);
            const auto all = linear(scanned);
            const int side = 240;
            const int left = static_cast<int>((8 - to_sheet[0][2]) / pitch) - side / 2,
                      top = static_cast<int>((8 - to_sheet[1][2]) / pitch) - side / 2;
            std::vector<float> piece;
            for (int y = top; y < top + side; ++y) {
                for (int x = left; x < left + side; ++x) {
                    piece.push_back(all[static_cast<std::size_t>(y) * static_cast<std::size_t>(scanned.size.width) +
                                        static_cast<std::size_t>(x)]);
                }
            }
            const auto mtf = optics::edge_mtf(piece, side, side);
            ASSERT_TRUE(mtf);
            const double sigma = std::hypot(blur, scanner_sigma_px * pitch);
            double low = 0, high = 20;
            while (high - low > 1e-6) {
                const double f = (low + high) / 2, box = optics::box_mtf(square, f);
                (optics::gaussian_mtf(sigma, f) * box * box > 0.5 ? low : high) = f;
            }
            EXPECT_NEAR(mtf->f50() / pitch / low, 1, 0.02) << ppi << " ppi, f50 " << f50;
        }
    }
}

TEST_F(Devices, ThePapersCutIsBlurredByTheDeviceAlone) {
    // The print's blur is far larger than the scanner's; the cut, 5 degrees off the columns, must show nothing of it. A
    // slanted edge estimator is good for 1 to 2 %.
    Print print = flat_print({400, 400}, 300, 0.8);
    print.blur_mm = 0.2;
    ScanWish wish;
    wish.skew = 5;
    wish.noise = 0;
    for (const std::uint64_t seed : {1ULL, 2ULL, 3ULL, 4ULL}) {
        wish.seed = seed;
        const Mapping to_sheet = scan(print, wish, file("cut.tif"));
        const SentFile scanned = read_sent(file("cut.tif"));
        const auto all = linear(scanned);
        const auto place = colour::transformed(colour::inverse(to_sheet), {0.0, print.height_mm() / 2, 1.0});
        constexpr int side = 80;
        const int left = static_cast<int>(place[0]) - side / 2, top = static_cast<int>(place[1]) - side / 2;
        ASSERT_GE(left, 0);
        std::vector<float> piece;
        for (int y = top; y < top + side; ++y) {
            for (int x = left; x < left + side; ++x) {
                piece.push_back(all[static_cast<std::size_t>(y) * static_cast<std::size_t>(scanned.size.width) +
                                    static_cast<std::size_t>(x)]);
            }
        }
        if (std::abs(piece.front() - piece[side - 1]) < 0.5F) continue;  // A light lid: chance has it so.
        const auto mtf = optics::edge_mtf(piece, side, side);
        ASSERT_TRUE(mtf);
        EXPECT_NEAR(mtf->f50() / optics::f50_of_sigma(scanner_sigma_px), 1, 0.02);
        return;
    }
    FAIL() << "no scan under a dark lid";
}

TEST_F(Devices, AScanWithProfileIsRightInColour) {
    // Patches of published FOGRA39L colours, laid down askew, upside down too.
    const Lab patches[] = {{95, 0, -2}, {55, -37, -50}, {48, 74, -3}, {16, 0, 0}, {61.53, 5.42, 3.75}, {50, -65, 27}};
    Print print = flat_print({1200, 400}, 300, 0.87);
    for (int y = 100; y < 300; ++y) {
        for (int x = 0; x < 1200; ++x) {
            const colour::Xyz xyz = colour::xyz_from_lab(patches[x / 200]);
            auto* pixel = &print.roots[3 * static_cast<std::size_t>(y * 1200 + x)];
            pixel[0] = root_code(xyz.x);
            pixel[1] = root_code(xyz.y);
            pixel[2] = root_code(xyz.z);
        }
    }
    for (const double turned : {0.0, 90.0, 180.0}) {
        for (const char* name : {"scan.tif", "scan.jpg"}) {
            ScanWish wish;
            wish.turned = turned;
            const Mapping to_sheet = scan(print, wish, file(name));
            const SentFile scanned = read_sent(file(name));
            for (int i = 0; i < 6; ++i) {
                const Lab made = lab_at(scanned, to_sheet, (100 + 200 * i) * 25.4 / 300, 200 * 25.4 / 300);
                // FOGRA39L's cyan and green solids lie outside Adobe RGB by a little; the rest is noise and rounding.
                const double allowed = i == 1 || i == 5 ? 6 : 0.6;
                EXPECT_LT(colour::delta_e_2000(patches[i], made), allowed) << name << ' ' << turned << ' ' << i;
            }
        }
    }
}

TEST_F(Devices, NoiseIsAsLoudAsSaid) {
    const Print print = flat_print({600, 600}, 300, 0.5);
    ScanWish wish;
    wish.skew = 0;
    for (const double noise : {0.0, 1.0, 4.0}) {
        wish.noise = noise;
        const Mapping to_sheet = scan(print, wish, file("noise.tif"));
        const SentFile scanned = read_sent(file("noise.tif"));
        const auto all = linear(scanned);
        const int left = static_cast<int>(-to_sheet[0][2] / to_sheet[0][0]) + 100;
        const int top = static_cast<int>(-to_sheet[1][2] / to_sheet[1][1]) + 100;
        double sum = 0, squares = 0;
        constexpr int side = 400;
        for (int y = top; y < top + side; ++y) {
            for (int x = left; x < left + side; ++x) {
                const double value = static_cast<double>(all[static_cast<std::size_t>(y * scanned.size.width + x)]);
                sum += value;
                squares += value * value;
            }
        }
        const double mean = sum / (side * side), sd = std::sqrt(std::max(0.0, squares / (side * side) - mean * mean));
        EXPECT_NEAR(mean, 0.5, 0.001);
        // Read and shot noise of white, as devices.cpp has them, at half of it. 160,000 samples tell the deviation to
        // 0.2 %; 16 bits and single precision leave 2e-5.
        EXPECT_NEAR(sd, noise * std::sqrt(0.0006 * 0.0006 + 0.004 * 0.004 * 0.5), 0.01 * noise * 0.003 + 4e-5);
    }
}

TEST_F(Devices, GrainIsAsCoarseAndStrongAsSaid) {
    Print print = flat_print({600, 600}, 300, 0.18418652);  // L* 50.
    print.grain_sd = 1;
    print.grain_mm = 0.1;
    const Paper paper(print, 0.01);
    const auto lightness = [&](double x, double y) {
        const auto light = paper.at(x, y);
        return colour::lab_from_xyz(
                   {static_cast<double>(light[0]), static_cast<double>(light[1]), static_cast<double>(light[2])})
            .lightness;
    };
    double sum = 0, squares = 0, product = 0;
    int count = 0;
    for (double y = 2; y < 48; y += 0.37) {
        for (double x = 2; x < 48; x += 0.41) {
            const double here = lightness(x, y) - 50, there = lightness(x + 0.2, y) - 50;
            sum += here;
            squares += here * here;
            product += here * there;
            ++count;
        }
    }
    EXPECT_NEAR(sum / count, 0, 0.05);
    EXPECT_NEAR(std::sqrt(squares / count), 1, 0.06);  // About 5,000 grains, and the look-up between samples.
    // White noise through a Gaussian of s is like itself, at a distance d, by exp(-d^2 / (4 s^2)): e^-1 here.
    EXPECT_NEAR(product / squares, std::exp(-1), 0.06);
}

TEST_F(Devices, ThePhotographShowsTheSheetWhereItsMappingSays) {
    // Dark crosses' centres are dark, and white paper beside them is light, at the places that the perspective gives;
    // all four corners of the sheet are in the picture.
    Print print = flat_print({3000, 2400}, 300, 0.85);
    const int marks[][2] = {{300, 300}, {2700, 300}, {300, 2100}, {2700, 2100}, {1500, 1200}};
    for (const auto& mark : marks) {
        for (int y = mark[1] - 30; y < mark[1] + 30; ++y) {
            for (int x = mark[0] - 30; x < mark[0] + 30; ++x) set_light(print, x, y, 0.03);
        }
    }
    for (const std::uint64_t seed : {1ULL, 2ULL, 3ULL}) {
        PhotographWish wish;
        wish.seed = seed;
        wish.megapixels = 12;
        const Mapping to_sheet = photograph(print, wish, file("photo.jpg"));
        const SentFile taken = read_sent(file("photo.jpg"));
        EXPECT_NEAR(static_cast<double>(taken.size.count()), 12e6, 0.02e6);
        const Mapping from_sheet = colour::inverse(to_sheet);
        const auto place = [&](double x, double y) {
            const auto p = colour::transformed(from_sheet, {x, y, 1.0});
            return std::array<double, 2>{p[0] / p[2], p[1] / p[2]};
        };
        const auto code = [&](std::array<double, 2> at) {
            return taken.samples[3 * static_cast<std::size_t>(std::lround(at[1]) * taken.size.width +
                                                              std::lround(at[0])) +
                                 1] /
                   65535.0;
        };
        for (const double x : {0.0, print.width_mm()}) {
            for (const double y : {0.0, print.height_mm()}) {
                const auto corner = place(x, y);
                EXPECT_TRUE(corner[0] > 0 && corner[0] < taken.size.width && corner[1] > 0 &&
                            corner[1] < taken.size.height);
            }
        }
        for (const auto& mark : marks) {
            const double x = mark[0] * 25.4 / 300, y = mark[1] * 25.4 / 300;
            EXPECT_LT(code(place(x, y)), 0.3);
            EXPECT_LT(code(place(x + 2.3, y)), 0.3);  // The mark's half side is 2.54 mm.
            EXPECT_GT(code(place(x + 2.8, y)), 0.5);
            EXPECT_GT(code(place(x, y - 2.8)), 0.5);
        }
        // Not a rectangle: opposite sides differ.
        const auto a = place(0, 0), b = place(print.width_mm(), 0), c = place(0, print.height_mm()),
                   d = place(print.width_mm(), print.height_mm());
        EXPECT_GT(std::abs(std::hypot(b[0] - a[0], b[1] - a[1]) / std::hypot(d[0] - c[0], d[1] - c[1]) - 1), 0.0005);
    }
}

TEST_F(Devices, APrintReadsBackAsItWas) {
    Print print = edge_print(300, 0.04);
    print.grain_sd = 0.7;
    print.seed = 12;
    write_print(print, file("print.tif"));
    const Print back = read_print(file("print.tif"));
    EXPECT_EQ(back.roots, print.roots);
    EXPECT_EQ(back.blur_mm, print.blur_mm);
    EXPECT_EQ(back.grain_sd, print.grain_sd);
    EXPECT_EQ(back.seed, print.seed);
    EXPECT_EQ(back.ppi, print.ppi);
    ScanWish wish;
    scan(print, wish, file("scan.tif"));
    EXPECT_THROW(read_print(file("scan.tif")), base::UnreadableInput);  // An ordinary picture is no print.
}

}  // namespace
}  // namespace hangtrue::virtual_shop

// SPDX-License-Identifier: Apache-2.0
// bench_subjects: each step of the pixels' way by itself, on one core unless said: megapixels a
// second and nanoseconds a pixel, the median of nine runs after one to warm up. Pixels are those of
// the step's result.

#include <fcntl.h>
#include <lcms2.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <exception>
#include <filesystem>
#include <functional>
#include <iostream>
#include <span>
#include <string>
#include <vector>

#include "benchmarks/bench_pictures.h"
#include "benchmarks/bench_shop.h"
#include "benchmarks/figures.h"
#include "engine/base/aligned_floats.h"
#include "engine/base/hash.h"
#include "engine/colour/conversion.h"
#include "engine/colour/proof.h"
#include "engine/colour/lcms.h"
#include "engine/enlarge/resampler.h"
#include "engine/raster/print_writer.h"
#include "engine/raster/read_back.h"
#include "engine/raster/row_reader.h"
#include "engine/raster/strip_encoder.h"
#include "engine/render/grid.h"
#include "engine/render/quantise.h"
#include "engine/render/sample_record.h"
#include "engine/sharpen/design.h"
#include "engine/shops/medium.h"
#include "tests/colour/made_profiles.h"

namespace hangtrue::benchmarks {
namespace {

namespace fs = std::filesystem;

constexpr int runs = 9;
constexpr std::size_t block_pixels = std::size_t{render::block_width} * render::block_height;

/// `prepare` is not timed: it sets up again what `work` changes in place.
void measure(
    const std::string& name, double pixels, const std::function<void()>& work,
    const std::function<void()>& prepare = [] {}) {
    std::vector<double> seconds;
    for (int run = -1; run < runs; ++run) {
        prepare();
        const auto start = std::chrono::steady_clock::now();
        work();
        const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - start;
        if (run >= 0) seconds.push_back(taken.count());
    }
    const double typical = median(seconds);
    print_row({name, text_of(pixels / typical / 1e6, 1), text_of(typical / pixels * 1e9, 2),
               text_of(*std::min_element(seconds.begin(), seconds.end()) / pixels * 1e9, 2)});
}

/// Rows of the picture, one after the other.
std::vector<std::uint16_t> rows_16(base::PixelSize size) {
    const BenchPicture picture(size);
    const std::size_t row = static_cast<std::size_t>(size.width) * 3;
    std::vector<std::uint16_t> samples(row * static_cast<std::size_t>(size.height));
    for (int y = 0; y < size.height; ++y) {
        picture.make_row(y, std::span(samples).subspan(row * static_cast<std::size_t>(y), row));
    }
    return samples;
}

std::vector<std::uint8_t> in_8_bits(const std::vector<std::uint16_t>& samples) {
    std::vector<std::uint8_t> result;
    for (const std::uint16_t sample : samples) result.push_back(static_cast<std::uint8_t>(sample >> 8));
    return result;
}

/// Three planes of floats from 0 to 1, `stride` floats a row.
struct FloatPicture {
    FloatPicture(base::PixelSize wanted)
        : size(wanted), stride(base::aligned_floats(static_cast<std::size_t>(wanted.width))) {
        const auto samples = rows_16(size);
        // A row more, so that what is written past the last row's end stays inside.
        plane_floats = stride * static_cast<std::size_t>(size.height + 1);
        float* const start = floats.room_for(3 * plane_floats);
        std::fill_n(start, 3 * plane_floats, 0.0F);
        const auto width = static_cast<std::size_t>(size.width);
        for (std::size_t i = 0; i < samples.size(); ++i) {
            start[i % 3 * plane_floats + i / 3 / width * stride + i / 3 % width] =
                static_cast<float>(samples[i]) / 65535;
        }
    }
    float* plane(std::size_t channel) { return floats.all().data() + channel * plane_floats; }
    std::array<float*, 3> planes() { return {plane(0), plane(1), plane(2)}; }
    colour::Planes flat() { return {{plane(0), plane_floats}, {plane(1), plane_floats}, {plane(2), plane_floats}}; }
    void restore_from(FloatPicture& other) { std::ranges::copy(other.floats.all(), floats.all().begin()); }

    base::PixelSize size;
    std::size_t stride;
    std::size_t plane_floats = 0;
    base::AlignedFloats floats;
};

void measure_reading(const fs::path& folder) {
    const base::PixelSize size{6000, 4000};
    const BenchPicture picture(size);
    base::Faults faults;
    base::Progress progress;
    const auto reading = [&](const std::string& name) {
        measure("read " + name, static_cast<double>(size.count()), [&] {
            const auto reader = raster::open_picture(folder / "picture", {folder, faults}, progress);
            constexpr int rows = 32;
            std::vector<std::byte> out(rows * reader->info().bytes_per_row());
            for (int y = 0; y < size.height; y += rows) reader->read_rows(y, rows, out, progress);
        });
    };
    const fs::path file = folder / "picture";
    write_tiff(file, picture, {});
    reading("16-bit TIFF");
    write_tiff(file, picture, {.coding = TiffCoding::lzw});
    reading("16-bit TIFF, LZW");
    write_tiff(file, picture, {.coding = TiffCoding::deflate});
    reading("16-bit TIFF, deflate");
    write_jpeg(file, picture, {});
    reading("JPEG, 4:4:4");
    write_png(file, picture, {});
    reading("8-bit PNG");
    fs::remove(file);
}

void measure_working_form() {
    const colour::WorkingForm form(colour::Profile::adobe_rgb(), colour::SourceModel::rgb, "the picture");
    const auto samples = rows_16({render::block_width, render::block_height});
    const auto bytes = in_8_bits(samples);
    std::vector<float> floats(samples.size());
    const colour::Planes planes{std::span(floats).first(block_pixels),
                                std::span(floats).subspan(block_pixels, block_pixels),
                                std::span(floats).last(block_pixels)};
    constexpr int times = 32;
    const double pixels = static_cast<double>(block_pixels) * times;
    const auto repeat = [](const auto& work) {
        return [work] {
            for (int i = 0; i < times; ++i) work();
        };
    };
    measure("to floats, 8 bits", pixels, repeat([&] { form.from_samples(std::span(bytes), planes); }));
    measure("to floats, 16 bits", pixels, repeat([&] { form.from_samples(std::span(samples), planes); }));
    const auto fresh = [&] { form.from_samples(std::span(samples), planes); };
    measure("to linear light and back", pixels, repeat([&] {
                form.to_linear(planes);
                form.to_encoded(planes);
            }),
            fresh);
}

void measure_resampling() {
    const base::PixelSize picture{9504, 6336};
    for (const double factor : {1.2626, 2.0, 0.5}) {
        const base::PixelSize image{static_cast<int>(picture.width * factor),
                                    static_cast<int>(picture.height * factor)};
        const enlarge::Mapping mapping{{0, 0, double(picture.width), double(picture.height)}, image};
        const base::PixelRect block{render::block_width * 3, render::block_height * 3, render::block_width,
                                    render::block_height};
        const base::PixelRect needed = enlarge::pixels_needed(mapping, block);
        FloatPicture source({needed.width, needed.height});
        FloatPicture result({block.width, block.height});
        base::AlignedFloats scratch;
        constexpr int times = 16;
        measure("resample " + text_of(factor, 2) + "x, three channels", static_cast<double>(block_pixels) * times, [&] {
            for (int i = 0; i < times; ++i) {
                const enlarge::PartResampler resampler(mapping, block);
                float* const room = scratch.room_for(resampler.scratch_floats());
                for (std::size_t channel = 0; channel < 3; ++channel) {
                    resampler.resample({source.plane(channel), source.stride}, {result.plane(channel), result.stride},
                                       room);
                }
            }
        });
    }
}

void measure_sharpening() {
    for (const shops::BlurClass blur : {shops::BlurClass::inkjet_gloss, shops::BlurClass::canvas}) {
        sharpen::Situation situation;
        situation.print_f50_cycles_per_mm = shops::default_f50(blur);
        situation.ppi = {blur == shops::BlurClass::canvas ? 100.0 : 300.0};
        situation.enlarging = 1.2626;
        situation.picture_noise = {1.0};
        situation.design_distance = {1200};
        situation.closest_look = {600};
        const sharpen::Filter filter = sharpen::designed(situation).filter;
        const int halo = sharpen::halo_px(filter);
        const base::PixelSize size{render::block_width + 2 * halo, render::block_height + 2 * halo};
        FloatPicture original(size);
        FloatPicture block(size);
        std::vector<float> scratch(sharpen::scratch_floats(filter, size.width, size.height));
        const auto weights = colour::WorkingForm(colour::Profile::adobe_rgb(), colour::SourceModel::rgb, "the picture")
                                 .luminance_weights();
        std::string widths;
        for (const sharpen::Term& term : filter.terms)
            widths += (widths.empty() ? "" : " and ") + text_of(term.sigma_px, 2);
        const std::string medium = blur == shops::BlurClass::canvas ? "canvas, 100 ppi" : "gloss paper, 300 ppi";
        measure(
            "sharpen for " + medium + " (sigma " + widths + " px)", static_cast<double>(block_pixels),
            [&] {
                sharpen::apply(filter, weights, {block.planes(), size.width, size.height, block.stride}, scratch);
            },
            [&] { block.restore_from(original); });
    }
}

const char* name_of(colour::Path path) {
    return path == colour::Path::matrix ? "matrix" : path == colour::Path::table ? "table" : "exact";
}

/// Little CMS as it comes: with its optimisations.
class DefaultLcms {
  public:
    DefaultLcms(const colour::Profile& from, const colour::Profile& to, cmsUInt32Number format) {
        const colour::LcmsProfile in = m_context.open(from.bytes());
        const colour::LcmsProfile out = m_context.open(to.bytes());
        m_transform = cmsCreateTransformTHR(m_context.get(), in.get(), format, out.get(), format,
                                            INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_BLACKPOINTCOMPENSATION);
    }
    ~DefaultLcms() { cmsDeleteTransform(m_transform); }
    DefaultLcms(const DefaultLcms&) = delete;
    DefaultLcms& operator=(const DefaultLcms&) = delete;
    void run(const void* in, void* out, std::size_t count) const {
        cmsDoTransform(m_transform, in, out, static_cast<cmsUInt32Number>(count));
    }

  private:
    colour::LcmsContext m_context;
    cmsHTRANSFORM m_transform = nullptr;
};

void measure_conversion(const std::string& name, const colour::Profile& file_space) {
    const colour::Profile source = colour::Profile::adobe_rgb();
    const colour::WorkingForm form(source, colour::SourceModel::rgb, "the picture");
    const colour::Conversion conversion(form, file_space, {});
    const base::PixelSize size{render::block_width, render::block_height};
    FloatPicture original(size);
    FloatPicture block(size);
    const auto pixels = static_cast<double>(block_pixels);
    const std::string to = "Adobe RGB to " + name + ": ";
    measure(
        to + "ours (" + name_of(conversion.path()) + ", float)", pixels,
        [&] {
            // Row by row, as blocks are converted.
            for (int y = 0; y < size.height; ++y) {
                const std::size_t at = static_cast<std::size_t>(y) * block.stride;
                const auto width = static_cast<std::size_t>(size.width);
                conversion.apply(
                    {{block.plane(0) + at, width}, {block.plane(1) + at, width}, {block.plane(2) + at, width}});
            }
        },
        [&] { block.restore_from(original); });

    const auto samples = rows_16(size);
    std::vector<std::uint16_t> result(samples.size());
    std::vector<float> floats;
    for (const std::uint16_t sample : samples) floats.push_back(static_cast<float>(sample) / 65535);
    std::vector<float> float_result(floats.size());
    const DefaultLcms default_16(source, file_space, TYPE_RGB_16);
    measure(to + "Little CMS, default, 16 bits", pixels,
            [&] { default_16.run(samples.data(), result.data(), block_pixels); });
    const DefaultLcms default_float(source, file_space, TYPE_RGB_FLT);
    measure(to + "Little CMS, default, float", pixels,
            [&] { default_float.run(floats.data(), float_result.data(), block_pixels); });
    const colour::ExactTransform exact(source, file_space, {});
    measure(to + "Little CMS, exact, float", pixels,
            [&] { exact.run(floats.data(), float_result.data(), block_pixels); });
}

void measure_quantising() {
    FloatPicture block({render::block_width, render::block_height});
    const auto width = static_cast<std::size_t>(render::block_width);
    std::vector<std::uint8_t> bytes(3 * width);
    std::vector<std::uint16_t> words(3 * width);
    constexpr int times = 32;
    const double pixels = static_cast<double>(block_pixels) * times;
    const auto rows = [&](const auto& row_work) {
        for (int i = 0; i < times; ++i) {
            for (int y = 0; y < render::block_height; ++y) {
                const std::size_t at = static_cast<std::size_t>(y) * block.stride;
                row_work(render::PlaneRow{block.plane(0) + at, block.plane(1) + at, block.plane(2) + at, width}, y);
            }
        }
    };
    measure("to 8 bits, dithered", pixels, [&] {
        rows([&](const render::PlaneRow& row, int y) {
            render::quantise_row_8(row, 0, y, render::Dither::each_channel, bytes);
        });
    });
    measure("to 16 bits", pixels,
            [&] { rows([&](const render::PlaneRow& row, int) { render::quantise_row_16(row, words); }); });
}

void measure_digests(const std::vector<std::uint16_t>& band, base::PixelSize size) {
    const auto bytes = std::as_bytes(std::span(band));
    const auto pixels = static_cast<double>(size.count());
    base::Digest kept;
    measure("digest (XXH3-128), 16 bits", pixels, [&] { kept = base::digest(bytes); });
    render::SampleRecord record(size, 16);
    measure("digest and fingerprint, 16 bits", pixels, [&] { record.take_band(0, bytes); });
    base::Sha256 hash;
    measure("SHA-256, 16 bits", pixels, [&] { hash = base::sha256(bytes); });
}

void measure_encoding(const std::vector<std::uint16_t>& band, base::PixelSize size) {
    using raster::TiffCompression;
    constexpr int rows_per_strip = 64;
    const std::size_t row = static_cast<std::size_t>(size.width) * 3;
    const auto strip_16 = std::span(band).first(row * rows_per_strip);
    const auto strip_8 = in_8_bits({strip_16.begin(), strip_16.end()});
    const auto pixels = static_cast<double>(size.width) * rows_per_strip;
    struct Kind {
        const char* name;
        TiffCompression compression;
    };
    for (const Kind& kind : {Kind{"none", TiffCompression::none}, Kind{"LZW", TiffCompression::lzw},
                             Kind{"deflate", TiffCompression::deflate}}) {
        std::vector<std::byte> encoded;
        measure(std::string("encode a strip, 8 bits, ") + kind.name, pixels,
                [&] { encoded = raster::encoded_rows(std::as_bytes(std::span(strip_8)), row, 8, kind.compression); });
        measure(std::string("encode a strip, 16 bits, ") + kind.name, pixels,
                [&] { encoded = raster::encoded_rows(std::as_bytes(strip_16), row * 2, 16, kind.compression); });
    }
}

void measure_read_back(const fs::path& folder, const std::vector<std::uint16_t>& band, base::PixelSize size) {
    using raster::TiffCompression;
    struct Kind {
        const char* name;
        TiffCompression compression;
    };
    for (const Kind& kind : {Kind{"none", TiffCompression::none}, Kind{"LZW", TiffCompression::lzw},
                             Kind{"deflate", TiffCompression::deflate}}) {
        const fs::path file = folder / "print.tif";
        base::Faults faults;
        raster::PrintTags tags;
        tags.size = size;
        tags.bits = 16;
        tags.ppi = {300};
        {
            base::OutputFile output(file, base::OutputFile::Existing::replace, faults);
            raster::TiffWriter writer(output, tags, {.compression = kind.compression});
            const std::size_t strip = static_cast<std::size_t>(size.width) * 6 * 64;
            const auto bytes = std::as_bytes(std::span(band));
            for (std::size_t at = 0; at < bytes.size(); at += strip) {
                writer.append_encoded(writer.encoded_strip(bytes.subspan(at, std::min(strip, bytes.size() - at))));
            }
            writer.finish();
            output.name_it();
        }
        const base::Descriptor descriptor(open(file.c_str(), O_RDONLY | O_CLOEXEC));
        base::Progress progress;
        measure(std::string("read back, warm, all cores: 16-bit TIFF, ") + kind.name, static_cast<double>(size.count()),
                [&] {
                    raster::read_back(
                        descriptor.get(), file, render::block_height, [](int, int, std::span<const std::byte>) {},
                        progress);
                });
    }
}

/// As `view --as print` and the screen have it: file samples in floats to those of an sRGB screen.
void measure_proof(const std::string& name, const colour::PrintCondition& print) {
    const colour::Profile srgb = colour::Profile::srgb();
    const colour::Proof proof(srgb, print, srgb);
    const base::PixelSize size{render::block_width, render::block_height};
    FloatPicture original(size);
    FloatPicture block(size);
    const auto pixels = static_cast<double>(block_pixels);
    const auto in_rows = [&](const auto& work) {
        for (int y = 0; y < size.height; ++y) {
            const std::size_t at = static_cast<std::size_t>(y) * block.stride;
            const auto width = static_cast<std::size_t>(size.width);
            work(colour::Planes{
                {block.plane(0) + at, width}, {block.plane(1) + at, width}, {block.plane(2) + at, width}});
        }
    };
    measure(
        "soft proof, " + name + ": ours (" + name_of(proof.path()) + ", float)", pixels,
        [&] { in_rows([&](const colour::Planes& row) { proof.apply(row); }); }, [&] { block.restore_from(original); });
    if (proof.knows_gamut()) {
        std::vector<float> off(static_cast<std::size_t>(size.width));
        measure(
            "soft proof, " + name + ": what is out of gamut", pixels,
            [&] { in_rows([&](const colour::Planes& row) { proof.outside(row, off); }); },
            [&] { block.restore_from(original); });
    }
    measure("soft proof, " + name + ": building it (a proof a \"pixel\")", 1,
            [&] { const colour::Proof again(srgb, print, srgb); });
}

void measure_all() {
    const BenchFolder folder;
    std::cout << machine_text() << "\n\n";
    print_heading({"step", "MP/s", "ns a pixel", "least ns a pixel"});
    measure_reading(folder.path());
    measure_working_form();
    measure_resampling();
    measure_sharpening();
    measure_conversion("sRGB (matrix)", colour::Profile::srgb());
    measure_conversion("a print condition with tables", colour::made_print_condition());
    measure_proof("a print condition with tables", colour::made_print_condition());
    measure_proof("a measured print",
                  colour::MeasuredPrint{{95, 0, -2}, {9, 0, 0}, colour::correction_of({5, -2, 1, 0})});
    measure_quantising();
    const base::PixelSize size{12000, 4 * render::block_height};
    const auto rows = rows_16(size);
    const base::PixelSize band_size{size.width, render::block_height};
    const std::vector<std::uint16_t> band(rows.begin(),
                                          rows.begin() + static_cast<std::ptrdiff_t>(band_size.count()) * 3);
    measure_digests(band, band_size);
    measure_encoding(band, band_size);
    measure_read_back(folder.path(), rows, size);
}

}  // namespace
}  // namespace hangtrue::benchmarks

int main() {
    try {
        hangtrue::benchmarks::measure_all();
    } catch (const std::exception& error) {
        std::cerr << error.what() << '\n';
        return 1;
    }
    return 0;
}

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/lossy.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "engine/base/error.h"
#include "engine/base/units_text.h"

namespace hangtrue::jobs {
namespace {

/// Under this a JPEG is no longer fit for a large print (common practice: nobody prints below it).
constexpr int lowest_quality = 50;
constexpr int comparison_step = 8;
constexpr double difference_step = 0.01;
constexpr std::size_t difference_steps = 10000;  // up to 100
constexpr int lossy_limit_16bit = 655;           // 1 % of 65535

/// Bands into an unnamed scratch file, from which the coder reads as often as it needs.
class SpillSink : public render::BandSink {
  public:
    SpillSink(raster::SpilledRows& rows, render::SampleRecord& record, double& write_seconds)
        : m_rows(rows), m_record(record), m_write_seconds(write_seconds) {}
    void prepare(render::Band& band) override { m_record.take_band(band.number, band.samples); }
    void take(render::Band& band) override {
        const base::Stopwatch stopwatch(m_write_seconds);
        m_rows.write(band.rect.y, band.samples);
    }

  private:
    raster::SpilledRows& m_rows;
    render::SampleRecord& m_record;
    double& m_write_seconds;
};

/// The highest quality whose file is no larger than `most_bytes`.
int fitting_quality(const raster::PrintTags& tags, std::int64_t most_bytes, const raster::RowSupply& rows,
                    base::Progress& progress) {
    const auto fits = [&](int quality) { return raster::jpeg_bytes(tags, quality, rows, progress) <= most_bytes; };
    if (fits(100)) return 100;
    int low = lowest_quality;
    if (!fits(low)) {
        throw base::InvalidWish(
            "No JPEG of " + base::count_text(tags.size.width) + " x " + base::count_text(tags.size.height) +
            " pixels that is worth printing fits the shop's limit of " + base::bytes_text(most_bytes) +
            ". Choose a lower --ppi, a smaller size, or a shop that takes larger files.");
    }
    int high = 100;  // too large
    while (high - low > 1) {
        const int middle = (low + high) / 2;
        (fits(middle) ? low : high) = middle;
    }
    return low;
}

}  // namespace

LossyPrint written_jpeg(const PrintInputs& inputs, base::OutputFile& file, render::SampleRecord& record,
                        Context& context, StageSeconds& seconds) {
    const base::PixelSize size = inputs.plan.geometry.file;
    LossyPrint print{100,
                     {},
                     raster::SpilledRows(base::folder_of(file.final_name()), static_cast<std::size_t>(size.width) * 3,
                                         size.height, "the pixels of the JPEG that is being coded", context.faults)};
    SpillSink sink(print.samples, record, seconds.write);
    inputs.render(sink);

    const base::Stopwatch stopwatch(seconds.write);
    const raster::PrintTags tags = print_tags(inputs.plan, inputs.file_profile);
    const raster::RowSupply rows = [&](int first, int, std::span<std::byte> out) { print.samples.read(first, out); };
    if (const auto most_bytes = inputs.plan.file.most_bytes) {
        print.quality = fitting_quality(tags, *most_bytes, rows, context.progress);
    }
    base::Sha256Stream stream;
    file.also_hash(stream);
    raster::write_jpeg(file, tags, print.quality, rows, context.progress);
    print.sha256 = stream.finish();
    return print;
}

LossyComparison::LossyComparison(const raster::SpilledRows& samples, base::PixelSize size,
                                 const colour::Profile& profile)
    : m_samples(samples), m_size(size), m_lab(profile), m_counts(difference_steps) {}

void LossyComparison::take(int first, int count, std::span<const std::byte> decoded) {
    const std::size_t row_bytes = static_cast<std::size_t>(m_size.width) * 3;
    std::vector<std::byte> given(row_bytes);
    const auto share = [](std::byte code) { return static_cast<float>(std::to_integer<int>(code)) / 255.0F; };
    const auto colour_at = [&](const std::byte* pixel) {
        return std::array{share(pixel[0]), share(pixel[1]), share(pixel[2])};
    };
    for (int row = 0; row < count; ++row) {
        if ((first + row) % comparison_step != 0) continue;
        m_samples.read(first + row, given);
        const std::byte* decoded_row = decoded.data() + static_cast<std::size_t>(row) * row_bytes;
        for (std::size_t x = 0; x < row_bytes; x += 3 * comparison_step) {
            const double difference =
                colour::delta_e_2000(m_lab.lab(colour_at(given.data() + x)), m_lab.lab(colour_at(decoded_row + x)));
            m_sum += difference;
            m_largest = std::max(m_largest, difference);
            ++m_compared;
            ++m_counts[std::min(m_counts.size() - 1, static_cast<std::size_t>(difference / difference_step))];
        }
    }
}

LossyCost LossyComparison::cost(int quality) {
    LossyCost cost;
    cost.quality = quality;
    if (m_compared == 0) return cost;
    cost.mean = m_sum / static_cast<double>(m_compared);
    cost.largest = m_largest;
    std::int64_t below = 0;
    for (std::size_t step = 0; step < m_counts.size() && below * 100 < m_compared * 99; ++step) {
        below += m_counts[step];
        cost.percentile_99 = static_cast<double>(step + 1) * difference_step;
    }
    return cost;
}

bool within_lossy_limits(const render::SampleRecord& given, const render::SampleRecord& decoded) {
    return std::equal(given.fingerprint().begin(), given.fingerprint().end(), decoded.fingerprint().begin(),
                      decoded.fingerprint().end(),
                      [](std::uint16_t a, std::uint16_t b) { return std::abs(a - b) <= lossy_limit_16bit; });
}

}  // namespace hangtrue::jobs

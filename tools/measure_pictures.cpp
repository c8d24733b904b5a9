// SPDX-License-Identifier: Apache-2.0
// Says what the engine measures of small pictures, for the training of the networks. Standard input: for each picture
// a line "WIDTH HEIGHT" and then its samples, 8-bit RGB; standard output: for each a line "NOISE-SD-8BIT BLUR-PX CODING".

#include <algorithm>
#include <cstring>
#include <iostream>
#include <vector>

#include "engine/picture/measure.h"

namespace {

using namespace hangtrue;

class RowsInMemory final : public raster::RowReader {
  public:
    explicit RowsInMemory(base::PixelSize size) {
        m_info.size = size;
        m_samples.resize(m_info.bytes_per_row() * static_cast<std::size_t>(size.height));
    }

    std::vector<std::byte>& samples() { return m_samples; }

    void read_rows(int first, int count, std::span<std::byte> out, base::Progress&) override {
        const std::size_t row = m_info.bytes_per_row();
        std::memcpy(out.data(), m_samples.data() + static_cast<std::size_t>(first) * row,
                    static_cast<std::size_t>(count) * row);
    }

  private:
    std::vector<std::byte> m_samples;
};

}  // namespace

int main() {
    constexpr int largest_side = 20'000;
    std::ios::sync_with_stdio(false);
    base::Progress progress;
    base::PixelSize size;
    while (std::cin >> size.width >> size.height && std::cin.get() == '\n') {
        if (std::min(size.width, size.height) < 1 || std::max(size.width, size.height) > largest_side) return 2;
        RowsInMemory picture(size);
        std::vector<std::byte>& samples = picture.samples();
        // The only way from bytes to the stream's letters.
        if (!std::cin.read(reinterpret_cast<char*>(samples.data()), static_cast<std::streamsize>(samples.size())))
            return 2;
        const picture::Measured measured = picture::measured(picture, progress);
        std::cout << measured.noise.sd_8bit << ' ' << measured.blur.sigma_px << ' ' << measured.jpeg_coding
                  << std::endl;
    }
    return std::cin.eof() ? 0 : 2;
}

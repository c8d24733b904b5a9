// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A folder of the benchmark's own, with an invented shop whose three media ask for what is
/// measured.

#include <filesystem>
#include <string>

namespace hangtrue::benchmarks {

/// Made in the system's folder for temporary files (TMPDIR), removed with all that lies in it at
/// the end.
class BenchFolder {
  public:
    BenchFolder();
    ~BenchFolder();
    BenchFolder(const BenchFolder&) = delete;
    BenchFolder& operator=(const BenchFolder&) = delete;
    const std::filesystem::path& path() const { return m_path; }

    /// A data folder called `name` in it, with the shop and an empty ledger: nothing has been
    /// measured yet.
    std::filesystem::path fresh_data(const std::string& name) const;

  private:
    std::filesystem::path m_path;
};

/// What `hangtrue make` is to be asked for.
struct BenchMedium {
    std::string id;
    std::string size;  ///< As --size takes it.
};

inline constexpr const char* bench_shop_id = "tallow-yard";
BenchMedium paper();         ///< 12000x8000 px, 16-bit TIFF.
BenchMedium card();          ///< 1200x800 px, 16-bit TIFF.
BenchMedium wall_8_bits();   ///< 36000x28000 px, 8-bit TIFF, 3.0 GB.
BenchMedium wall_16_bits();  ///< The same in 16 bits: 6.0 GB, so BigTIFF.

}  // namespace hangtrue::benchmarks

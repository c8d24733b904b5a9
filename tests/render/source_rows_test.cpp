// SPDX-License-Identifier: Apache-2.0
#include "engine/render/source_rows.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <cstring>
#include <thread>
#include <vector>

#include "engine/base/workers.h"

namespace hangtrue::render {
namespace {

/// Every sample of a row is the row's number.
class NumberedRows : public raster::RowReader {
  public:
    explicit NumberedRows(base::PixelSize size) { m_info.size = size; }
    void read_rows(int first, int count, std::span<std::byte> out, base::Progress& /*progress*/) override {
        for (int row = first; row < first + count; ++row) {
            const auto at = static_cast<std::size_t>(row - first) * m_info.bytes_per_row();
            std::ranges::fill(out.subspan(at, m_info.bytes_per_row()), static_cast<std::byte>(row));
        }
    }
};

/// By memcmp: the thread sanitizer remembers a few reads of each eight bytes, and forgets single bytes.
bool holds_its_numbers(const SourceRows& rows, std::size_t bytes) {
    for (std::size_t i = 0; i < rows.rows.size(); ++i) {
        const std::vector<std::byte> numbers(bytes, static_cast<std::byte>(rows.first + static_cast<int>(i)));
        if (std::memcmp(rows.rows[i], numbers.data(), bytes) != 0) return false;
    }
    return true;
}

// The memory of rows let go is read into again at once, so this is a test for the thread sanitizer too: the two threads
// only sleep, so that nothing but the rows themselves orders them (even a relaxed atomic would, to GCC 12's sanitizer).
TEST(source_rows, let_go_by_a_worker_are_read_into_again_only_after_its_last_look) {
    using std::chrono::milliseconds;
    NumberedRows picture({8, 200});
    base::Progress progress;
    SourceWindow window(picture);
    int wrong = 0;
    base::Workers::Group group;
    base::Workers workers(1);
    for (int first = 0; first + 40 <= picture.info().size.height; first += 40) {
        workers.submit(group, [&, rows = window.rows(first, first + 40, first, progress)](int) mutable {
            if (!holds_its_numbers(rows, picture.info().bytes_per_row())) ++wrong;
            rows = {};
            std::this_thread::sleep_for(milliseconds(40));
        });
        std::this_thread::sleep_for(milliseconds(20));
    }
    group.wait();
    EXPECT_EQ(wrong, 0);
}

TEST(source_rows, are_read_anew_after_a_step_back_and_outlive_their_window) {
    NumberedRows picture({8, 400});
    base::Progress progress;
    SourceRows kept;
    {
        SourceWindow window(picture);
        window.rows(200, 300, 200, progress);
        kept = window.rows(10, 20, 0, progress);
        EXPECT_TRUE(holds_its_numbers(window.rows(250, 260, 250, progress), picture.info().bytes_per_row()));
    }
    EXPECT_EQ(kept.rows.size(), 10U);
    EXPECT_TRUE(holds_its_numbers(kept, picture.info().bytes_per_row()));
}

}  // namespace
}  // namespace hangtrue::render

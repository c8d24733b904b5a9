// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What bench_whole can measure. Each makes its own input, prints Markdown, and removes what it
/// made. Throws std::runtime_error where a program under test fails.

namespace hangtrue::benchmarks {

/// 9504x6336 to 12000x8000, 16-bit TIFF, sharpened and converted, beside its peers: medians of
/// `runs`.
void peers_table(int runs);

/// 36000x28000 as an 8-bit TIFF and as a 16-bit BigTIFF; needs 8 GB free.
void gigapixel_table();

/// Anonymous memory for every kind of input and orientation, 60 megapixels each.
void inputs_table();

/// `hangtrue detail` of a 60-megapixel TIFF: seconds and anonymous memory.
void detail_table(int runs);

/// From Ctrl-C to the end, at moments spread over `make`.
void cancelling_table(int moments);

}  // namespace hangtrue::benchmarks

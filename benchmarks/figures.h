// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Medians, Markdown tables, and what must be said of the machine beside every figure.

#include <string>
#include <vector>

namespace hangtrue::benchmarks {

/// Of an odd number the middle one, of an even number the mean of the two; 0 of none.
double median(std::vector<double> values);

/// `value` with `decimals` digits after the point.
std::string text_of(double value, int decimals);

/// "AMD EPYC, 2 threads, load 0.42, 2026-03-14": processor, threads that this process may use, the
/// load average of the last minute (above 0 before we start: others work on this machine), date
/// (UTC).
std::string machine_text();

/// Prints a row of a Markdown table; a heading with its rule below it.
void print_heading(const std::vector<std::string>& cells);
void print_row(const std::vector<std::string>& cells);

}  // namespace hangtrue::benchmarks

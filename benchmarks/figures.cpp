// SPDX-License-Identifier: Apache-2.0
#include "benchmarks/figures.h"

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iostream>

#include "engine/base/clock.h"
#include "engine/base/workers.h"

namespace hangtrue::benchmarks {

double median(std::vector<double> values) {
    if (values.empty()) return 0;
    std::sort(values.begin(), values.end());
    const std::size_t middle = values.size() / 2;
    return values.size() % 2 == 1 ? values[middle] : (values[middle - 1] + values[middle]) / 2;
}

std::string text_of(double value, int decimals) {
    char text[64];
    std::snprintf(text, sizeof text, "%.*f", decimals, value);
    return text;
}

std::string machine_text() {
    std::string processor = "unknown processor";
    std::ifstream cpuinfo("/proc/cpuinfo");
    for (std::string line; std::getline(cpuinfo, line);) {
        const std::size_t colon = line.find(": ");
        if (line.starts_with("model name") && colon != std::string::npos) {
            processor = line.substr(colon + 2);
            break;
        }
    }
    double load = 0;
    getloadavg(&load, 1);
    const std::string date = base::timestamp(base::Clock().now()).substr(0, 10);
    return processor + ", " + std::to_string(base::default_thread_count()) + " threads, load " + text_of(load, 2) +
           ", " + date;
}

void print_row(const std::vector<std::string>& cells) {
    std::cout << '|';
    for (const std::string& cell : cells) std::cout << ' ' << cell << " |";
    std::cout << std::endl;  // A row takes minutes: it is shown at once.
}

void print_heading(const std::vector<std::string>& cells) {
    print_row(cells);
    print_row(std::vector<std::string>(cells.size(), "---"));
}

}  // namespace hangtrue::benchmarks

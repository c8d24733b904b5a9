// SPDX-License-Identifier: Apache-2.0
// A peer of benchmarks/peers_table.cpp that does less than the work: no colour conversion, the
// profile is dropped, the whole picture lies in memory.
//
//     opencv_resize IN.tif OUT.tif WIDTH HEIGHT
//
// Reads, enlarges with its Lanczos kernel, sharpens with a Gaussian unsharp mask and writes an
// uncompressed TIFF of the picture's depth. Prints its seconds.

#include <chrono>
#include <cstdlib>
#include <iostream>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

int main(int count, char** arguments) {
    if (count != 5) return 2;
    const auto start = std::chrono::steady_clock::now();
    try {
        const cv::Mat picture = cv::imread(arguments[1], cv::IMREAD_UNCHANGED);
        if (picture.empty()) return 1;
        cv::Mat image;
        cv::resize(picture, image, {std::atoi(arguments[3]), std::atoi(arguments[4])}, 0, 0, cv::INTER_LANCZOS4);
        cv::Mat blurred;
        cv::GaussianBlur(image, blurred, {}, 1.2);
        cv::addWeighted(image, 1.6, blurred, -0.6, 0, image);
        constexpr int no_compression = 1;  // TIFF 6.0, tag 259.
        if (!cv::imwrite(arguments[2], image, {cv::IMWRITE_TIFF_COMPRESSION, no_compression})) return 1;
    } catch (const cv::Exception& error) {
        std::cerr << error.what() << '\n';
        return 1;
    }
    const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - start;
    std::cout << seconds.count() << '\n';
    return 0;
}

// SPDX-License-Identifier: Apache-2.0
// The peer of benchmarks/peers_table.cpp: the same work as one libvips pipeline, in a process of
// its own.
//
//     vips_pipeline IN.tif OUT.tif WIDTH HEIGHT SOURCE.icc FILE.icc float|sharpen
//
// Opens, enlarges with a cubic kernel, sharpens (a Gaussian unsharp mask in float, or libvips' own
// sharpen), converts between the profiles and writes an uncompressed 16-bit TIFF. Prints its
// seconds.

#include <chrono>
#include <cstdlib>
#include <iostream>
#include <string>
#include <vips/vips8>

int main(int count, char** arguments) {
    using vips::VImage;
    if (count != 8 || VIPS_INIT(arguments[0]) != 0) return 2;
    const auto start = std::chrono::steady_clock::now();
    try {
        const VImage picture = VImage::new_from_file(arguments[1], VImage::option()->set("access", "sequential"));
        const double across = std::atof(arguments[3]) / picture.width();
        const double down = std::atof(arguments[4]) / picture.height();
        VImage image = picture.resize(across, VImage::option()->set("vscale", down)->set("kernel", VIPS_KERNEL_CUBIC));
        if (std::string(arguments[7]) == "float") {
            const VImage encoded = image.cast(VIPS_FORMAT_FLOAT);
            image = (encoded + (encoded - encoded.gaussblur(1.2)) * 0.6).cast(VIPS_FORMAT_USHORT);
        } else {
            image = image.sharpen(VImage::option()->set("sigma", 1.2)).colourspace(VIPS_INTERPRETATION_RGB16);
        }
        image = image.icc_transform(arguments[6], VImage::option()
                                                      ->set("input_profile", arguments[5])
                                                      ->set("intent", VIPS_INTENT_RELATIVE)
                                                      ->set("depth", 16));
        image.tiffsave(arguments[2], VImage::option()->set("compression", VIPS_FOREIGN_TIFF_COMPRESSION_NONE));
    } catch (const vips::VError& error) {
        std::cerr << error.what() << '\n';
        return 1;
    }
    const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - start;
    std::cout << seconds.count() << '\n';
    return 0;
}

// SPDX-License-Identifier: Apache-2.0
#include "tests/support/shop_text.h"

namespace hangtrue::support {

std::string shop_text(const std::string& name, const std::string& more, const std::vector<ShopMedium>& media) {
    std::string text = "format = 1\nname = \"" + name + "\"\ncurrency = \"EUR\"\n" + more;
    for (const ShopMedium& medium : media) {
        text += "\n[[medium]]\nid = \"" + medium.id + "\"\nname = \"" + medium.name + "\"\nblur = \"" + medium.blur +
                "\"\nppi = " + medium.ppi + "\npixels = \"shape\"\nfile_space = \"srgb\"\n" + medium.more +
                "[medium.file]\nembed_profile = true\n" + medium.file;
        if (!medium.free_sizes.empty()) text += "[medium.free_sizes]\n" + medium.free_sizes;
        for (const ShopSize& size : medium.sizes) {
            text += "[[medium.size]]\nname = \"" + size.name + "\"\nfinished = \"" + size.finished + "\"\n";
            if (!size.price.empty()) text += "price = " + size.price + "\n";
        }
    }
    return text;
}

ShopMedium wrapped_canvas(const std::string& id) {
    ShopMedium canvas;
    canvas.id = id;
    canvas.name = "Canvas on bars";
    canvas.blur = "canvas";
    canvas.more =
        "wrap = { maker = \"photographer\", bar_depth = \"8 mm\", back_fold = \"2 mm\", "
        "made_from = [\"round\", \"mirror\", \"colour\"] }\n";
    canvas.file = "formats = [\"tiff\"]\ntiff_bits = [8, 16]\ntiff_compressions = [\"none\"]\n";
    canvas.sizes = {{"3 x 2", "3 x 2 in", "20.00"}};
    return canvas;
}

ShopMedium plain_paper(const std::string& id) {
    ShopMedium paper;
    paper.id = id;
    paper.name = "Plain paper";
    paper.more = "order_choices = [\"Plain paper\", \"No enhancement\"]\n";
    paper.file =
        "formats = [\"tiff\", \"jpeg\"]\ntiff_bits = [8, 16]\ntiff_compressions = [\"none\", \"lzw\", \"deflate\"]\n";
    paper.sizes = {{"3 x 2", "3 x 2 in", "4.50"}};
    return paper;
}

}  // namespace hangtrue::support

// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/look.h"

#include "engine/raster/row_reader.h"
#include "engine/shops/shop_file.h"

namespace hangtrue::jobs {

namespace fs = std::filesystem;

std::vector<PictureSizes> sizes(const std::vector<fs::path>& pictures, const std::string& shop_name,
                                const std::string& medium_name, Context& context) {
    const shops::ShopFolder folder = known_shops(context);
    std::vector<shops::Shop> shops = folder.shops;
    if (!shop_name.empty()) shops = {shops::shop_named(folder, shop_name)};
    if (!medium_name.empty()) {
        for (shops::Shop& shop : shops) shop.media = {shops::medium_named(shop, medium_name)};
    }
    std::vector<PictureSizes> result;
    for (const fs::path& picture : pictures) {
        context.progress.check();
        PictureSizes& sizes = result.emplace_back();
        sizes.picture = picture;
        const Ended end = ended([&] {
            sizes.pixels = raster::picture_info(picture).size;
            for (const shops::Shop& shop : shops) {
                for (const shops::Medium& medium : shop.media) {
                    sizes.media.push_back(plan::sizes_on(shop, medium, sizes.pixels));
                }
            }
        });
        sizes.ending = end.ending;
        sizes.sentence = end.sentence;
    }
    return result;
}

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#include "engine/base/error.h"
#include "engine/jobs/look.h"
#include "engine/jobs/opened_picture.h"
#include "engine/picture/detail.h"
#include "engine/raster/row_reader.h"
#include "engine/shops/shop_file.h"

namespace hangtrue::jobs {
namespace {

namespace fs = std::filesystem;

/// The shops with the media that are asked for.
std::vector<shops::Shop> asked_for(const SizesQuestion& question, const Context& context) {
    const shops::ShopFolder folder = known_shops(context);
    std::vector<shops::Shop> shops = folder.shops;
    if (!question.shop.empty()) shops = {shops::shop_named(folder, question.shop)};
    if (!question.medium.empty()) {
        for (shops::Shop& shop : shops) shop.media = {shops::medium_named(shop, question.medium)};
    }
    return shops;
}

/// Throws Cancelled alone: what cannot be measured is a sentence.
void add_detail(PictureSizes& sizes, Context& context) {
    const Ended end = ended([&] {
        const ledger::Ledger ledger(ledger_file(context), ledger::Access::look);
        const OpenedPicture opened = opened_picture(sizes.picture, scratch_folder(), ledger, context, sizes.seconds);
        sizes.detail_cycles_per_px = opened.facts.measured.detail_cycles_per_px;
        sizes.true_megapixels = picture::true_pixels(sizes.pixels, sizes.detail_cycles_per_px) / 1e6;
        if (sizes.detail_cycles_per_px == 0) {
            sizes.detail_sentence = "Nothing in it stands above the noise, so nothing can be told of its sharpness.";
        }
    });
    if (end.ending == Ending::cancelled) throw base::Cancelled();
    if (end.ending != Ending::done) {
        sizes.detail_sentence = "Its detail could not be measured, so sizes are told by pixels alone: " + end.sentence;
    }
}

}  // namespace

std::vector<PictureSizes> sizes(const std::vector<fs::path>& pictures, const SizesQuestion& question,
                                Context& context) {
    const std::vector<shops::Shop> shops = asked_for(question, context);
    std::vector<PictureSizes> result;
    for (const fs::path& picture : pictures) {
        context.progress.check();
        PictureSizes& sizes = result.emplace_back();
        sizes.picture = picture;
        const Ended end = ended([&] {
            const base::Stopwatch whole(sizes.seconds.whole);
            sizes.pixels = raster::picture_info(picture).size;
            if (!question.headers_only) add_detail(sizes, context);
            for (const shops::Shop& shop : shops) {
                for (const shops::Medium& medium : shop.media) {
                    sizes.media.push_back(
                        plan::sizes_on(shop, medium, sizes.pixels, question.hanging, sizes.detail_cycles_per_px));
                }
            }
        });
        sizes.ending = end.ending;
        sizes.sentence = end.sentence;
    }
    return result;
}

std::vector<PictureSizes> sizes_by_headers(const std::vector<fs::path>& pictures, const std::string& shop,
                                           const std::string& medium, Context& context) {
    return sizes(pictures, {.shop = shop, .medium = medium, .hanging = {}, .headers_only = true}, context);
}

}  // namespace hangtrue::jobs

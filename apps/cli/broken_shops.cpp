// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/broken_shops.h"

#include <algorithm>

namespace hangtrue::cli {

void add_broken_shops(Reply& reply, const jobs::Context& context) {
    reply.json["broken_shops"] = Json::array();
    for (const shops::BrokenShopFile& broken : jobs::known_shops(context).broken) {
        reply.json["broken_shops"].push_back({{"file", broken.file.string()}, {"sentence", broken.sentence}});
        const bool is_told = std::any_of(reply.errors.begin(), reply.errors.end(), [&](const std::string& error) {
            return error.find(broken.sentence) != std::string::npos;
        });
        if (!is_told) reply.remarks.push_back(broken.sentence + " This shop is left out.");
    }
}

}  // namespace hangtrue::cli

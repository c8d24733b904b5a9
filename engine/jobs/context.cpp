// SPDX-License-Identifier: Apache-2.0
#include "engine/jobs/context.h"

#include "engine/shops/shop_file.h"

namespace hangtrue::jobs {

std::vector<shops::Shop> known_shops(const Context& context) { return shops::shops_in(context.data_folder / "shops"); }

}  // namespace hangtrue::jobs

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Shop files made in code, for tests and benchmarks: small sizes and plain rules, so that a print is made in a moment.

#include <string>
#include <vector>

namespace hangtrue::support {

struct ShopSize {
    std::string name;      ///< As the order form says it.
    std::string finished;  ///< "3 x 2 in"
    std::string price;     ///< "4.50"; empty: not told.
};

/// What is not said here is not told in the file.
struct ShopMedium {
    std::string id;
    std::string name;
    std::string blur = "inkjet-gloss";
    std::string ppi = "{ least = 10, wanted = 60, most = 400 }";
    std::string more;  ///< Lines of the medium's own keys.
    std::string file;  ///< Lines of its [medium.file].
    std::vector<ShopSize> sizes;
    std::string free_sizes;  ///< Lines of its [medium.free_sizes]; empty: none.
};

/// `more`: lines of the shop's own keys.
std::string shop_text(const std::string& name, const std::string& more, const std::vector<ShopMedium>& media);

/// Takes TIFF of both depths and all compressions, and JPEG; 3 x 2 in for 4.50.
ShopMedium plain_paper(const std::string& id);
/// Canvas on bars, 3 x 2 in, whose edges are in the file.
ShopMedium wrapped_canvas(const std::string& id);

}  // namespace hangtrue::support

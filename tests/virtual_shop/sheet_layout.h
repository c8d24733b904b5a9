// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Where things stand on a test sheet, as its layout file says (what `hangtrue test sheet --json` prints).

#include <array>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "engine/base/error.h"
#include "engine/base/units.h"
#include "tests/virtual_shop/print_file.h"

namespace hangtrue::virtual_shop {

struct LaidOut {
    std::string name;  ///< A cell's letter, a patch's or grey's name.
    RectMm place;
};

struct SheetLayout {
    std::string sheet;
    std::string file;
    base::RealRect part;  ///< Of the upright picture, in its pixels.
    std::vector<LaidOut> cells;
    std::vector<LaidOut> patches;
    std::vector<LaidOut> greys;
};

/// Throws UnreadableInput.
inline nlohmann::json read_json(const std::filesystem::path& file) {
    std::ifstream stream(file);
    auto json = nlohmann::json::parse(stream, nullptr, false);
    if (json.is_discarded()) throw base::UnreadableInput(file.string() + " is missing or no JSON.");
    return json;
}

inline RectMm rect_of(const nlohmann::json& json) {
    return {json.at("x_mm").get<double>(), json.at("y_mm").get<double>(), json.at("width_mm").get<double>(),
            json.at("height_mm").get<double>()};
}

/// Of "name", or "letter"; throws UnreadableInput, naming `origin`, where something that is needed is not there.
inline SheetLayout layout_of(const nlohmann::json& json, const std::string& origin) {
    try {
        SheetLayout out;
        const auto text_of = [](const nlohmann::json& value) {
            return value.is_string() ? value.get<std::string>() : value.dump();
        };
        if (json.contains("sheet")) out.sheet = text_of(json["sheet"]);
        if (json.contains("file")) out.file = text_of(json["file"]);
        const auto& part = json.at("part");
        out.part = {part.at("x").get<double>(), part.at("y").get<double>(), part.at("width").get<double>(),
                    part.at("height").get<double>()};
        for (const auto& cell : json.at("cells")) out.cells.push_back({cell.at("letter"), rect_of(cell)});
        const auto all = [&](const char* key, std::vector<LaidOut>& list) {
            if (!json.contains(key)) return;
            for (const auto& patch : json[key]) list.push_back({patch.at("name"), rect_of(patch)});
        };
        all("patches", out.patches);
        all("greys", out.greys);
        return out;
    } catch (const nlohmann::json::exception& error) {
        throw base::UnreadableInput(origin + " is no layout of a test sheet: " + error.what());
    }
}

}  // namespace hangtrue::virtual_shop

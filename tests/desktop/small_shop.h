// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A shop of small and quick sizes, a picture for it, and hands for the print's page.

#include <QApplication>
#include <QPushButton>
#include <fstream>
#include <string>

#include "apps/desktop/part_popup.h"
#include "tests/desktop/screens.h"
#include "tests/support/pictures.h"
#include "tests/support/shop_text.h"

namespace hangtrue::desktop_test {

inline constexpr int long_wait = 120'000;  // Sanitized builds on a busy machine.

/// 900 x 600 pixels, a shop of small and quick sizes.
inline std::filesystem::path small_picture(const Desk& desk, const std::string& name = "ridge_at_dawn.tif") {
    const auto file = desk.folder.path() / name;
    support::write_tiff(file, support::gradient({900, 600}, 3, 16), {});
    return file;
}

inline void add_small_shop(const Desk& desk) {
    std::filesystem::create_directories(desk.data() / "shops");
    support::ShopMedium paper = support::plain_paper("paper");
    paper.sizes.push_back({"6 x 4", "6 x 4 in", "9.00"});
    paper.free_sizes = "least_side = \"20 mm\"\nmost_short_side = \"1 m\"\nmost_long_side = \"2 m\"\n";
    const support::ShopMedium canvas = support::wrapped_canvas("canvas");
    std::ofstream(desk.data() / "shops/test.toml") << support::shop_text("Test Prints", "", {paper, canvas});
}

inline desktop::Choice* choice(const QString& title) {
    auto* popup = qobject_cast<desktop::PartPopup*>(QApplication::activePopupWidget());
    if (popup == nullptr) return nullptr;
    for (auto* found : popup->findChildren<desktop::Choice*>()) {
        if (found->text().startsWith(title)) return found;
    }
    return nullptr;
}

inline QPushButton* button_named(const QWidget& page, const QString& text) {
    for (auto* button : page.findChildren<QPushButton*>()) {
        if (button->text() == text && button->isVisible()) return button;
    }
    return nullptr;
}

}  // namespace hangtrue::desktop_test

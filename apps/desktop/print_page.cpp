// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/print_page.h"

namespace hangtrue::desktop {

PrintPage::PrintPage(Bridge& bridge, Habits habits, QWidget* parent)
    : QWidget(parent), m_bridge(bridge), m_habits(std::move(habits)) {
    setAccessibleName(tr("The print"));
}

void PrintPage::open(const std::vector<std::filesystem::path>&) {}
void PrintPage::open_as(const std::filesystem::path&, const plan::Wish&) {}
void PrintPage::keep_now() {}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/shops_page.h"

#include "apps/desktop/bridge.h"

namespace hangtrue::desktop {

ShopsPage::ShopsPage(Bridge& bridge, QWidget* parent) : QWidget(parent), m_bridge(bridge) {
    setAccessibleName(tr("Shops"));
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/tests_page.h"

#include "apps/desktop/bridge.h"

namespace hangtrue::desktop {

TestsPage::TestsPage(Bridge& bridge, QWidget* parent) : QWidget(parent), m_bridge(bridge) {
    setAccessibleName(tr("Tests"));
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/ledger_page.h"

#include "apps/desktop/bridge.h"

namespace hangtrue::desktop {

LedgerPage::LedgerPage(Bridge& bridge, QWidget* parent) : QWidget(parent), m_bridge(bridge) {
    setAccessibleName(tr("Ledger"));
}

}  // namespace hangtrue::desktop

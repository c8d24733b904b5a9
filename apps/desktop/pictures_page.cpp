// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/pictures_page.h"

#include "apps/desktop/bridge.h"

namespace hangtrue::desktop {

PicturesPage::PicturesPage(Bridge& bridge, QWidget* parent) : QWidget(parent), m_bridge(bridge) {
    setAccessibleName(tr("Pictures"));
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/medium_chooser.h"

#include <QComboBox>
#include <QFormLayout>
#include <QLineEdit>

#include "apps/desktop/page_parts.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {
namespace {

QComboBox* chooser(const QString& name, QWidget* parent) {
    auto* box = new QComboBox(parent);
    box->setAccessibleName(name);
    box->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    box->setMinimumContentsLength(24);
    return box;
}

}  // namespace

MediumChooser::MediumChooser(QFormLayout& form, const QString& size_words, QWidget* parent, bool listed_only)
    : QObject(parent), m_listed_only(listed_only) {
    m_shop = chooser(tr("The shop"), parent);
    m_medium = chooser(tr("The medium"), parent);
    m_size = chooser(size_words, parent);
    m_size->setInsertPolicy(QComboBox::NoInsert);  // What is typed is no size of the shop's list.
    form.addRow(tr("Shop"), m_shop);
    form.addRow(tr("Medium"), m_medium);
    form.addRow(size_words, m_size);
    connect(m_shop, &QComboBox::currentIndexChanged, this, &MediumChooser::media_of_shop);
    connect(m_medium, &QComboBox::currentIndexChanged, this, &MediumChooser::sizes_of_medium);
    connect(m_size, &QComboBox::currentIndexChanged, this, &MediumChooser::changed);
    connect(m_size, &QComboBox::editTextChanged, this, &MediumChooser::changed);
}

void MediumChooser::set_shops(const std::vector<jobs::ShopText>& shops) {
    const QString shop_id = m_shop->currentData().toString();
    const QString medium_id = m_medium->currentData().toString();
    const QString size = m_size->currentText();
    m_shops.clear();
    m_shop->clear();
    for (const jobs::ShopText& text : shops) {
        if (text.ending != jobs::Ending::done || text.shop.media.empty()) continue;
        m_shops.push_back(text.shop);
    }
    for (const shops::Shop& one : m_shops) m_shop->addItem(shown(one.name), shown(one.id));
    choose(shop_id, medium_id, size);
}

const shops::Shop* MediumChooser::shop() const {
    const int at = m_shop->currentIndex();
    return at < 0 || at >= static_cast<int>(m_shops.size()) ? nullptr : &m_shops[static_cast<std::size_t>(at)];
}

const shops::Medium* MediumChooser::medium() const {
    const int at = m_medium->currentIndex();
    const shops::Shop* one = shop();
    if (one == nullptr || at < 0 || at >= static_cast<int>(one->media.size())) return nullptr;
    return &one->media[static_cast<std::size_t>(at)];
}

const shops::Size* MediumChooser::size() const {
    const int at = m_size->currentIndex();
    const shops::Medium* one = medium();
    if (one == nullptr || at < 0 || at >= static_cast<int>(one->sizes.size())) return nullptr;
    if (m_size->currentText() != m_size->itemText(at)) return nullptr;  // Typed.
    return &one->sizes[static_cast<std::size_t>(at)];
}

std::optional<base::SizeMm> MediumChooser::wanted() const {
    if (const shops::Size* listed = size()) return listed->finished;
    const shops::Medium* one = medium();
    if (one == nullptr || !one->free_sizes || m_listed_only) return std::nullopt;
    const auto typed = base::parse_size(m_size->currentText().toStdString());
    return typed && shops::takes_free_size(*one, *typed) ? typed : std::nullopt;
}

void MediumChooser::media_of_shop() {
    m_medium->clear();
    if (const shops::Shop* one = shop()) {
        for (const shops::Medium& each : one->media) m_medium->addItem(shown(each.name), shown(each.id));
    }
    emit changed();
}

void MediumChooser::sizes_of_medium() {
    m_size->clear();
    if (const shops::Medium* one = medium()) {
        m_size->setEditable(one->free_sizes && !m_listed_only);
        if (m_size->isEditable()) m_size->lineEdit()->setPlaceholderText(tr("such as 90x60cm: it is cut to order"));
        for (const shops::Size& each : one->sizes) m_size->addItem(shown(each.name));
    }
    emit changed();
}

void MediumChooser::choose(const QString& shop_id, const QString& medium_id, const QString& size_name) {
    const auto set = [](QComboBox* box, int at) {
        if (at >= 0) box->setCurrentIndex(at);
    };
    set(m_shop, m_shop->findData(shop_id));
    set(m_medium, m_medium->findData(medium_id));
    set(m_size, m_size->findText(size_name));
    if (m_size->isEditable() && !size_name.isEmpty()) m_size->setEditText(size_name);
}

}  // namespace hangtrue::desktop

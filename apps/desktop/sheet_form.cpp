// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/sheet_form.h"

#include <QBoxLayout>
#include <QComboBox>
#include <QFileDialog>
#include <QFormLayout>
#include <QLineEdit>
#include <QPushButton>

#include "apps/desktop/page_parts.h"
#include "apps/desktop/style.h"

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

SheetForm::SheetForm(QWidget* parent) : QWidget(parent) {
    auto* form = new QFormLayout(this);
    form->setContentsMargins(0, 0, 0, 0);
    form->setHorizontalSpacing(space::middle);
    form->setVerticalSpacing(space::small);
    const auto with_button = [this](QLineEdit* field, const QString& tip, auto choose) {
        auto* row = new QWidget(this);
        auto* layout = new QHBoxLayout(row);
        layout->setContentsMargins(0, 0, 0, 0);
        layout->setSpacing(space::small);
        layout->addWidget(field, 1);
        auto* one = button(tr("Choose…"), tip, {}, "", row);
        layout->addWidget(one);
        connect(one, &QPushButton::clicked, this, choose);
        connect(field, &QLineEdit::textChanged, this, &SheetForm::changed);
        return row;
    };
    m_picture = new QLineEdit(this);
    m_picture->setAccessibleName(tr("The picture"));
    form->addRow(tr("Picture"), with_button(m_picture, tr("The picture whose print is to come out right"), [this] {
                     const QString file = QFileDialog::getOpenFileName(this, tr("Choose a picture"));
                     if (!file.isEmpty()) m_picture->setText(file);
                 }));
    m_shop = chooser(tr("The shop"), this);
    m_medium = chooser(tr("The medium"), this);
    m_size = chooser(tr("The size of the final print"), this);
    form->addRow(tr("Shop"), m_shop);
    form->addRow(tr("Medium"), m_medium);
    form->addRow(tr("Size of the print"), m_size);
    m_folder = new QLineEdit(this);
    m_folder->setAccessibleName(tr("The folder for the sheet's file"));
    form->addRow(tr("Into folder"), with_button(m_folder, tr("Where the sheet's file and its guide go"), [this] {
                     const QString folder = QFileDialog::getExistingDirectory(this, tr("Choose a folder"));
                     if (!folder.isEmpty()) m_folder->setText(folder);
                 }));
    connect(m_shop, &QComboBox::currentIndexChanged, this, &SheetForm::media_of_shop);
    connect(m_medium, &QComboBox::currentIndexChanged, this, &SheetForm::sizes_of_medium);
    connect(m_size, &QComboBox::currentIndexChanged, this, &SheetForm::changed);
}

void SheetForm::set_shops(const std::vector<jobs::ShopText>& shops) {
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

const shops::Shop* SheetForm::shop() const {
    const int at = m_shop->currentIndex();
    return at < 0 || at >= static_cast<int>(m_shops.size()) ? nullptr : &m_shops[static_cast<std::size_t>(at)];
}

const shops::Medium* SheetForm::medium() const {
    const int at = m_medium->currentIndex();
    const shops::Shop* one = shop();
    if (one == nullptr || at < 0 || at >= static_cast<int>(one->media.size())) return nullptr;
    return &one->media[static_cast<std::size_t>(at)];
}

void SheetForm::media_of_shop() {
    m_medium->clear();
    if (const shops::Shop* one = shop()) {
        for (const shops::Medium& each : one->media) m_medium->addItem(shown(each.name), shown(each.id));
    }
    emit changed();
}

void SheetForm::sizes_of_medium() {
    m_size->clear();
    if (const shops::Medium* one = medium()) {
        for (const shops::Size& each : one->sizes) m_size->addItem(shown(each.name));
    }
    emit changed();
}

void SheetForm::choose(const QString& shop_id, const QString& medium_id, const QString& size_name) {
    const auto set = [](QComboBox* box, int at) {
        if (at >= 0) box->setCurrentIndex(at);
    };
    set(m_shop, m_shop->findData(shop_id));
    set(m_medium, m_medium->findData(medium_id));
    set(m_size, m_size->findText(size_name));
}

void SheetForm::set_picture(const QString& path) { m_picture->setText(path); }
void SheetForm::set_folder(const QString& path) { m_folder->setText(path); }

std::optional<jobs::TestSheetRequest> SheetForm::request() const {
    const shops::Medium* one = medium();
    const int size = m_size->currentIndex();
    const bool has_size = one != nullptr && size >= 0 && size < static_cast<int>(one->sizes.size());
    if (!has_size || m_picture->text().isEmpty() || m_folder->text().isEmpty()) return std::nullopt;
    jobs::TestSheetRequest request;
    request.picture = m_picture->text().toStdString();
    request.to = m_folder->text().toStdString();
    request.wish.shop = shop()->id;
    request.wish.medium = one->id;
    request.wish.size = one->sizes[static_cast<std::size_t>(size)].finished;
    return request;
}

}  // namespace hangtrue::desktop

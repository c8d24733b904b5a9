// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/sheet_form.h"

#include <QBoxLayout>
#include <QFileDialog>
#include <QFormLayout>
#include <QLineEdit>
#include <QPushButton>

#include "apps/desktop/medium_chooser.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/style.h"

namespace hangtrue::desktop {
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
    m_order = new MediumChooser(*form, tr("Size of the print"), this, true);
    m_folder = new QLineEdit(this);
    m_folder->setAccessibleName(tr("The folder for the sheet's file"));
    form->addRow(tr("Into folder"), with_button(m_folder, tr("Where the sheet's file and its guide go"), [this] {
                     const QString folder = QFileDialog::getExistingDirectory(this, tr("Choose a folder"));
                     if (!folder.isEmpty()) m_folder->setText(folder);
                 }));
    setFocusProxy(m_picture);
    connect(m_order, &MediumChooser::changed, this, &SheetForm::changed);
}

void SheetForm::set_shops(const std::vector<jobs::ShopText>& shops) { m_order->set_shops(shops); }
void SheetForm::choose(const QString& shop_id, const QString& medium_id, const QString& size_name) {
    m_order->choose(shop_id, medium_id, size_name);
}
void SheetForm::set_picture(const QString& path) { m_picture->setText(path); }
void SheetForm::set_folder(const QString& path) { m_folder->setText(path); }

QString SheetForm::missing() const {
    if (m_order->shop() == nullptr) return tr("No shop is known yet: begin one on the page Shops.");
    if (m_order->size() == nullptr)
        return tr("Its sizes are cut to order: a size to test is listed in the shop's file.");
    if (m_picture->text().isEmpty()) return tr("Choose the picture whose print is to come out right.");
    if (m_folder->text().isEmpty()) return tr("Choose the folder that the sheet's file goes into.");
    return {};
}

std::optional<jobs::TestSheetRequest> SheetForm::request() const {
    const shops::Size* size = m_order->size();
    if (size == nullptr || m_picture->text().isEmpty() || m_folder->text().isEmpty()) return std::nullopt;
    jobs::TestSheetRequest request;
    request.picture = m_picture->text().toStdString();
    request.to = m_folder->text().toStdString();
    request.wish.shop = m_order->shop()->id;
    request.wish.medium = m_order->medium()->id;
    request.wish.size = size->finished;
    return request;
}

}  // namespace hangtrue::desktop

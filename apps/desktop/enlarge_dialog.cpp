// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/enlarge_dialog.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QVBoxLayout>

#include "apps/desktop/page_parts.h"
#include "apps/desktop/style.h"

namespace hangtrue::desktop {

EnlargeDialog::EnlargeDialog(const std::filesystem::path& picture, const QString& folder, QWidget* parent)
    : QDialog(parent), m_picture(picture), m_folder(folder) {
    setWindowTitle(tr("Only enlarge it"));
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(space::large, space::large, space::large, space::large);
    layout->setSpacing(space::middle);
    layout->addWidget(plain_words(tr("Makes a larger picture of %1 for your editor: whole, in its own colours, neither "
                                     "cropped nor sharpened. The picture itself stays as it is.")
                                      .arg(shown(picture.filename())),
                                  this));
    auto* form = new QFormLayout;
    form->setSpacing(space::small);
    m_factor = new QDoubleSpinBox(this);
    m_factor->setRange(0.1, 8);
    m_factor->setSingleStep(0.5);
    m_factor->setDecimals(2);
    m_factor->setValue(2);
    m_factor->setSuffix(tr(" times"));
    m_factor->setButtonSymbols(QAbstractSpinBox::NoButtons);
    m_factor->setToolTip(tr("As wide and as high; type it, or change it with the arrow keys or the wheel"));
    form->addRow(tr("How much"), m_factor);
    m_by = new QComboBox(this);
    m_by->addItem(tr("what fits best"), static_cast<int>(plan::Enlarging::automatic));
    m_by->addItem(tr("trained network, fine"), static_cast<int>(plan::Enlarging::fine));
    m_by->addItem(tr("trained network, quick"), static_cast<int>(plan::Enlarging::quick));
    m_by->addItem(tr("filter alone"), static_cast<int>(plan::Enlarging::filter));
    form->addRow(tr("By"), m_by);
    m_grain = new QComboBox(this);
    m_grain->addItem(tr("keep the picture's grain"), static_cast<int>(enlarge::Grain::keep));
    m_grain->addItem(tr("calm it"), static_cast<int>(enlarge::Grain::calm));
    m_grain->setToolTip(tr("Where a network enlarges"));
    form->addRow(tr("Grain"), m_grain);
    auto* line = new QHBoxLayout;
    m_out = new QLineEdit(this);
    m_out->setMinimumWidth(360);
    m_out->setToolTip(tr("TIFF or PNG, by its ending"));
    connect(m_out, &QLineEdit::textEdited, this, [this] { m_is_proposed = false; });
    line->addWidget(m_out, 1);
    auto* choose = button(tr("Choose …"), tr("Where the file goes"), {}, "word", this);
    connect(choose, &QPushButton::clicked, this, &EnlargeDialog::choose_file);
    line->addWidget(choose);
    form->addRow(tr("Into"), line);
    layout->addLayout(form);
    auto* buttons = new QHBoxLayout;
    buttons->addStretch(1);
    auto* leave = button(tr("Leave it"), tr("Nothing is made"), {}, "", this);
    auto* make = button(tr("Enlarge"), tr("Queues it with the print files"), {}, "first", this);
    make->setDefault(true);
    connect(leave, &QPushButton::clicked, this, &QDialog::reject);
    connect(make, &QPushButton::clicked, this, &QDialog::accept);
    connect(m_out, &QLineEdit::textChanged, make,
            [make](const QString& text) { make->setEnabled(!text.trimmed().isEmpty()); });
    buttons->addWidget(leave);
    buttons->addWidget(make);
    layout->addLayout(buttons);
    connect(m_factor, &QDoubleSpinBox::valueChanged, this, &EnlargeDialog::propose);
    propose();
    m_factor->setFocus();
}

void EnlargeDialog::propose() {
    if (!m_is_proposed) return;
    m_out->setText(QStringLiteral("%1/%2 %3x.tif")
                       .arg(m_folder, shown(m_picture.stem()), QString::number(m_factor->value(), 'g', 3)));
}

void EnlargeDialog::choose_file() {
    const QString out =
        QFileDialog::getSaveFileName(this, tr("Where shall the larger picture go?"), m_out->text(),
                                     tr("Pictures (*.tif *.png)"), nullptr, QFileDialog::DontConfirmOverwrite);
    if (out.isEmpty()) return;
    m_is_proposed = false;
    m_out->setText(out);
}

jobs::EnlargeRequest EnlargeDialog::request() const {
    jobs::EnlargeRequest request;
    request.in = m_picture;
    request.out = m_out->text().trimmed().toStdString();
    request.factor = m_factor->value();
    request.by = static_cast<plan::Enlarging>(m_by->currentData().toInt());
    request.grain = static_cast<enlarge::Grain>(m_grain->currentData().toInt());
    return request;
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/picture_model.h"

#include "apps/desktop/page_parts.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {

PictureModel::PictureModel(QObject* parent) : QAbstractListModel(parent) {}

int PictureModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(m_pictures.size());
}

QString PictureModel::largest_words(const jobs::ListedPicture& picture) const {
    if (picture.ending != jobs::Ending::done) {
        // Its name stands above; where it lies, in the tooltip.
        return shown(picture.sentence).remove(shown(picture.path.parent_path()) + QLatin1Char('/'));
    }
    if (!picture.largest) return tr("Every size that your shops offer needs enlarging.");
    return tr("%1 on %2 without enlarging")
        .arg(shown(base::size_text(picture.largest->size, m_units)), shown(picture.largest->medium_name));
}

QString PictureModel::detail_words(const jobs::ListedPicture& picture) const {
    const double megapixels = picture.pixels.width * 1e-6 * picture.pixels.height;
    if (megapixels < 0.05) return tr("less than 0.1 megapixels");
    const QString all = shown(base::number_text(megapixels, 1));
    const double known = m_details.value(shown(picture.path)).true_megapixels;
    if (known <= 0) return tr("%1 megapixels").arg(all);
    return tr("true detail: %1 of %2 megapixels").arg(shown(base::number_text(known, 1)), all);
}

QVariant PictureModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid | CheckIndexOption::ParentIsInvalid)) return {};
    const jobs::ListedPicture& picture = m_pictures[static_cast<std::size_t>(index.row())];
    const QString path = shown(picture.path);
    const bool is_broken = picture.ending != jobs::Ending::done;
    const auto pixels = [&] {
        return tr("%1 x %2 px, %3 bit%4")
            .arg(picture.pixels.width)
            .arg(picture.pixels.height)
            .arg(picture.bits)
            .arg(picture.is_grey ? tr(", black-and-white") : QString());
    };
    switch (role) {
        case Qt::DisplayRole: return shown(picture.path.filename());
        case Qt::ToolTipRole:
            return is_broken ? shown(picture.sentence)
                             : tr("%1\n%2; %3\n%4\nEnter hangs it on the wall.")
                                   .arg(path, shown(base::bytes_text(picture.bytes)),
                                        picture.has_profile ? tr("its colour profile is in the file")
                                                            : tr("no colour profile in the file: taken as sRGB"),
                                        m_details.value(path).sentence);
        case Qt::AccessibleTextRole:
            return is_broken ? shown(picture.sentence)
                             : tr("%1: %2, %3. %4")
                                   .arg(shown(picture.path.filename()), pixels(), detail_words(picture),
                                        largest_words(picture));
        case path_role: return path;
        case thumbnail_role: return m_thumbnails.value(path);
        case pixels_role: return is_broken ? tr("cannot be opened") : pixels();
        case detail_role: return is_broken ? QString() : detail_words(picture);
        case largest_role: return largest_words(picture);
        case is_broken_role: return is_broken;
        default: return {};
    }
}

void PictureModel::set_pictures(std::vector<jobs::ListedPicture> pictures, base::ShownUnits units) {
    beginResetModel();
    m_pictures = std::move(pictures);
    m_units = units;
    endResetModel();
}

void PictureModel::set_units(base::ShownUnits units) {
    if (units == m_units) return;
    m_units = units;
    if (!m_pictures.empty()) emit dataChanged(index(0), index(rowCount() - 1), {largest_role});
}

void PictureModel::set_thumbnail(const QString& path, const QImage& thumbnail) {
    m_thumbnails.insert(path, thumbnail);
    for (int row = 0; row < rowCount(); ++row) {
        if (shown(m_pictures[static_cast<std::size_t>(row)].path) != path) continue;
        emit dataChanged(index(row), index(row), {thumbnail_role});
    }
}

void PictureModel::set_detail(const QString& path, double true_megapixels, const QString& sentence) {
    m_details.insert(path, {true_megapixels, sentence});
    for (int row = 0; row < rowCount(); ++row) {
        if (shown(m_pictures[static_cast<std::size_t>(row)].path) != path) continue;
        emit dataChanged(index(row), index(row), {detail_role});
    }
}

QString PictureModel::next_without_detail() const {
    for (const jobs::ListedPicture& picture : m_pictures) {
        if (picture.ending == jobs::Ending::done && !m_details.contains(shown(picture.path))) {
            return shown(picture.path);
        }
    }
    return {};
}

QString PictureModel::next_without_thumbnail() const {
    for (const jobs::ListedPicture& picture : m_pictures) {
        if (picture.ending == jobs::Ending::done && !m_thumbnails.contains(shown(picture.path))) {
            return shown(picture.path);
        }
    }
    return {};
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The pictures that the photographer keeps at hand, as a list for views. User's thread alone.

#include <QAbstractListModel>
#include <QHash>
#include <QImage>
#include <vector>

#include "engine/base/units_text.h"
#include "engine/jobs/picture_list.h"

namespace hangtrue::desktop {

class PictureModel : public QAbstractListModel {
    Q_OBJECT
  public:
    enum Role {
        path_role = Qt::UserRole,
        thumbnail_role,  ///< QImage; null until it came.
        pixels_role,     ///< "3264 x 2448 px, 8 bit"
        detail_role,     ///< "true detail: 5.2 of 8.0 megapixels"; "8.0 megapixels" until it was measured.
        largest_role,    ///< "12 x 8 in without enlarging: …", or what is wrong with the file.
        is_broken_role,
    };

    explicit PictureModel(QObject* parent = nullptr);

    int rowCount(const QModelIndex& parent = {}) const override;
    QVariant data(const QModelIndex& index, int role) const override;

    /// Takes the place of all; thumbnails that are known stay.
    void set_pictures(std::vector<jobs::ListedPicture> pictures, base::ShownUnits units);
    void set_units(base::ShownUnits units);
    void set_thumbnail(const QString& path, const QImage& thumbnail);
    /// What measuring told: how many megapixels would hold the picture's detail, and what that means in a sentence.
    void set_detail(const QString& path, double true_megapixels, const QString& sentence);
    /// The first that was not measured yet; empty where all were.
    QString next_without_detail() const;
    /// They are for another screen now.
    void forget_thumbnails() { m_thumbnails.clear(); }
    /// The first without a thumbnail that can have one; empty where all have theirs.
    QString next_without_thumbnail() const;

  private:
    struct Detail {
        double true_megapixels = 0;  ///< 0: could not be measured.
        QString sentence;
    };
    QString detail_words(const jobs::ListedPicture& picture) const;
    QString largest_words(const jobs::ListedPicture& picture) const;

    std::vector<jobs::ListedPicture> m_pictures;
    QHash<QString, QImage> m_thumbnails;
    QHash<QString, Detail> m_details;
    base::ShownUnits m_units = base::ShownUnits::inches;
};

}  // namespace hangtrue::desktop

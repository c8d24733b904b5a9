// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/pictures_page.h"

#include <QBoxLayout>
#include <QDragEnterEvent>
#include <QFile>
#include <QFileDialog>
#include <QLabel>
#include <QLineEdit>
#include <QListView>
#include <QMimeData>
#include <QPainter>
#include <QSaveFile>
#include <QSortFilterProxyModel>
#include <QStyledItemDelegate>
#include <algorithm>

#include "apps/desktop/bridge.h"
#include "apps/desktop/make_queue.h"
#include "apps/desktop/many_prints.h"
#include "apps/desktop/page_parts.h"
#include "apps/desktop/picture_model.h"
#include "apps/desktop/screen_profile.h"
#include "apps/desktop/style.h"
#include "engine/jobs/detail.h"

namespace hangtrue::desktop {
namespace {

constexpr QSize thumbnail_area{240, 170};

/// A picture with its words beneath; what is marked has a frame.
class PictureDelegate : public QStyledItemDelegate {
  public:
    using QStyledItemDelegate::QStyledItemDelegate;

    QSize sizeHint(const QStyleOptionViewItem&, const QModelIndex&) const override {
        const QFontMetrics strong(font_of(Text::strong));
        const QFontMetrics small(font_of(Text::small));
        return {thumbnail_area.width() + 2 * space::middle,
                thumbnail_area.height() + strong.height() + 4 * small.height() + 3 * space::middle};
    }

    void paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const override {
        painter->save();
        painter->setRenderHint(QPainter::SmoothPixmapTransform);
        const QRect area = option.rect.adjusted(space::hair, space::hair, -space::hair, -space::hair);
        if (option.state & QStyle::State_Selected) {
            painter->setPen(QPen(tones().ink, 2));
            painter->drawRect(area.adjusted(1, 1, -1, -1));
        } else if (option.state & QStyle::State_MouseOver) {
            painter->setPen(QPen(tones().edge, 1));
            painter->drawRect(area.adjusted(1, 1, -1, -1));
        }
        const QRect inside = area.adjusted(space::middle - space::hair, space::middle - space::hair,
                                           -(space::middle - space::hair), -(space::middle - space::hair));
        const QRect picture(inside.left(), inside.top(), inside.width(), thumbnail_area.height());
        const auto image = index.data(PictureModel::thumbnail_role).value<QImage>();
        if (image.isNull()) {
            painter->setPen(QPen(tones().line, 1));
            painter->drawRect(picture.adjusted(0, 0, -1, -1));
        } else {
            const QSize size = image.size().scaled(picture.size(), Qt::KeepAspectRatio);
            const QRect at(picture.left() + (picture.width() - size.width()) / 2, picture.bottom() + 1 - size.height(),
                           size.width(), size.height());
            painter->drawImage(at, image);
        }
        int y = picture.bottom() + space::small;
        const auto write = [&](const QString& text, Text look, const QColor& ink, int lines) {
            painter->setFont(font_of(look));
            painter->setPen(ink);
            const QFontMetrics metrics = painter->fontMetrics();
            const QRect line(inside.left(), y, inside.width(), lines * metrics.height());
            if (lines == 1) {
                painter->drawText(line, Qt::AlignLeft, metrics.elidedText(text, Qt::ElideMiddle, line.width()));
            } else {
                painter->drawText(line, Qt::AlignLeft | Qt::TextWordWrap, text);
            }
            y += lines * metrics.height() + 2;
        };
        write(index.data().toString(), Text::strong, tones().ink, 1);
        write(index.data(PictureModel::pixels_role).toString(), Text::small, tones().quiet_ink, 1);
        const bool is_broken = index.data(PictureModel::is_broken_role).toBool();
        if (!is_broken) write(index.data(PictureModel::detail_role).toString(), Text::small, tones().quiet_ink, 1);
        write(index.data(PictureModel::largest_role).toString(), Text::small, tones().ink, is_broken ? 3 : 2);
        painter->restore();
    }
};

QString list_file(const Bridge& bridge) { return shown(bridge.workplace().data_folder / "pictures.list"); }

}  // namespace

PicturesPage::PicturesPage(Bridge& bridge, MakeQueue& queue, Habits habits, QWidget* parent)
    : QWidget(parent), m_bridge(bridge), m_queue(queue), m_habits(std::move(habits)) {
    setAccessibleName(tr("Pictures"));
    setAcceptDrops(true);
    auto* layout = new QVBoxLayout(this);
    set_page_margins(*layout);
    // Pictures have room for their frame around them: it lies in the margin, so that they stand under the heading.
    constexpr int frame_room = space::middle + space::hair;
    layout->setContentsMargins(space::page - frame_room, space::large, space::page, space::large);

    auto* top = new QHBoxLayout;
    top->setContentsMargins(frame_room, 0, 0, 0);
    top->setSpacing(space::middle);
    top->addWidget(heading(tr("Pictures"), this));
    m_search = new QLineEdit(this);
    m_search->setPlaceholderText(tr("Search by name"));
    m_search->setAccessibleName(tr("Search pictures by name"));
    m_search->setToolTip(tr("Shows the pictures whose name holds these letters"));
    m_search->setClearButtonEnabled(true);
    empty_by_escape(*m_search);
    m_search->setMaximumWidth(320);
    top->addStretch(1);
    top->addWidget(m_search, 2);
    QPushButton* files =
        button(tr("Add pictures…"), tr("Chooses TIFF, JPEG or PNG files"), QKeySequence::Open, "", this);
    QPushButton* folder = button(tr("Add a folder…"), tr("All pictures that lie in a folder, now and later"),
                                 QKeySequence(Qt::CTRL | Qt::SHIFT | Qt::Key_O), "", this);
    QPushButton* list =
        button(tr("Open a list…"), tr("Prints that were listed in a file, as the command line takes it"),
               QKeySequence(Qt::CTRL | Qt::Key_L), "", this);
    connect(list, &QPushButton::clicked, this, &PicturesPage::choose_list);
    top->addWidget(list);
    top->addWidget(files);
    top->addWidget(folder);
    layout->addLayout(top);

    m_model = new PictureModel(this);
    m_found = new QSortFilterProxyModel(this);
    m_found->setSourceModel(m_model);
    m_found->setFilterCaseSensitivity(Qt::CaseInsensitive);
    m_view = new QListView(this);
    m_view->setAccessibleName(tr("Pictures"));
    m_view->setModel(m_found);
    m_view->setItemDelegate(new PictureDelegate(m_view));
    m_view->setViewMode(QListView::IconMode);
    m_view->setResizeMode(QListView::Adjust);
    m_view->setMovement(QListView::Static);
    m_view->setSelectionMode(QAbstractItemView::ExtendedSelection);
    m_view->setUniformItemSizes(true);
    m_view->setMouseTracking(true);
    m_view->setFrameShape(QFrame::NoFrame);
    m_view->setSpacing(space::hair);
    m_view->setStyleSheet(QStringLiteral("QListView { border: none; }"));
    layout->addWidget(m_view, 1);

    auto* foot = new QHBoxLayout;
    foot->setContentsMargins(frame_room, 0, 0, 0);
    foot->setSpacing(space::middle);
    m_words = quiet_words(QString(), this);
    foot->addWidget(m_words, 1);
    m_remove = button(tr("Leave out"), tr("Takes what is marked from this list; the files stay"),
                      QKeySequence(Qt::Key_Delete), "", this);
    m_print_all =
        button(tr("Make several prints…"), tr("One order for all marked pictures (mark several with Ctrl or Shift)"),
               QKeySequence(Qt::CTRL | Qt::Key_M), "", this);
    connect(m_print_all, &QPushButton::clicked, this, &PicturesPage::begin_prints_of_marked);
    m_hang = button(tr("Hang it on the wall"), tr("Opens the marked picture as a print"),
                    QKeySequence(Qt::CTRL | Qt::Key_Return), "first", this);
    foot->addWidget(m_remove);
    foot->addWidget(m_print_all);
    foot->addWidget(m_hang);
    layout->addLayout(foot);

    connect(files, &QPushButton::clicked, this, &PicturesPage::choose_files);
    connect(folder, &QPushButton::clicked, this, &PicturesPage::choose_folder);
    connect(m_search, &QLineEdit::textChanged, m_found, &QSortFilterProxyModel::setFilterFixedString);
    connect(m_search, &QLineEdit::textChanged, this, &PicturesPage::say_what_to_do);
    connect(m_remove, &QPushButton::clicked, this, &PicturesPage::remove_marked);
    connect(m_hang, &QPushButton::clicked, this, &PicturesPage::hang_current);
    connect(m_view, &QListView::activated, this, &PicturesPage::hang_current);
    connect(m_view->selectionModel(), &QItemSelectionModel::selectionChanged, this, &PicturesPage::say_what_to_do);
    connect(&m_bridge, &Bridge::screen_changed, this, [this] {
        m_model->forget_thumbnails();
        ask_for_thumbnail();
    });
    connect(&m_bridge, &Bridge::units_changed, this, [this] { m_model->set_units(m_bridge.workplace().units); });

    QFile kept(list_file(m_bridge));
    if (kept.open(QIODevice::ReadOnly)) {
        m_kept = QString::fromUtf8(kept.readAll()).split(QLatin1Char('\n'), Qt::SkipEmptyParts);
    }
    say_what_to_do();
}

void PicturesPage::showEvent(QShowEvent* event) {
    QWidget::showEvent(event);
    if (m_was_shown) {
        ask_for_detail();
    } else {
        refresh();
    }
    m_was_shown = true;
}

void PicturesPage::hideEvent(QHideEvent* event) {
    QWidget::hideEvent(event);
    m_measuring.cancel();
}

void PicturesPage::keep() const {
    // A name with a line break in it is left out: the list is a path a line.
    QSaveFile file(list_file(m_bridge));
    std::error_code ignored;
    std::filesystem::create_directories(m_bridge.workplace().data_folder, ignored);
    if (!file.open(QIODevice::WriteOnly)) return;
    for (const QString& path : m_kept) {
        if (!path.contains(QLatin1Char('\n'))) file.write((path + QLatin1Char('\n')).toUtf8());
    }
    file.commit();
}

void PicturesPage::add(const QStringList& paths) {
    bool is_new = false;
    for (const QString& path : paths) {
        if (path.endsWith(QLatin1String(".toml"), Qt::CaseInsensitive)) {
            begin_prints_of_list(path);
            continue;
        }
        if (path.isEmpty() || m_kept.contains(path)) continue;
        m_kept.append(path);
        is_new = true;
    }
    if (!is_new) return;
    keep();
    m_was_shown = true;
    refresh();
}

void PicturesPage::remove_marked() {
    const QModelIndexList marked = m_view->selectionModel()->selectedIndexes();
    if (marked.isEmpty()) return;
    QStringList from_folders;
    for (const QModelIndex& index : marked) {
        const QString path = index.data(PictureModel::path_role).toString();
        if (m_kept.removeAll(path) > 0) continue;
        // One of a folder: the folder goes, the others of it stay as pictures of their own.
        from_folders.append(path);
    }
    for (const QString& path : from_folders) {
        const QString folder = shown(std::filesystem::path(path.toStdString()).parent_path());
        if (m_kept.removeAll(folder) == 0) continue;
        for (int row = 0; row < m_model->rowCount(); ++row) {
            const QString other = m_model->index(row).data(PictureModel::path_role).toString();
            const bool lies_there = shown(std::filesystem::path(other.toStdString()).parent_path()) == folder;
            if (lies_there && !from_folders.contains(other) && !m_kept.contains(other)) m_kept.append(other);
        }
    }
    keep();
    refresh();
}

void PicturesPage::refresh() {
    std::vector<std::filesystem::path> kept;
    for (const QString& path : m_kept) kept.emplace_back(path.toStdString());
    m_bridge.run<std::vector<jobs::ListedPicture>>(
        Lane::list, QStringLiteral("pictures"), this,
        [kept](jobs::Context& context) {
            std::vector<std::filesystem::path> pictures;
            std::error_code ignored;
            const auto take = [&](const std::filesystem::path& picture) {
                if (std::find(pictures.begin(), pictures.end(), picture) == pictures.end()) pictures.push_back(picture);
            };
            for (const auto& path : kept) {
                if (!std::filesystem::is_directory(path, ignored)) {
                    take(path);
                    continue;
                }
                // A folder that is gone, on a drive that is not there today, shows nothing.
                jobs::ended([&] {
                    for (const auto& picture : jobs::pictures_in(path)) take(picture);
                });
            }
            return jobs::listed_pictures(pictures, context);
        },
        [this](Result<std::vector<jobs::ListedPicture>> result) {
            if (!result.is_done()) {
                m_words->setText(shown(result.ended.sentence));
                return;
            }
            m_is_known = true;
            m_model->set_pictures(std::move(*result.value), m_bridge.workplace().units);
            say_what_to_do();
            ask_for_thumbnail();
        });
}

void PicturesPage::ask_for_thumbnail() {
    if (m_is_drawing) return;
    const QString path = m_model->next_without_thumbnail();
    if (path.isEmpty()) {
        ask_for_detail();
        return;
    }
    m_is_drawing = true;
    const int side = static_cast<int>(thumbnail_area.width() * devicePixelRatioF());
    m_bridge.run<jobs::SmallPixels>(
        Lane::measure, QStringLiteral("thumbnail"), this,
        [picture = std::filesystem::path(path.toStdString()), side, screen = m_bridge.screen()](
            jobs::Context& context) { return for_screen(jobs::thumbnail(picture, side, context), screen); },
        [this, path](Result<jobs::SmallPixels> result) {
            m_is_drawing = false;
            // A picture that turns out to be damaged has an empty frame, and is not asked for again.
            QImage image = result.is_done() ? image_of(*result.value) : QImage(1, 1, QImage::Format_RGB32);
            if (!result.is_done()) image.fill(tones().line);
            m_model->set_thumbnail(path, image);
            ask_for_thumbnail();
        });
}

void PicturesPage::ask_for_detail() {
    const QString path = m_model->next_without_detail();
    if (path.isEmpty() || !isVisible() || m_measuring.is_open()) return;
    m_measuring = m_bridge.run<jobs::PictureDetail>(
        Lane::measure, QStringLiteral("detail"), this,
        [picture = std::filesystem::path(path.toStdString())](jobs::Context& context) {
            return jobs::detail({.pictures = {picture}, .report = {}}, context).pictures.at(0);
        },
        [this, path](Result<jobs::PictureDetail> result) {
            if (!result.is_done() || result.value->ending == jobs::Ending::cancelled) {
                if (isVisible()) ask_for_detail();
                return;
            }
            const jobs::PictureDetail& found = *result.value;
            const bool is_known = found.ending == jobs::Ending::done && !found.sentences.empty();
            m_model->set_detail(path, found.true_megapixels, is_known ? shown(found.sentences.front()) : QString());
            ask_for_detail();
        });
}

void PicturesPage::say_what_to_do() {
    const QModelIndexList marked = m_view->selectionModel()->selectedIndexes();
    m_hang->setEnabled(marked.size() == 1 && !marked.front().data(PictureModel::is_broken_role).toBool());
    m_remove->setEnabled(!marked.isEmpty());
    m_print_all->setEnabled(!marked.isEmpty());
    if (m_model->rowCount() == 0 && !m_is_known && !m_kept.isEmpty()) {
        m_words->setText(tr("Looking …"));
    } else if (m_model->rowCount() == 0) {
        m_words->setText(
            tr("Drop pictures or folders here, or add them above. They stay where they are and are never changed."));
    } else if (m_found->rowCount() == 0) {
        m_words->setText(tr("No picture's name holds \"%1\".").arg(m_search->text()));
    } else if (marked.size() > 1) {
        m_words->setText(
            tr("%1 pictures are marked. Enter makes prints of all of them, with one order.").arg(marked.size()));
    } else {
        m_words->setText(counted(m_found->rowCount(), tr("1 picture. Enter hangs it on the wall."),
                                 tr("%1 pictures. Enter hangs the marked one on the wall.")));
    }
}

void PicturesPage::hang_current() {
    const QModelIndexList marked = m_view->selectionModel()->selectedIndexes();
    if (marked.size() > 1) begin_prints_of_marked();
    if (marked.size() != 1 || marked.front().data(PictureModel::is_broken_role).toBool()) return;
    emit picture_chosen(marked.front().data(PictureModel::path_role).toString());
}

void PicturesPage::choose_files() {
    add(QFileDialog::getOpenFileNames(
        this, tr("Add pictures"), QString(),
        tr("Pictures (*.tif *.tiff *.jpg *.jpeg *.png *.TIF *.TIFF *.JPG *.JPEG *.PNG)")));
}

ManyPrints* PicturesPage::new_prints() {
    auto* prints = new ManyPrints(m_bridge, m_queue, m_habits.last_folder(), this);
    prints->setAttribute(Qt::WA_DeleteOnClose);
    connect(prints, &QDialog::accepted, this, [this, prints] { m_habits.set_last_folder(prints->folder()); });
    prints->open();
    return prints;
}

ManyPrints* PicturesPage::begin_prints_of_marked() {
    std::vector<std::filesystem::path> pictures;
    for (const QModelIndex& index : m_view->selectionModel()->selectedIndexes()) {
        pictures.emplace_back(index.data(PictureModel::path_role).toString().toStdString());
    }
    if (pictures.empty()) return nullptr;
    std::sort(pictures.begin(), pictures.end());
    ManyPrints* prints = new_prints();
    prints->show_pictures(std::move(pictures));
    return prints;
}

ManyPrints* PicturesPage::begin_prints_of_list(const QString& file) {
    ManyPrints* prints = new_prints();
    prints->show_list(file.toStdString());
    return prints;
}

void PicturesPage::choose_list() {
    const QString file =
        QFileDialog::getOpenFileName(this, tr("Open a list of prints"), QString(), tr("Lists of prints (*.toml)"));
    if (!file.isEmpty()) begin_prints_of_list(file);
}

void PicturesPage::choose_folder() { add({QFileDialog::getExistingDirectory(this, tr("Add a folder of pictures"))}); }

void PicturesPage::dragEnterEvent(QDragEnterEvent* event) {
    if (event->mimeData()->hasUrls()) event->acceptProposedAction();
}

void PicturesPage::dropEvent(QDropEvent* event) {
    QStringList paths;
    for (const QUrl& url : event->mimeData()->urls()) {
        if (url.isLocalFile()) paths.append(url.toLocalFile());
    }
    add(paths);
    event->acceptProposedAction();
}

}  // namespace hangtrue::desktop

// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/file_view.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <algorithm>
#include <cmath>
#include <utility>

#include "apps/desktop/order.h"
#include "apps/desktop/screen_image.h"
#include "apps/desktop/screen_profile.h"
#include "apps/desktop/style.h"
#include "engine/base/units_text.h"

namespace hangtrue::desktop {

namespace {

constexpr int block_side = 512;
constexpr std::size_t most_blocks = 160;  ///< About 120 MB.
constexpr int ask_after_ms = 30;
constexpr double step = 1.25;

/// Pixels in the screen's colours; as printed, what that rests on.
struct Shown {
    jobs::ScreenPixels pixels;
    QString words;
};

Shown shown_window(jobs::PictureAtHand& picture, const jobs::SettledPrint& print, FileView::State state, int panel,
                   base::PixelRect window, double scale, const std::filesystem::path& made, bool hatched,
                   const SharedScreen& screen, jobs::Context& context) {
    if (!made.empty() && state == FileView::State::as_planned) {
        return {for_screen(jobs::made_window(made, window, scale, context), screen), {}};
    }
    if (state != FileView::State::printed) {
        return {for_screen(picture.window(print, panel, window, scale, context), screen), {}};
    }
    const std::vector<std::byte> icc = screen ? screen->icc : std::vector<std::byte>();
    const jobs::ProofWish proof{.hatch = hatched};
    jobs::PrintedPixels printed = picture.printed(print, panel, window, scale, proof, icc, context);
    QStringList words;
    if (hatched) {
        words << (printed.hatches ? FileView::tr("Hatched: colours that this print cannot show.")
                                  : FileView::tr("Nothing is hatched: without a print profile from the shop nobody "
                                                 "knows which colours it cannot show."));
    }
    for (const std::string& sentence : printed.sentences) words << QString::fromStdString(sentence);
    return {std::move(printed.pixels), words.join(QLatin1Char(' '))};
}

}  // namespace

FileView::FileView(Order& order, QWidget* parent) : QWidget(parent), m_order(order) {
    setFocusPolicy(Qt::StrongFocus);
    setMinimumSize(300, 220);
    setCursor(Qt::OpenHandCursor);
    setAccessibleName(tr("The print file's pixels"));
    setAttribute(Qt::WA_OpaquePaintEvent);
    m_ask.setSingleShot(true);
    m_ask.setInterval(ask_after_ms);
    connect(&m_ask, &QTimer::timeout, this, &FileView::ask);
    connect(&m_order, &Order::settled_changed, this, &FileView::forget);
    connect(&m_order, &Order::made_changed, this, [this] {
        if (!made_jpeg().empty()) forget();
    });
    connect(&m_order.bridge(), &Bridge::screen_changed, this, &FileView::forget);
    connect(&m_order, &Order::image_changed, this, qOverload<>(&QWidget::update));
    connect(&m_order, &Order::picture_changed, this, [this] {
        m_has_centre = false;
        m_panel = 1;
        forget();
    });
}

void FileView::set_way(Way way) {
    m_way = way;
    m_ask.start();
    update();
    emit scale_changed();
}

void FileView::set_screen(double pixels_per_mm) {
    m_pixels_per_mm = pixels_per_mm;
    m_ask.start();
    update();
    emit scale_changed();
}

void FileView::set_panel(int panel) {
    const int count = static_cast<int>(m_order.shape().plans.size());
    m_panel = std::clamp(panel, 1, std::max(1, count));
    clamp_centre();
    m_ask.start();
    update();
    emit scale_changed();
}

void FileView::set_centre(QPointF file_px) {
    m_centre = file_px;
    m_has_centre = true;
    clamp_centre();
    if (!m_ask.isActive()) m_ask.start();  // A steady drag must not put it off for ever.
    update();
}

void FileView::set_stepped_back(double times) {
    m_stepped_back = std::clamp(times, 1.0, 12.0);
    m_ask.start();
    update();
    emit scale_changed();
}

/// The settled plan, else the shape: both have the file's grid.
const plan::Plan* FileView::plan() const {
    const auto settled = m_order.settled();
    const auto& plans = settled ? settled->plans : m_order.shape().plans;
    if (plans.empty()) return nullptr;
    return &plans[static_cast<std::size_t>(std::clamp(m_panel, 1, static_cast<int>(plans.size())) - 1)];
}

std::shared_ptr<const jobs::SettledPrint> FileView::print_of(State state) const {
    if (state == State::as_planned || state == State::printed) return m_order.settled();
    const auto found = m_others.find(state);
    return found == m_others.end() ? nullptr : found->second;
}

/// A made lossy file is shown as it decodes; empty where there is none.
std::filesystem::path FileView::made_jpeg() const {
    for (const jobs::MadeFile& made : m_order.made()) {
        if (made.plan.panel == m_panel && made.plan.file.format == raster::FileFormat::jpeg) return made.file;
    }
    return {};
}

double FileView::scale() const {
    if (m_way == Way::dots || plan() == nullptr) return 1;
    return jobs::true_size_scale(*plan(), m_pixels_per_mm, m_stepped_back);
}

QString FileView::scale_words() const {
    if (plan() == nullptr) return {};
    QString words;
    if (m_way == Way::dots) {
        const auto mm = base::length_of(width() * devicePixelRatioF(), plan()->ppi);
        words = tr("Dot for dot: one pixel of the file is one pixel of the screen. The view is %1 wide on the print.")
                    .arg(QString::fromStdString(base::length_text(mm, m_order.bridge().workplace().units)));
        if (plan()->file.format == raster::FileFormat::jpeg) {
            words += made_jpeg().empty() ? tr(" Shown as it goes to the JPEG's encoder.")
                                         : tr(" Shown as the made JPEG decodes.");
        }
    } else if (m_stepped_back > 1) {
        words = tr("As it looks from %1 times the distance of your eye to the screen.")
                    .arg(QString::fromStdString(base::number_text(m_stepped_back, 1)));
    } else {
        words = tr("True size: 10 cm on the print are 10 cm here.");
    }
    if (m_order.shape().plans.size() > 1) {
        words += tr(" Panel %1 of %2 (Page up, Page down).").arg(m_panel).arg(m_order.shape().plans.size());
    }
    switch (m_shown) {
        case State::unsharpened: words = tr("WITHOUT SHARPENING. ") + words; break;
        case State::uncorrected: words = tr("WITHOUT THE CORRECTION. ") + words; break;
        case State::printed: words = tr("AS PRINTED. ") + m_proof_words; break;
        case State::as_planned: break;
    }
    return words;
}

void FileView::clamp_centre() {
    if (plan() == nullptr) return;
    const base::PixelSize file = plan()->geometry.file;
    if (!m_has_centre) m_centre = {file.width / 2.0, file.height / 2.0};
    m_centre.setX(std::clamp(m_centre.x(), 0.0, static_cast<double>(file.width)));
    m_centre.setY(std::clamp(m_centre.y(), 0.0, static_cast<double>(file.height)));
}

/// In file pixels; dot for dot a whole number, so that no pixel is smeared.
QPointF FileView::top_left() const {
    const double dpr = devicePixelRatioF();
    const QPointF corner = m_centre - QPointF(width() * dpr, height() * dpr) / scale() / 2;
    return m_way == Way::dots ? QPointF(std::floor(corner.x()), std::floor(corner.y())) : corner;
}

base::PixelRect FileView::seen() const {
    if (plan() == nullptr) return {};
    const double dpr = devicePixelRatioF(), s = scale();
    const QPointF corner = top_left();
    const base::PixelRect view{static_cast<int>(std::floor(corner.x())), static_cast<int>(std::floor(corner.y())),
                               static_cast<int>(std::ceil(width() * dpr / s)) + 1,
                               static_cast<int>(std::ceil(height() * dpr / s)) + 1};
    return base::intersection(view, {0, 0, plan()->geometry.file.width, plan()->geometry.file.height});
}

void FileView::forget() {
    ++m_generation;
    m_blocks.clear();
    m_first_sights.clear();
    m_used.clear();
    m_others.clear();
    m_scaled.clear();
    m_is_asking = false;
    m_trouble.clear();
    clamp_centre();
    if (m_shown != State::as_planned) ask_state(m_shown);
    m_ask.start();
    update();
    emit scale_changed();
}

void FileView::show_state(State state) {
    if (state == m_shown) return;
    m_shown = state;
    if (state != State::as_planned && !print_of(state)) ask_state(state);
    m_ask.start();
    update();
    emit scale_changed();
}

void FileView::set_hatched(bool hatched) {
    if (hatched == m_is_hatched) return;
    m_is_hatched = hatched;
    m_proof_words.clear();
    forget();
}

void FileView::ask_state(State state) {
    jobs::WishWords words = m_order.words();
    words[state == State::unsharpened ? "sharpen" : "correction"] = state == State::unsharpened ? "off" : "none";
    if (!m_order.settled()) return;
    m_order.bridge().run<std::shared_ptr<const jobs::SettledPrint>>(
        Lane::measure, QStringLiteral("state %1").arg(static_cast<int>(state)), this,
        [hands = m_order.hands(), wish = jobs::wish_of(words)](jobs::Context& context) {
            return std::make_shared<const jobs::SettledPrint>(hands->measuring->settled(wish, context));
        },
        [this, state, generation = m_generation](Result<std::shared_ptr<const jobs::SettledPrint>> result) {
            if (generation != m_generation || result.ended.ending == jobs::Ending::cancelled) return;
            if (!result.is_done()) {
                m_trouble = QString::fromStdString(result.ended.sentence);
                update();
                return;
            }
            m_others[state] = *result.value;
            m_ask.start();
        });
}

void FileView::ask() {
    if (!isVisible() || m_is_asking || !m_order.settled() || !m_order.hands()->looking) return;
    clamp_centre();
    if (m_way == Way::dots || scale() >= 1)
        ask_block();
    else
        ask_scaled();
}

const FileView::Scaled* FileView::shown_scaled() const {
    const auto known = m_scaled.find(m_shown);
    return known == m_scaled.end() || known->second.panel != m_panel ? nullptr : &known->second;
}

bool FileView::has_first_sights() const {
    const plan::Plan* settled = m_order.settled() ? plan() : nullptr;
    const bool is_decoded = m_shown == State::as_planned && !made_jpeg().empty();
    return settled != nullptr && settled->network.doublings > 0 && !is_decoded;
}

std::optional<FileView::Block> FileView::missing_block(bool even_as_first_sight) const {
    const base::PixelRect view = seen();
    if (view.empty()) return std::nullopt;
    std::optional<Block> nearest;
    double least = 0;
    for (int row = view.y / block_side; row * block_side < view.bottom(); ++row) {
        for (int column = view.x / block_side; column * block_side < view.right(); ++column) {
            const Block block{m_shown, m_panel, column, row};
            if (m_blocks.contains(block) || (even_as_first_sight && m_first_sights.contains(block))) continue;
            const double away =
                std::hypot((column + 0.5) * block_side - m_centre.x(), (row + 0.5) * block_side - m_centre.y());
            if (nearest && away >= least) continue;
            nearest = block;
            least = away;
        }
    }
    return nearest;
}

void FileView::ask_block() {
    auto block = has_first_sights() ? missing_block(/*even_as_first_sight=*/true) : std::nullopt;
    const bool is_first_sight = block.has_value();
    if (!block) block = missing_block();
    const auto print = print_of(m_shown);
    if (!block || !print) return;
    m_is_asking = true;
    const auto [state, panel, column, row] = *block;
    const base::PixelRect window{column * block_side, row * block_side, block_side, block_side};
    m_order.bridge().run<Shown>(
        Lane::look, QStringLiteral("block"), this,
        [hands = m_order.hands(), print, state = state, panel = panel, window, made = made_jpeg(),
         hatched = m_is_hatched, screen = m_order.bridge().screen(), is_first_sight](jobs::Context& context) {
            return shown_window(*hands->looking, is_first_sight ? jobs::by_filter(*print) : *print, state, panel,
                                window, 1, made, hatched, screen, context);
        },
        [this, is_first_sight, block = *block, generation = m_generation](Result<Shown> result) {
            if (generation != m_generation) return;
            m_is_asking = false;
            if (!result.is_done()) {
                m_trouble = QString::fromStdString(result.ended.sentence);
                update();
                return;
            }
            if (is_first_sight) {
                // A long drag asks for nothing else: those of places long left must not pile up.
                if (m_first_sights.size() >= most_blocks) m_first_sights.clear();
                m_first_sights[block] = image_of(result.value->pixels);
            } else {
                keep(block, image_of(result.value->pixels));
            }
            take_proof_words(result.value->words);
            update();
            ask();
        });
}

void FileView::take_proof_words(const QString& words) {
    if (words.isEmpty() || words == m_proof_words) return;
    m_proof_words = words;
    emit scale_changed();
}

void FileView::keep(const Block& block, QImage image) {
    m_blocks[block] = std::move(image);
    m_first_sights.erase(block);
    m_used.push_back(block);
    while (m_blocks.size() > most_blocks) {
        m_blocks.erase(m_used.front());
        m_used.pop_front();
    }
}

void FileView::ask_scaled() {
    const base::PixelRect window = seen();
    const auto print = print_of(m_shown);
    if (window.empty() || !print) return;
    const Scaled* known = shown_scaled();
    if (known != nullptr && known->window == window && known->scale == scale()) {
        return;
    }
    m_order.bridge().run<Shown>(
        Lane::look, QStringLiteral("scaled"), this,
        [hands = m_order.hands(), print, state = m_shown, panel = m_panel, window, s = scale(), made = made_jpeg(),
         hatched = m_is_hatched, screen = m_order.bridge().screen()](jobs::Context& context) {
            return shown_window(*hands->looking, *print, state, panel, window, s, made, hatched, screen, context);
        },
        [this, window, s = scale(), state = m_shown, panel = m_panel, generation = m_generation](Result<Shown> result) {
            if (generation != m_generation) return;
            if (!result.is_done()) {
                m_trouble = QString::fromStdString(result.ended.sentence);
            } else {
                m_scaled[state] = Scaled{image_of(result.value->pixels), window, s, panel};
                take_proof_words(result.value->words);
            }
            update();
        });
}

bool FileView::is_complete() const {
    if (!print_of(m_shown) || plan() == nullptr) return false;
    if (m_way == Way::dots || scale() >= 1) return !missing_block();
    const Scaled* known = shown_scaled();
    return known != nullptr && known->window == seen() && known->scale == scale();
}

std::optional<QRgb> FileView::pixel_at(int file_x, int file_y) const {
    const auto found = m_blocks.find({m_shown, m_panel, file_x / block_side, file_y / block_side});
    if (found == m_blocks.end()) return std::nullopt;
    const QPoint inside(file_x % block_side, file_y % block_side);
    if (!found->second.rect().contains(inside)) return std::nullopt;
    return found->second.pixel(inside);
}

/// The small picture, where the file's pixels are still being computed.
void FileView::paint_below(QPainter& painter) const {
    const QImage image = m_order.image();
    const base::PixelSize whole = m_order.picture_size();
    if (image.isNull() || whole.width <= 0) return;
    const plan::Geometry& geometry = plan()->geometry;
    const double s = scale();
    const QPointF corner = top_left();
    const auto place = [&](const base::PixelRect& r) {
        return QRectF((r.x - corner.x()) * s, (r.y - corner.y()) * s, r.width * s, r.height * s);
    };
    const auto& c = geometry.fill_colour.srgb;
    painter.fillRect(place({0, 0, geometry.file.width, geometry.file.height}), QColor(c[0], c[1], c[2]));
    const double k = static_cast<double>(image.width()) / whole.width;
    painter.setRenderHint(QPainter::SmoothPixmapTransform);
    painter.drawImage(
        place(geometry.image), image,
        QRectF(geometry.crop.x * k, geometry.crop.y * k, geometry.crop.width * k, geometry.crop.height * k));
    painter.setRenderHint(QPainter::SmoothPixmapTransform, false);
}

void FileView::paint_blocks(QPainter& painter, const std::map<Block, QImage>& blocks) const {
    const QPointF corner = top_left();
    const double s = scale();
    for (const auto& [block, image] : blocks) {
        const auto& [state, panel, column, row] = block;
        if (state != m_shown || panel != m_panel) continue;
        const QRectF at((column * block_side - corner.x()) * s, (row * block_side - corner.y()) * s, image.width() * s,
                        image.height() * s);
        if (s == 1)
            painter.drawImage(at.topLeft().toPoint(), image);
        else
            painter.drawImage(at, image);
    }
}

void FileView::paintEvent(QPaintEvent*) {
    QPainter painter(this);
    const Tones& t = tones();
    painter.fillRect(rect(), t.wall_foot);
    if (plan() == nullptr) return;
    const double dpr = devicePixelRatioF();
    painter.save();
    painter.scale(1 / dpr, 1 / dpr);  // From here on in the screen's own pixels.
    paint_below(painter);
    const QPointF corner = top_left();
    const double s = scale();
    if (m_way == Way::dots || s >= 1) {
        painter.setRenderHint(QPainter::SmoothPixmapTransform, s > 1);
        paint_blocks(painter, m_first_sights);
        paint_blocks(painter, m_blocks);
    } else if (const Scaled* known = shown_scaled()) {
        const base::PixelRect& w = known->window;
        const QRectF at((w.x - corner.x()) * s, (w.y - corner.y()) * s, w.width * s, w.height * s);
        if (known->scale == s)
            painter.drawImage(at.topLeft().toPoint(), known->image);
        else
            painter.drawImage(at, known->image);
    }
    painter.restore();
    const QString said = !m_trouble.isEmpty() ? m_trouble
                         : is_complete()      ? QString()
                                              : tr("Computing the file's pixels …");
    if (!said.isEmpty()) {
        const QRect line =
            painter.boundingRect(QRect(0, 0, width() - 2 * space::large, height()), Qt::TextWordWrap, said)
                .adjusted(-space::small, -space::hair, space::small, space::hair);
        const QRect at(QPoint(space::middle, height() - line.height() - space::middle), line.size());
        painter.fillRect(at, t.raised);
        painter.setPen(t.ink);
        painter.drawText(at, Qt::AlignCenter | Qt::TextWordWrap, said);
    }
    if (hasFocus()) {
        painter.setPen(t.edge);
        painter.drawRect(rect().adjusted(0, 0, -1, -1));
    }
}

void FileView::resizeEvent(QResizeEvent*) {
    m_ask.start();
    emit scale_changed();
}
void FileView::showEvent(QShowEvent*) { m_ask.start(); }

void FileView::mousePressEvent(QMouseEvent* event) {
    m_dragged_from = event->position();
    setCursor(Qt::ClosedHandCursor);
}

void FileView::mouseMoveEvent(QMouseEvent* event) {
    if (!m_dragged_from) return;
    const QPointF moved = (event->position() - *m_dragged_from) * devicePixelRatioF() / scale();
    m_dragged_from = event->position();
    set_centre(m_centre - moved);
}

void FileView::mouseReleaseEvent(QMouseEvent*) {
    m_dragged_from.reset();
    setCursor(Qt::OpenHandCursor);
}

void FileView::keyPressEvent(QKeyEvent* event) {
    const double by = (event->modifiers().testFlag(Qt::ShiftModifier) ? 10 : 80) / scale();
    switch (event->key()) {
        case Qt::Key_Left: set_centre(m_centre - QPointF(by, 0)); return;
        case Qt::Key_Right: set_centre(m_centre + QPointF(by, 0)); return;
        case Qt::Key_Up: set_centre(m_centre - QPointF(0, by)); return;
        case Qt::Key_Down: set_centre(m_centre + QPointF(0, by)); return;
        case Qt::Key_PageUp: set_panel(m_panel - 1); return;
        case Qt::Key_PageDown: set_panel(m_panel + 1); return;
        case Qt::Key_Minus:
            if (m_way == Way::true_size) set_stepped_back(m_stepped_back * step);
            return;
        case Qt::Key_Plus:
        case Qt::Key_Equal:
            if (m_way == Way::true_size) set_stepped_back(m_stepped_back / step);
            return;
        case Qt::Key_S:
            if (!event->isAutoRepeat()) show_state(State::unsharpened);
            return;
        case Qt::Key_P:
            if (!event->isAutoRepeat()) show_state(State::printed);
            return;
        case Qt::Key_K:
            if (!event->isAutoRepeat()) show_state(State::uncorrected);
            return;
        default: QWidget::keyPressEvent(event);
    }
}

void FileView::keyReleaseEvent(QKeyEvent* event) {
    if (event->isAutoRepeat()) return;
    if (event->key() == Qt::Key_S || event->key() == Qt::Key_K || event->key() == Qt::Key_P)
        show_state(State::as_planned);
    else
        QWidget::keyReleaseEvent(event);
}

void FileView::focusOutEvent(QFocusEvent* event) {
    show_state(State::as_planned);
    QWidget::focusOutEvent(event);
}

}  // namespace hangtrue::desktop

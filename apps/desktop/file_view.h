// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The print file's own pixels: dot for dot, or in true size. Dragging and the arrow keys move over it; a held key
/// swaps in the other state in place.
///
/// Dot for dot, one file pixel is one pixel of the screen, exactly as the file holds it, in blocks that are kept. Where
/// a network enlarges, what the filter makes of a block stands in its place until then. In true size the engine's own
/// resampler brings the window to the screen.

#include <QImage>
#include <QTimer>
#include <QWidget>
#include <list>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <tuple>

#include "apps/desktop/bridge.h"
#include "engine/jobs/screen.h"

namespace hangtrue::desktop {

class Order;

class FileView : public QWidget {
    Q_OBJECT
  public:
    enum class Way { dots, true_size };
    /// What a held key shows instead.
    enum class State { as_planned, unsharpened, uncorrected, printed };

    FileView(Order& order, QWidget* parent);
    void set_way(Way way);
    /// Device pixels of the screen a millimetre.
    void set_screen(double pixels_per_mm);
    void set_panel(int panel);
    int panel() const { return m_panel; }
    /// The middle of what is seen, in file pixels.
    void set_centre(QPointF file_px);
    QPointF centre() const { return m_centre; }
    double stepped_back() const { return m_stepped_back; }
    void set_stepped_back(double times);
    QString scale_words() const;
    /// Whether all that is seen is there as the file holds it.
    bool is_complete() const;
    State shown() const { return m_shown; }
    void show_state(State state);
    /// As printed, colours that the print cannot show are hatched where its limits are known.
    void set_hatched(bool hatched);
    bool is_hatched() const { return m_is_hatched; }
    /// The part of the file that is seen, in file pixels.
    base::PixelRect seen() const;
    /// Blocks in whose place the filter's stand so far.
    int first_sights() const { return static_cast<int>(m_first_sights.size()); }
    /// Of the blocks on the screen: the pixel of the file, or null.
    std::optional<QRgb> pixel_at(int file_x, int file_y) const;

  signals:
    void scale_changed();

  protected:
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    void showEvent(QShowEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mouseReleaseEvent(QMouseEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    void keyReleaseEvent(QKeyEvent* event) override;
    void focusOutEvent(QFocusEvent* event) override;

  private:
    using Block = std::tuple<State, int, int, int>;  ///< State, panel, column, row.
    struct Scaled {
        QImage image;
        base::PixelRect window;
        double scale = 0;
        int panel = 0;
    };

    const plan::Plan* plan() const;
    std::shared_ptr<const jobs::SettledPrint> print_of(State state) const;
    std::filesystem::path made_jpeg() const;
    double scale() const;
    /// Of the state that is shown, where it is known; nothing else is ever shown under its name.
    const Scaled* shown_scaled() const;
    QPointF top_left() const;
    void clamp_centre();
    void forget();
    void ask();
    void ask_block();
    void ask_scaled();
    void ask_state(State state);
    bool has_first_sights() const;
    /// Of those seen the nearest to the middle; `even_as_first_sight`: of those of which nothing is there at all.
    std::optional<Block> missing_block(bool even_as_first_sight = false) const;
    void keep(const Block& block, QImage image);
    void take_proof_words(const QString& words);
    void paint_below(QPainter& painter) const;
    void paint_blocks(QPainter& painter, const std::map<Block, QImage>& blocks) const;

    Order& m_order;
    Way m_way = Way::dots;
    State m_shown = State::as_planned;
    double m_pixels_per_mm = 3.78;
    double m_stepped_back = 1;
    int m_panel = 1;
    QPointF m_centre;
    bool m_has_centre = false;
    std::optional<QPointF> m_dragged_from;
    std::map<Block, QImage> m_blocks;
    std::map<Block, QImage> m_first_sights;
    std::list<Block> m_used;  ///< Oldest first.
    std::map<State, std::shared_ptr<const jobs::SettledPrint>> m_others;
    std::map<State, Scaled> m_scaled;  ///< One a state, so that a held key swaps them in place.
    bool m_is_asking = false;
    bool m_is_hatched = false;
    int m_generation = 0;   ///< Answers of an earlier plan are dropped.
    QString m_proof_words;  ///< What the view as printed rests on.
    QString m_trouble;
    QTimer m_ask;
};

}  // namespace hangtrue::desktop

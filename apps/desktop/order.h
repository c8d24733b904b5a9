// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What is being ordered: one picture, its wish in words, and what the engine says of them.
///
/// It asks through the bridge: first the shape of the print, as fast as a header is read, then the whole plan with its
/// findings. Every change of the wish can be undone; it is kept, by the picture's content, at most two seconds later.

#include <QImage>
#include <QObject>
#include <QString>
#include <QTimer>
#include <QUndoStack>
#include <filesystem>
#include <memory>
#include <optional>

#include "apps/desktop/bridge.h"
#include "apps/desktop/settings.h"
#include "engine/jobs/kept_wishes.h"
#include "engine/jobs/look.h"
#include "engine/jobs/make.h"
#include "engine/jobs/room.h"
#include "engine/jobs/screen.h"

namespace hangtrue::desktop {

/// The picture as each lane has it open: a lane touches its own alone.
struct Hands {
    std::shared_ptr<jobs::PictureAtHand> looking;
    std::shared_ptr<jobs::PictureAtHand> measuring;
};

class Order : public QObject {
    Q_OBJECT
  public:
    Order(Bridge& bridge, Habits habits, QObject* parent = nullptr);
    ~Order() override;

    /// Takes the picture down that hangs and hangs this one: with `words`, else with those kept for it, else as
    /// first_words says. With `words`, those kept for it are the step before, and stay kept until something is changed.
    void hang(const std::filesystem::path& picture, const std::optional<jobs::WishWords>& words = std::nullopt);
    void load_shops();
    /// Pictures opened with this one: they can be hung, or made with the same order.
    const std::vector<std::filesystem::path>& others() const { return m_others; }
    void set_others(std::vector<std::filesystem::path> others);

    bool has_picture() const { return !m_path.empty(); }
    const std::filesystem::path& path() const { return m_path; }
    /// The file's name without its ending, as it stands in the sentence.
    QString title() const;
    QImage image() const { return m_image; }  ///< The whole picture, small, in the screen's colours; null until read.
    base::PixelSize picture_size() const { return m_picture_size; }
    bool profile_assumed() const { return m_profile_assumed; }

    const jobs::WishWords& words() const { return m_words; }
    QString word(const char* key) const;  ///< Empty where the wish leaves it open.
    plan::Wish wish() const;
    const shops::ShopFolder& shops() const { return m_shops; }
    const shops::Shop* shop() const;
    const shops::Medium* medium() const;

    /// One step that can be undone; an empty value takes the word out. What cannot be said at all is `trouble`.
    /// Steps with the same `merge` that follow one another become one.
    void set_word(const QString& what, const char* key, const QString& value, int merge = -1);
    void set_words(const QString& what, const jobs::WishWords& words, int merge = -1);
    QUndoStack& undo_stack() { return m_undo; }

    const jobs::SettledPrint& shape() const { return m_shape; }
    const jobs::Room& room() const { return m_room; }
    bool has_shape() const { return !m_shape.plans.empty(); }
    /// Null while it is being settled.
    std::shared_ptr<const jobs::SettledPrint> settled() const { return m_settled; }
    /// What would go wrong; until the print's own pixels were looked at, what the plan alone tells.
    const std::vector<checks::Finding>& findings() const { return m_findings; }
    bool are_findings_whole() const { return m_are_findings_whole; }
    /// How high the middle of the print hangs above the floor; of the room, not of the wish.
    base::Millimetres hanging_height() const { return m_hanging_height; }
    void set_hanging_height(base::Millimetres height);
    /// The files that were made of exactly this order, one a panel; none before, and none after a change.
    const std::vector<jobs::MadeFile>& made() const { return m_made; }
    void set_made(std::vector<jobs::MadeFile> files);
    const std::optional<plan::MediumSizes>& sizes() const { return m_sizes; }
    const QString& trouble() const { return m_trouble; }
    const QString& working() const { return m_working; }  ///< "measuring"; empty when all is known.
    std::shared_ptr<Hands> hands() const { return m_hands; }
    Bridge& bridge() { return m_bridge; }
    const Habits& habits() const { return m_habits; }

    void keep_now();

  signals:
    void picture_changed();  ///< Another one, or none.
    void image_changed();
    void others_changed();
    void words_changed();
    void shape_changed();
    void settled_changed();  ///< The plan is there, or has gone stale.
    void findings_changed();
    void made_changed();
    void sizes_changed();
    void shops_changed();
    void trouble_changed();
    void working_changed();

  private:
    friend class WordsStep;
    void take_words(const jobs::WishWords& words);
    void settle_soon();
    void ask_shape();
    void take_shape(jobs::SettledPrint shape);
    void ask_whole();
    void look_over();
    void ask_sizes();
    void take_sizes(plan::MediumSizes sizes);
    void ask_content();
    /// The first step that can be undone leads from the wish that was kept to the order it was hung with.
    void step_from_kept(const jobs::WishWords& kept);
    /// The whole picture, small, in the screen's colours.
    void ask_image();
    void set_trouble(const QString& sentence);
    void set_working(const QString& what);

    Bridge& m_bridge;
    Habits m_habits;
    QUndoStack m_undo;
    std::filesystem::path m_path;
    std::vector<std::filesystem::path> m_others;
    QImage m_image;
    base::PixelSize m_picture_size;
    bool m_profile_assumed = false;
    jobs::WishWords m_words;
    std::optional<jobs::WishWords> m_hung_as;  ///< The order that it was hung with: a record's.
    bool m_words_are_users = false;            ///< Kept words that arrive late do not replace what was done meanwhile.
    shops::ShopFolder m_shops;
    jobs::SettledPrint m_shape;
    jobs::Room m_room;
    std::shared_ptr<const jobs::SettledPrint> m_settled;
    std::vector<checks::Finding> m_findings;
    std::vector<jobs::MadeFile> m_made;
    bool m_are_findings_whole = false;
    base::Millimetres m_hanging_height = jobs::usual_hanging_height;
    std::optional<plan::MediumSizes> m_sizes;
    std::optional<base::Sha256> m_content;
    QString m_trouble;
    QString m_working;
    std::shared_ptr<Hands> m_hands;
    QTimer m_keep;
    QTimer m_settle;
    bool m_is_unkept = false;
};

}  // namespace hangtrue::desktop

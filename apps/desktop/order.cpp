// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/order.h"

#include <QUndoCommand>
#include <utility>

#include "apps/desktop/screen_image.h"
#include "apps/desktop/screen_profile.h"
#include "engine/base/error.h"
#include "engine/jobs/make.h"

namespace hangtrue::desktop {

namespace {

/// The longest side of the small picture that hangs on the wall and fills a large screen.
constexpr int coarse_side = 1200;
constexpr int fine_side = 2600;
constexpr int keep_after_ms = 2000;
constexpr int settle_after_ms = 120;

struct FirstSight {
    std::shared_ptr<jobs::PictureAtHand> picture;
    jobs::ScreenPixels coarse;
    jobs::WishWords words;
};

}  // namespace

/// One step of the wish.
class WordsStep : public QUndoCommand {
  public:
    WordsStep(Order& order, jobs::WishWords before, jobs::WishWords after, const QString& what, int merge)
        : QUndoCommand(what), m_order(order), m_before(std::move(before)), m_after(std::move(after)), m_merge(merge) {}
    int id() const override { return m_merge; }
    bool mergeWith(const QUndoCommand* other) override {
        m_after = static_cast<const WordsStep*>(other)->m_after;
        return true;
    }
    void undo() override { m_order.take_words(m_before); }
    void redo() override { m_order.take_words(m_after); }

  private:
    Order& m_order;
    jobs::WishWords m_before, m_after;
    int m_merge;
};

Order::Order(Bridge& bridge, Habits habits, QObject* parent)
    : QObject(parent), m_bridge(bridge), m_habits(std::move(habits)), m_hands(std::make_shared<Hands>()) {
    m_keep.setSingleShot(true);
    m_keep.setInterval(keep_after_ms);
    connect(&m_keep, &QTimer::timeout, this, [this] {
        // Hung as a record's order: what was kept for the picture is read first, then it can be taken back.
        if (!m_hung_as || m_content) keep_now();
    });
    m_settle.setSingleShot(true);
    m_settle.setInterval(settle_after_ms);
    connect(&m_settle, &QTimer::timeout, this, &Order::ask_whole);
    connect(&m_bridge, &Bridge::units_changed, this, [this] {
        emit words_changed();
        settle_soon();
    });
    connect(&m_bridge, &Bridge::screen_changed, this, &Order::ask_image);
    if (const auto height = m_habits.hanging_height_mm()) m_hanging_height = {*height};
    load_shops();
}

Order::~Order() = default;

void Order::load_shops() {
    m_bridge.run<shops::ShopFolder>(
        Lane::look, QStringLiteral("shops"), this, [](jobs::Context& context) { return jobs::known_shops(context); },
        [this](Result<shops::ShopFolder> result) {
            if (!result.is_done()) {
                set_trouble(QString::fromStdString(result.ended.sentence));
                return;
            }
            m_shops = std::move(*result.value);
            emit shops_changed();
            if (has_picture() && m_words.contains("shop")) settle_soon();
        });
}

void Order::set_others(std::vector<std::filesystem::path> others) {
    m_others = std::move(others);
    emit others_changed();
}

QString Order::title() const {
    return QString::fromStdString(m_path.stem().string()).replace(QLatin1Char('_'), QLatin1Char(' '));
}

QString Order::word(const char* key) const {
    const auto found = m_words.find(key);
    return found == m_words.end() ? QString() : QString::fromStdString(found->second);
}

plan::Wish Order::wish() const { return jobs::wish_of(m_words); }

const shops::Shop* Order::shop() const {
    for (const shops::Shop& known : m_shops.shops) {
        if (known.id == word("shop").toStdString()) return &known;
    }
    return nullptr;
}

const shops::Medium* Order::medium() const {
    const shops::Shop* from = shop();
    if (from == nullptr) return nullptr;
    for (const shops::Medium& offered : from->media) {
        if (offered.id == word("medium").toStdString()) return &offered;
    }
    return nullptr;
}

void Order::hang(const std::filesystem::path& picture, const std::optional<jobs::WishWords>& words) {
    keep_now();
    m_undo.clear();
    m_path = picture;
    m_image = {};
    m_picture_size = {};
    m_words = words.value_or(jobs::WishWords{});
    m_hung_as = words;
    m_words_are_users = words.has_value();
    m_shape = {};
    m_room = {};
    m_settled = nullptr;
    m_made.clear();
    m_findings.clear();
    m_are_findings_whole = false;
    m_sizes.reset();
    m_content.reset();
    m_hands = std::make_shared<Hands>();
    set_trouble({});
    set_working(tr("opening"));
    emit picture_changed();
    emit words_changed();
    const std::string shop = m_habits.last_shop().toStdString(), medium = m_habits.last_medium().toStdString();
    m_bridge.run<FirstSight>(
        Lane::look, QStringLiteral("open"), this,
        [picture, shop, medium, words](jobs::Context& context) {
            FirstSight sight;
            sight.picture = std::make_shared<jobs::PictureAtHand>(picture, context);
            sight.words = words ? *words : jobs::first_words(picture, shop, medium, context);
            sight.coarse = sight.picture->coarse(coarse_side, context);
            return sight;
        },
        [this, hands = m_hands](Result<FirstSight> result) {
            if (hands != m_hands) return;
            set_working({});
            if (!result.is_done()) {
                const QString sentence = QString::fromStdString(result.ended.sentence);
                m_path.clear();
                emit picture_changed();
                set_trouble(sentence);
                return;
            }
            hands->looking = result.value->picture;
            m_picture_size = hands->looking->size();
            m_profile_assumed = hands->looking->profile_assumed();
            m_image = image_of(result.value->coarse);
            emit picture_changed();
            emit image_changed();
            if (!m_words_are_users && m_words.empty())
                take_words(result.value->words);
            else
                settle_soon();
            m_is_unkept = false;
            ask_content();
            ask_image();
        });
}

void Order::ask_image() {
    if (!m_hands->looking) return;
    m_bridge.run<jobs::ScreenPixels>(
        Lane::look, QStringLiteral("fine"), this,
        [hands = m_hands, screen = m_bridge.screen()](jobs::Context& context) {
            return for_screen(hands->looking->small(fine_side, context), screen);
        },
        [this, hands = m_hands](Result<jobs::ScreenPixels> fine) {
            if (hands != m_hands || !fine.is_done()) return;
            m_image = image_of(*fine.value);
            emit image_changed();
        });
}

void Order::ask_content() {
    struct Kept {
        base::Sha256 content;
        std::optional<jobs::WishWords> words;
    };
    m_bridge.run<Kept>(
        Lane::measure, QStringLiteral("content"), this,
        [path = m_path](jobs::Context& context) {
            Kept kept{jobs::content_of(path, context), {}};
            kept.words = jobs::kept_wish(kept.content, context);
            // Kept by another version, or changed by hand: what cannot be understood is left out.
            const bool is_understood =
                !kept.words || jobs::ended([&] { jobs::wish_of(*kept.words); }).ending == jobs::Ending::done;
            if (!is_understood) kept.words.reset();
            return kept;
        },
        [this, hands = m_hands](Result<Kept> result) {
            if (hands != m_hands) return;
            if (!result.is_done()) {
                set_trouble(QString::fromStdString(result.ended.sentence));
                return;
            }
            m_content = result.value->content;
            if (result.value->words && !m_words_are_users) {
                take_words(*result.value->words);
                m_is_unkept = false;
                return;
            }
            if (!m_words_are_users) return;
            m_is_unkept = true;
            m_keep.start();
            if (result.value->words && m_hung_as && *result.value->words != *m_hung_as) {
                step_from_kept(*result.value->words);
            }
        });
}

void Order::step_from_kept(const jobs::WishWords& kept) {
    const jobs::WishWords now = m_words;
    const QString last = m_undo.undoText();
    m_undo.clear();  // What was changed meanwhile becomes one step above it.
    m_undo.push(new WordsStep(*this, kept, *m_hung_as, tr("the record's order"), -1));
    if (now != *m_hung_as) {
        m_undo.push(new WordsStep(*this, *m_hung_as, now, last, -1));
        return;
    }
    // It hangs to be looked at: until something is changed, what was kept for the picture stays kept.
    m_keep.stop();
    m_is_unkept = false;
}

void Order::set_word(const QString& what, const char* key, const QString& value, int merge) {
    jobs::WishWords words = m_words;
    if (value.isEmpty())
        words.erase(key);
    else
        words[key] = value.toStdString();
    set_words(what, words, merge);
}

void Order::set_words(const QString& what, const jobs::WishWords& words, int merge) {
    if (words == m_words) return;
    try {
        jobs::wish_of(words);
    } catch (const base::Error& error) {
        set_trouble(QString::fromStdString(error.what()));
        return;
    }
    m_words_are_users = true;
    m_undo.push(new WordsStep(*this, m_words, words, what, merge));
}

void Order::take_words(const jobs::WishWords& words) {
    m_words = words;
    if (words.contains("shop") && words.contains("medium")) {
        m_habits.set_last_medium(QString::fromStdString(words.at("shop")), QString::fromStdString(words.at("medium")));
    }
    m_is_unkept = true;
    if (!m_keep.isActive()) m_keep.start();
    set_trouble({});
    emit words_changed();
    settle_soon();
}

void Order::keep_now() {
    m_keep.stop();
    if (!m_is_unkept || m_words.empty() || (!m_content && !m_words_are_users)) return;
    m_is_unkept = false;
    m_bridge.run<bool>(
        Lane::keep, QStringLiteral("keep ") + QString::fromStdString(m_path.string()), this,
        [known = m_content, path = m_path, words = m_words](jobs::Context& context) {
            // A change made before the picture was read whole is kept all the same.
            const base::Sha256 content = known ? *known : jobs::content_of(path, context);
            jobs::keep_wish(content, path.filename().string(), words, context);
            return true;
        },
        [this](Result<bool> result) {
            if (!result.is_done()) set_trouble(QString::fromStdString(result.ended.sentence));
        });
}

void Order::settle_soon() {
    if (!has_picture() || !m_hands->looking) return;
    m_settled = nullptr;
    m_made.clear();
    m_findings.clear();
    m_are_findings_whole = false;
    emit settled_changed();
    emit findings_changed();
    ask_shape();
    ask_sizes();
    m_settle.start();
}

void Order::ask_shape() {
    if (!m_words.contains("size")) return;
    m_bridge.run<jobs::SettledPrint>(
        Lane::look, QStringLiteral("shape"), this,
        [hands = m_hands, wish = wish()](jobs::Context& context) { return hands->looking->shape(wish, context); },
        [this, hands = m_hands, words = m_words](Result<jobs::SettledPrint> result) {
            if (hands != m_hands || words != m_words) return;
            if (!result.is_done()) {
                set_trouble(QString::fromStdString(result.ended.sentence));
                return;
            }
            take_shape(std::move(*result.value));
        });
}

void Order::take_shape(jobs::SettledPrint shape) {
    m_shape = std::move(shape);
    const shops::Medium* of = medium();
    m_room = jobs::room_of(m_shape.plans, of != nullptr && of->wrap ? of->wrap->bar_depth : base::Millimetres{},
                           m_hanging_height);
    emit shape_changed();
}

void Order::ask_sizes() {
    m_bridge.run<plan::MediumSizes>(
        Lane::look, QStringLiteral("sizes"), this,
        [hands = m_hands, wish = wish()](jobs::Context& context) { return hands->looking->sizes(wish, context); },
        [this, hands = m_hands, words = m_words](Result<plan::MediumSizes> result) {
            if (hands != m_hands || words != m_words || !result.is_done()) return;
            // Those of this medium by detail are better than by pixels; they come anew with the settled print.
            const bool are_there =
                m_sizes && m_sizes->shop == result.value->shop && m_sizes->medium == result.value->medium;
            if (!are_there) take_sizes(std::move(*result.value));
        });
}

void Order::take_sizes(plan::MediumSizes sizes) {
    m_sizes = std::move(sizes);
    emit sizes_changed();
}

void Order::ask_whole() {
    if (!has_picture() || !m_words.contains("size")) return;
    set_working(tr("measuring"));
    struct Whole {
        std::shared_ptr<const jobs::SettledPrint> print;
        plan::MediumSizes sizes;  ///< By detail, for by now it is measured.
    };
    m_bridge.run<Whole>(
        Lane::measure, QStringLiteral("whole"), this,
        [hands = m_hands, wish = wish(), path = m_path](jobs::Context& context) {
            if (!hands->measuring) hands->measuring = std::make_shared<jobs::PictureAtHand>(path, context);
            Whole whole;
            whole.print = std::make_shared<const jobs::SettledPrint>(hands->measuring->settled(wish, context));
            whole.sizes = hands->measuring->sizes(wish, context);
            return whole;
        },
        [this, hands = m_hands, words = m_words](Result<Whole> result) {
            if (hands != m_hands || words != m_words) return;  // The newer wish is settled next.
            set_working({});
            if (!result.is_done()) {
                set_trouble(QString::fromStdString(result.ended.sentence));
                return;
            }
            m_settled = std::move(result.value->print);
            take_sizes(std::move(result.value->sizes));
            // Should the shape itself still be under way, this is the same.
            take_shape({.plans = m_settled->plans, .findings = {}, .notice = {}, .whole = false, .inside = {}});
            m_findings = m_settled->findings;
            emit settled_changed();
            emit findings_changed();
            look_over();
        });
}

void Order::look_over() {
    m_bridge.run<std::vector<checks::Finding>>(
        Lane::measure, QStringLiteral("whole"), this,  // Of that kind, so that a newer plan does not wait for it.
        [hands = m_hands, print = m_settled, wish = wish()](jobs::Context& context) {
            return hands->measuring->looked_over(*print, wish, context);
        },
        [this, print = m_settled](Result<std::vector<checks::Finding>> result) {
            if (print != m_settled) return;
            if (!result.is_done()) {
                set_trouble(QString::fromStdString(result.ended.sentence));
                return;
            }
            m_findings = std::move(*result.value);
            m_are_findings_whole = true;
            emit findings_changed();
        });
}

void Order::set_made(std::vector<jobs::MadeFile> files) {
    m_made = std::move(files);
    emit made_changed();
}

void Order::set_hanging_height(base::Millimetres height) {
    m_hanging_height = height;
    if (has_shape()) take_shape(std::move(m_shape));
}

void Order::set_trouble(const QString& sentence) {
    if (sentence == m_trouble) return;
    m_trouble = sentence;
    emit trouble_changed();
}

void Order::set_working(const QString& what) {
    if (what == m_working) return;
    m_working = what;
    emit working_changed();
}

}  // namespace hangtrue::desktop

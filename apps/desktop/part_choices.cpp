// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/part_choices.h"

#include <QComboBox>
#include <QCoreApplication>
#include <QSpinBox>
#include <algorithm>
#include <utility>

#include "apps/desktop/part_popup.h"
#include "engine/base/units_text.h"
#include "engine/jobs/light.h"
#include "engine/shops/questions.h"

namespace hangtrue::desktop {
namespace {

QString tr(const char* text) { return QCoreApplication::translate("hangtrue::desktop", text); }
QString from(const std::string& text) { return QString::fromStdString(text); }

base::ShownUnits units(const Order& order) { return const_cast<Order&>(order).bridge().workplace().units; }

QString money(std::int64_t cents, const std::string& currency) {
    return QStringLiteral("%1 %2").arg(from(base::number_text(static_cast<double>(cents) / 100, 2)), from(currency));
}

QString edge_word(const Order& order) {
    const shops::Medium* medium = order.medium();
    const QString border = order.word("border");
    if (!border.isEmpty()) return tr("with a border");
    if (medium != nullptr && medium->wrap) {
        const QString wrap = order.word("wrap");
        if (wrap == QLatin1String("round")) return tr("the picture runs round the edges");
        if (wrap.startsWith(QLatin1Char('#'))) return tr("edges in one colour");
        if (wrap.isEmpty() && medium->wrap->maker == shops::WrapMaker::shop) return tr("edges made by the shop");
        return tr("edges mirrored");
    }
    if (medium != nullptr && medium->bleed && medium->bleed->place != shops::BleedPlace::none) {
        return order.word("bleed") == QLatin1String("off") ? tr("no bleed") : tr("with bleed");
    }
    return tr("cut at the edge");
}

void fill_picture(PartPopup& popup, Order& order, const WindowActs& acts) {
    popup.add_choice(tr("Another picture …"), tr("Opens a TIFF, JPEG or PNG. The picture itself is never changed."),
                     false, acts.open_picture);
    if (!order.has_picture()) return;
    if (!order.others().empty()) popup.add_heading(tr("Opened with it"));
    for (const std::filesystem::path& other : order.others()) {
        popup.add_choice(from(other.stem().string()), from(other.parent_path().string()), false, [&order, other] {
            std::vector<std::filesystem::path> others = order.others();
            std::replace(others.begin(), others.end(), other, order.path());
            order.hang(other);
            order.set_others(others);
        });
    }
    popup.add_heading(tr("Which part of it"));
    const bool by_hand = order.word("crop").contains(QLatin1Char(','));
    popup.add_choice(tr("As much as fits"), tr("The largest part of the size's shape, from the middle."), !by_hand,
                     [&order] { order.set_word(tr("crop as much as fits"), "crop", {}); });
    popup.add_choice(tr("Choose the part by hand"),
                     tr("On the picture itself, the shape locked; arrow keys nudge it (C)."), by_hand,
                     acts.crop_by_hand);
    popup.add_heading(tr("How it is made larger"));
    popup.add_list(
        tr("Enlarging"),
        {{tr("what fits best"), QString()},
         {tr("trained network, fine"), QStringLiteral("fine")},
         {tr("trained network, quick"), QStringLiteral("quick")},
         {tr("filter alone"), QStringLiteral("filter")}},
        order.word("enlarge"), [&order](const QString& value) { order.set_word(tr("enlarging"), "enlarge", value); },
        tr("The network restores fine structure, and takes minutes for a large print; the filter adds nothing and "
           "is quick."));
    popup.add_list(
        tr("Grain"), {{tr("keep the picture's grain"), QString()}, {tr("calm it"), QStringLiteral("calm")}},
        order.word("grain"), [&order](const QString& value) { order.set_word(tr("grain"), "grain", value); },
        tr("Where a network enlarges: whether it carries the grain over."));
    popup.add_choice(tr("Only enlarge it …"),
                     tr("A larger picture for your editor, without a print: neither cropped nor sharpened."), false,
                     acts.enlarge_alone);
}

QString medium_meaning(const shops::Medium& medium) {
    QStringList words;
    if (medium.finish) words << from(*medium.finish);
    if (medium.mount) words << from(*medium.mount);
    words << tr("%1 ppi").arg(from(base::number_text(medium.ppi.wanted.value, 0)));
    return words.join(QLatin1String(", "));
}

void fill_medium(PartPopup& popup, Order& order) {
    const shops::Shop* shop = order.shop();
    if (shop == nullptr) {
        popup.add_words(tr("Choose a shop first."));
        return;
    }
    for (const shops::Medium& medium : shop->media) {
        const bool has_sizes = !medium.sizes.empty() || medium.free_sizes.has_value();
        popup.add_choice(
            from(medium.name), medium_meaning(medium), order.medium() == &medium,
            // Values: the shops may be read anew while this is open.
            [&order, shop = *shop, medium] {
                order.set_words(tr("medium"), jobs::words_on(order.words(), shop, medium));
            },
            has_sizes ? QString() : tr("The shop's file names no size of it yet."));
    }
    popup.add_heading(tr("Colour"));
    popup.add_list(
        tr("Correction"), {{tr("the latest learned"), QString()}, {tr("none"), QStringLiteral("none")}},
        order.word("correction"),
        [&order](const QString& value) { order.set_word(tr("correction"), "correction", value); },
        tr("What test prints taught of this medium. Where nothing was learned, nothing is changed."));
    popup.add_heading(tr("For experts"));
    popup.add_list(tr("File format"),
                   {{tr("as the shop likes best"), QString()},
                    {tr("TIFF"), QStringLiteral("tiff")},
                    {tr("JPEG"), QStringLiteral("jpeg")}},
                   order.word("format"),
                   [&order](const QString& value) { order.set_word(tr("format"), "format", value); });
    popup.add_list(tr("Bits a channel"),
                   {{tr("the deepest the shop takes"), QString()},
                    {QStringLiteral("8"), QStringLiteral("8")},
                    {QStringLiteral("16"), QStringLiteral("16")}},
                   order.word("bits"), [&order](const QString& value) { order.set_word(tr("bits"), "bits", value); });
    popup.add_list(tr("Compression"),
                   {{tr("none where the shop takes it"), QString()},
                    {tr("none"), QStringLiteral("none")},
                    {QStringLiteral("LZW"), QStringLiteral("lzw")},
                    {tr("deflate"), QStringLiteral("deflate")}},
                   order.word("compression"),
                   [&order](const QString& value) { order.set_word(tr("compression"), "compression", value); });
    popup.add_list(
        tr("Colours out of reach"),
        {{tr("nearest colour (relative)"), QString()},
         {tr("keep their relations (perceptual)"), QStringLiteral("perceptual")},
         {tr("keep them strong (saturation)"), QStringLiteral("saturation")},
         {tr("paper white too (absolute)"), QStringLiteral("absolute")}},
        order.word("intent"), [&order](const QString& value) { order.set_word(tr("intent"), "intent", value); },
        tr("What happens to colours that the file's space does not hold."));
    popup.add_list(tr("Black point"),
                   {{tr("black stays black"), QString()}, {tr("as measured"), QStringLiteral("off")}},
                   order.word("black-point"),
                   [&order](const QString& value) { order.set_word(tr("black point"), "black-point", value); });
    popup.add_line(tr("ppi of the file"), order.word("ppi"), tr("as the medium wants"),
                   [&order](const QString& value) { order.set_word(tr("ppi"), "ppi", value); });
}

void fill_shop(PartPopup& popup, Order& order) {
    for (const shops::Shop& shop : order.shops().shops) {
        QStringList words;
        words << (shop.media.size() == 1 ? tr("one medium") : tr("%1 media").arg(shop.media.size()));
        if (shop.days) words << tr("about %1 days").arg(*shop.days);
        const auto open = shops::open_questions(shop).size();
        if (open > 0) words << (open == 1 ? tr("one question still open") : tr("%1 questions still open").arg(open));
        popup.add_choice(
            from(shop.name), words.join(QLatin1String(", ")), order.shop() == &shop,
            [&order, shop] { order.set_words(tr("shop"), jobs::words_on(order.words(), shop, shop.media.front())); },
            shop.media.empty() ? tr("Its file names no medium yet.") : QString());
    }
    for (const shops::BrokenShopFile& broken : order.shops().broken) {
        popup.add_choice(
            from(broken.file.filename().string()), {}, false, [] {}, from(broken.sentence));
    }
    if (order.shops().shops.empty()) {
        popup.add_words(tr("No shop is known yet. The page Shops begins one."));
    }
}

void fill_size(PartPopup& popup, Order& order) {
    const auto& sizes = order.sizes();
    if (!sizes) {
        popup.add_words(tr("Choose a medium first."));
        return;
    }
    const base::SizeMm now = order.word("size").isEmpty() ? base::SizeMm{} : order.wish().size;
    const shops::Medium* medium = order.medium();
    for (const plan::SizeRow& row : sizes->rows) {
        const bool is_current =
            medium != nullptr &&
            std::abs(row.size.width.value * row.size.height.value - now.width.value * now.height.value) < 1 &&
            (std::abs(row.size.width.value - now.width.value) < 0.5 ||
             std::abs(row.size.width.value - now.height.value) < 0.5);
        QString title = from(base::size_text(row.size, units(order)));
        if (row.price_cents) title += QStringLiteral("   ") + money(*row.price_cents, sizes->currency);
        popup.add_choice(title, verdict(row, units(order)), is_current, [&order, size = row.size] {
            order.set_word(tr("size"), "size", from(jobs::size_word(size)));
        });
    }
    if (medium != nullptr && medium->free_sizes) {
        popup.add_line(
            tr("Another size"), {}, units(order) == base::ShownUnits::inches ? tr("30x20in") : tr("75x50cm"),
            [&order](const QString& value) {
                if (!value.isEmpty()) order.set_word(tr("size"), "size", value);
            },
            tr("This medium is cut to size, from %1 to %2 by %3.")
                .arg(from(base::length_text(medium->free_sizes->least_side, units(order))),
                     from(base::length_text(medium->free_sizes->most_short_side, units(order))),
                     from(base::length_text(medium->free_sizes->most_long_side, units(order)))));
    }
}

void fill_quantity(PartPopup& popup, Order& order) {
    auto* count = new QSpinBox;
    count->setRange(1, 9999);
    count->setButtonSymbols(QAbstractSpinBox::NoButtons);
    count->setToolTip(tr("Type it, or change it with the arrow keys or the wheel"));
    count->setValue(std::max(1, order.word("quantity").toInt()));
    count->setKeyboardTracking(false);  // What is typed counts when it is finished.
    QObject::connect(count, &QSpinBox::valueChanged, &popup, [&order, &popup](int value) {
        if (popup.is_left()) return;
        order.set_word(tr("quantity"), "quantity", value == 1 ? QString() : QString::number(value), 1);
    });
    popup.add_field(tr("How many"), count, tr("Goes onto ticket and order sheet; the file is the same."));
    popup.add_heading(tr("In several panels"));
    const int panels = std::max(1, order.word("panels").toInt());
    for (int n = 1; n <= 5; ++n) {
        popup.add_choice(
            n == 1 ? tr("One piece") : tr("%1 panels").arg(n),
            n == 1 ? QString() : tr("Side by side, each of the chosen size, one file each."), n == panels,
            [&order, n] { order.set_word(tr("panels"), "panels", n == 1 ? QString() : QString::number(n)); });
    }
    popup.add_line(
        tr("Gap between panels"), order.word("gap"), tr("20mm"),
        [&order](const QString& value) { order.set_word(tr("gap"), "gap", value); },
        tr("As they hang; the picture goes on behind the gap."));
}

void fill_edges(PartPopup& popup, Order& order) {
    const shops::Medium* medium = order.medium();
    if (medium == nullptr) {
        popup.add_words(tr("Choose a medium first."));
        return;
    }
    if (medium->wrap) {
        popup.add_heading(tr("Round the bars"));
        const QString wrap = order.word("wrap");
        const bool by_shop = medium->wrap->maker == shops::WrapMaker::shop;
        const auto offered = [&](const char* kind) {
            const auto& kinds = medium->wrap->made_from;
            return kinds.empty() || std::find(kinds.begin(), kinds.end(), kind) != kinds.end()
                       ? QString()
                       : tr("This shop does not make its edges so.");
        };
        popup.add_choice(
            tr("Mirrored"), tr("The picture's rim is mirrored round the bars; nothing is lost from the face."),
            wrap == QLatin1String("mirror") || (wrap.isEmpty() && !by_shop),
            [&order] { order.set_word(tr("edges"), "wrap", QStringLiteral("mirror")); }, offered("mirror"));
        popup.add_choice(
            tr("The picture runs round"), tr("Its outer part goes round the bars and is not on the face."),
            wrap == QLatin1String("round"), [&order] { order.set_word(tr("edges"), "wrap", QStringLiteral("round")); },
            offered("round"));
        popup.add_line(
            tr("One colour"), wrap.startsWith(QLatin1Char('#')) ? wrap : QString(), tr("#202020"),
            [&order](const QString& value) {
                if (!value.isEmpty()) order.set_word(tr("edges"), "wrap", value);
            },
            tr("As #RRGGBB: #FFFFFF is white, #000000 black."));
    }
    if (medium->bleed && medium->bleed->place != shops::BleedPlace::none) {
        popup.add_heading(tr("Bleed"));
        const bool is_off = order.word("bleed") == QLatin1String("off");
        popup.add_choice(tr("With bleed"), tr("As the shop asks: a rim that is cut off, so that no white shows."),
                         !is_off, [&order] { order.set_word(tr("bleed"), "bleed", {}); });
        popup.add_choice(tr("No bleed"), tr("The file ends where the print ends. The shop may trim into it."), is_off,
                         [&order] { order.set_word(tr("bleed"), "bleed", QStringLiteral("off")); });
    }
    popup.add_heading(tr("Border"));
    popup.add_choice(tr("No border"), tr("The picture goes to the edge."), order.word("border").isEmpty(),
                     [&order] { order.set_word(tr("border"), "border", {}); });
    popup.add_line(
        tr("Border of"), order.word("border"), tr("such as 20mm or 1in"),
        [&order](const QString& value) { order.set_word(tr("border"), "border", value); },
        tr("Inside the ordered size: one width, or top, right, bottom, left; with a colour after a colon."));
}

void fill_distance(PartPopup& popup, Order& order) {
    const QString now = order.word("distance");
    QString proposed = tr("From the print's size.");
    if (order.settled()) {
        proposed = tr("From the print's size: %1.")
                       .arg(from(base::distance_text(order.settled()->plans.front().sharpening.design_distance,
                                                     units(order))));
    }
    popup.add_choice(tr("The usual distance"), now.isEmpty() ? proposed : tr("From the print's size."), now.isEmpty(),
                     [&order] { order.set_word(tr("distance"), "distance", {}); });
    struct Usual {
        const char* word;
        const char* meaning;
    };
    for (const Usual& usual :
         {Usual{"60cm", QT_TRANSLATE_NOOP("hangtrue::desktop", "In a corridor, or on a table: within arm's reach.")},
          Usual{"1.5m", QT_TRANSLATE_NOOP("hangtrue::desktop", "Across a small room.")},
          Usual{"2.5m", QT_TRANSLATE_NOOP("hangtrue::desktop", "Over a sofa, from the other side of the room.")},
          Usual{"4m", QT_TRANSLATE_NOOP("hangtrue::desktop", "In a hall.")}}) {
        const auto length = base::parse_length(usual.word);
        popup.add_choice(
            from(base::distance_text(*length, units(order))), tr(usual.meaning), now == QLatin1String(usual.word),
            [&order, word = usual.word] { order.set_word(tr("distance"), "distance", QString::fromLatin1(word)); });
    }
    popup.add_line(tr("Another distance"), now, units(order) == base::ShownUnits::inches ? tr("6ft") : tr("2m"),
                   [&order](const QString& value) { order.set_word(tr("distance"), "distance", value); });
    popup.add_heading(tr("Light on the wall"));
    QList<std::pair<QString, QString>> lights{{tr("leave the file as it is"), QString()}};
    for (const jobs::KnownRoom& room : jobs::known_rooms()) {
        lights.append({tr("%1 (%2 lux)").arg(from(room.name), from(base::number_text(room.lux, 0))), from(room.id)});
    }
    popup.add_list(
        tr("It hangs in"), lights, order.word("light"),
        [&order](const QString& value) { order.set_word(tr("light"), "light", value); },
        tr("For a dim or a bright room the file's tones are changed so that the print looks as the picture "
           "does on the screen."));
    popup.add_heading(tr("Sharpening"));
    QString reason =
        tr("So that what medium and enlarging take from fine detail comes back, as far as the eye sees it.");
    if (order.settled() && !order.settled()->plans.front().sharpening.reason.empty()) {
        reason = from(order.settled()->plans.front().sharpening.reason);
    }
    const QString sharpen = order.word("sharpen");
    QList<std::pair<QString, QString>> shares{{tr("as computed"), QString()},
                                              {tr("off"), QStringLiteral("off")},
                                              {tr("half of it"), QStringLiteral("50%")},
                                              {tr("a little more"), QStringLiteral("130%")}};
    popup.add_list(
        tr("For this distance"), shares, sharpen,
        [&order](const QString& value) { order.set_word(tr("sharpening"), "sharpen", value); }, reason);
}

}  // namespace

QString verdict(const plan::SizeRow& row, base::ShownUnits shown) {
    QStringList words;
    const auto distance = [shown](base::Millimetres of) { return from(base::distance_text(of, shown)); };
    switch (row.sharpness) {
        case plan::Sharpness::unknown: words << tr("pixels vanish from %1").arg(distance(row.sharp_from)); break;
        case plan::Sharpness::in_the_hand: words << tr("sharp in the hand"); break;
        case plan::Sharpness::on_the_wall:
            words << tr("sharp on the wall from %1").arg(distance(row.detail_sharp_from));
            break;
        case plan::Sharpness::soft:
            words << tr("soft even from %1, sharp from %2")
                         .arg(distance(row.wall_distance), distance(row.detail_sharp_from));
            break;
    }
    words << tr("the picture brings %1 ppi").arg(from(base::number_text(row.picture_ppi.value, 0)));
    if (row.below_least_ppi) words << tr("less than the shop asks for");
    if (row.crop_loss > 0.005) words << tr("the crop takes %1 %").arg(from(base::number_text(100 * row.crop_loss, 0)));
    return words.join(QLatin1String(", "));
}

QString words_of(Part part, const Order& order) {
    switch (part) {
        case Part::picture: return order.has_picture() ? order.title() : tr("a picture");
        case Part::medium: return order.medium() != nullptr ? from(order.medium()->name) : tr("a medium");
        case Part::shop: return order.shop() != nullptr ? from(order.shop()->name) : tr("a shop");
        case Part::size:
            if (order.word("size").isEmpty()) return tr("some size");
            if (order.has_shape())
                return from(base::size_text(order.shape().plans.front().geometry.finished, units(order)));
            return from(base::size_text(order.wish().size, units(order)));
        case Part::quantity: {
            const int count = std::max(1, order.word("quantity").toInt());
            const int panels = std::max(1, order.word("panels").toInt());
            const QString pieces = panels == 1 ? QString() : tr(" in %1 panels").arg(panels);
            return (count == 1 ? tr("one print") : tr("%1 prints").arg(count)) + pieces;
        }
        case Part::edges: return edge_word(order);
        case Part::distance: {
            if (!order.word("distance").isEmpty()) {
                return from(base::distance_text(*order.wish().distance, units(order)));
            }
            if (order.settled()) {
                return from(
                    base::distance_text(order.settled()->plans.front().sharpening.design_distance, units(order)));
            }
            return tr("the usual distance");
        }
    }
    return {};
}

void fill(PartPopup& popup, Part part, Order& order, const WindowActs& acts) {
    switch (part) {
        case Part::picture: fill_picture(popup, order, acts); break;
        case Part::medium: fill_medium(popup, order); break;
        case Part::shop: fill_shop(popup, order); break;
        case Part::size: fill_size(popup, order); break;
        case Part::quantity: fill_quantity(popup, order); break;
        case Part::edges: fill_edges(popup, order); break;
        case Part::distance: fill_distance(popup, order); break;
    }
}

}  // namespace hangtrue::desktop

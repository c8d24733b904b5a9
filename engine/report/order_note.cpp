// SPDX-License-Identifier: Apache-2.0
#include <utility>
#include <string>

#include "engine/base/units_text.h"
#include "engine/report/ticket.h"
#include "engine/report/words.h"

namespace hangtrue::report {
namespace {

/// The share of the note that a file name may take before it loses its middle.
constexpr int most_name_characters = 96;
constexpr int most_size_characters = 64;

struct Note {
    std::u32string file, size, panel, quantity, pixels, edges, medium;
};

void add_to(std::u32string& list, const std::u32string& part) {
    if (part.empty()) return;
    if (!list.empty()) list += U", ";
    list += part;
}

std::u32string sentence(std::u32string text) {
    if (!text.empty() && text.back() != U'.') text += U'.';
    return text;
}

std::u32string composed(const Note& note) {
    std::u32string what;
    for (const auto* part : {&note.size, &note.medium, &note.panel, &note.quantity}) add_to(what, *part);
    std::u32string text = note.file;
    if (!text.empty() && !what.empty()) text += U": ";
    text = sentence(text + what);
    if (!text.empty()) text += U' ';
    text += U"To be " + one_line(promise) + U".";
    for (const auto* part : {&note.pixels, &note.edges}) {
        if (!part->empty()) text += U' ' + sentence(*part);
    }
    return text;
}

}  // namespace

std::string order_note(const Ticket& ticket) {
    Note note;
    note.file = shortened(one_line(ticket.file_name), most_name_characters);
    note.size = shortened(one_line(ticket.finished_size), most_size_characters);
    // Added one by one, most needed first; one that does not fit is left out whole, so a shorter one may follow.
    const auto add = [&](std::u32string Note::*part, const std::string& text) {
        note.*part = one_line(text);
        if (std::cmp_greater(composed(note).size(), most_note_characters)) (note.*part).clear();
    };
    if (ticket.panels > 1) {
        add(&Note::panel, "panel " + std::to_string(ticket.panel) + " of " + std::to_string(ticket.panels));
    }
    if (ticket.quantity > 1) add(&Note::quantity, counted(ticket.quantity, "copy", "copies"));
    if (ticket.pixels.width > 0 && ticket.pixels.height > 0) {
        add(&Note::pixels, std::to_string(ticket.pixels.width) + " x " + std::to_string(ticket.pixels.height) +
                               " px, " + base::number_text(ticket.ppi, 2) + " ppi");
    }
    add(&Note::edges, ticket.edges);
    add(&Note::medium, ticket.medium_name);
    return utf8(composed(note));
}

}  // namespace hangtrue::report

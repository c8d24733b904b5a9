// SPDX-License-Identifier: Apache-2.0
#include "engine/shops/questions.h"

#include <algorithm>

namespace hangtrue::shops {
namespace {

/// Collects the questions of one medium.
class Asking {
  public:
    explicit Asking(std::string medium) : m_medium(std::move(medium)) {}
    void ask_when(bool is_open, const char* key, const char* text) {
        if (is_open) m_questions.push_back({m_medium, key, text});
    }
    std::vector<Question> questions() && { return std::move(m_questions); }

  private:
    std::string m_medium;
    std::vector<Question> m_questions;
};

void ask_about_file(Asking& asking, const Medium& medium) {
    const FileRules& rules = medium.rules;
    const auto& formats = rules.formats;
    const bool may_be_tiff = formats.empty() || std::find(formats.begin(), formats.end(), "tiff") != formats.end();
    asking.ask_when(!medium.file_space, "file_space",
                    "Which colour space must the file be in: sRGB, Adobe RGB, or a profile of yours?");
    asking.ask_when(!rules.embed_profile, "file.embed_profile", "Must the colour profile be embedded in the file?");
    asking.ask_when(medium.print_profile.empty(), "print_profile",
                    "Is there an ICC profile of this print, for previewing it on my screen?");
    asking.ask_when(formats.empty(), "file.formats",
                    "Which file formats do you take, TIFF or JPEG, and which do you like better?");
    if (may_be_tiff) {
        asking.ask_when(!rules.tiff_bits, "file.tiff_bits",
                        "Do you take TIFF files with 16 bits a channel, or 8 bits only?");
        asking.ask_when(!rules.tiff_compressions, "file.tiff_compressions",
                        "May a TIFF be compressed (LZW, ZIP/deflate), or must it be uncompressed?");
        asking.ask_when(!rules.big_tiff, "file.big_tiff", "Do you take BigTIFF, for files beyond 4 GB?");
    }
    asking.ask_when(!rules.alpha, "file.alpha", "Is a file with an alpha channel (transparency) refused?");
    asking.ask_when(!rules.most_bytes, "file.most_bytes", "How large may a file be at most, in MB?");
    asking.ask_when(!rules.most_pixels && !rules.most_side_px, "file.most_pixels",
                    "Is there a largest number of pixels, in all or along one side?");
    asking.ask_when(!medium.told.name_rule, "file.name_rule", "Is there a rule for naming the files?");
    asking.ask_when(!rules.most_name_length, "file.most_name_length", "How long may a file's name be?");
    asking.ask_when(!rules.ascii_names, "file.ascii_names", "Must file names do without accents and umlauts?");
}

void ask_about_pixels(Asking& asking, const Medium& medium) {
    asking.ask_when(!medium.ppi.least, "ppi.least", "Below how many ppi do you no longer print?");
    asking.ask_when(!medium.ppi.most, "ppi.most", "Beyond how many ppi does the print gain nothing?");
    asking.ask_when(!medium.told.pixel_rule, "pixels",
                    "Must the file have exact pixel measures, or is it enough that its shape is that of the print?");
    asking.ask_when(medium.pixel_rule == PixelRule::shape && !medium.told.shape_tolerance, "shape_tolerance",
                    "By how much may the file's shape differ from the print's before you crop or stretch it?");
}

void ask_about_edges(Asking& asking, const Medium& medium) {
    const bool is_canvas = medium.blur == BlurClass::canvas;
    asking.ask_when(!medium.bleed && !medium.wrap, "bleed",
                    "How much bleed must the file have on each side, and is it added to the "
                    "ordered size or cut from it?");
    asking.ask_when(!medium.safe_area, "safe_area",
                    "How far from the edge should a signature or anything important stay?");
    asking.ask_when(is_canvas && !medium.wrap, "wrap",
                    "Is the canvas stretched on bars, how deep are they, and who makes the part "
                    "that folds round them?");
    if (!medium.wrap) return;
    const Wrap& wrap = *medium.wrap;
    asking.ask_when(!wrap.maker_told, "wrap.maker", "Do I make the part that folds round the bars, or do you?");
    asking.ask_when(!wrap.back_fold_told, "wrap.back_fold",
                    "How much canvas folds over onto the back, beyond the depth of the bars?");
    asking.ask_when(wrap.made_from.empty(), "wrap.made_from",
                    "What may the wrapped edges be: the picture running round, mirrored, or one flat colour?");
    asking.ask_when(!wrap.corner_squares, "wrap.corner_squares_cut",
                    "Are the squares at the corners of the canvas cut out, or do they show after folding?");
}

void ask_about_surface(Asking& asking, const Medium& medium) {
    asking.ask_when(!medium.told.base, "base", "What is it printed on: a white base, bare metal, or something clear?");
    asking.ask_when(!medium.finish, "finish", "What is the surface like: glossy, satin, matte?");
    asking.ask_when(!medium.mount, "mount", "What is the print mounted on, and how is it hung?");
    asking.ask_when(!medium.mirrored, "mirrored",
                    "Must the file be mirrored, or do you mirror it where that is needed?");
}

bool is_process_open(const Medium& medium) {
    const std::size_t ways = medium.sizes.size() + (medium.free_sizes ? 1U : 0U);
    if (medium.same_process_for_all_sizes || ways < 2) return false;
    const bool some_size =
        std::any_of(medium.sizes.begin(), medium.sizes.end(), [](const Size& size) { return size.process.empty(); });
    return some_size || (medium.free_sizes && medium.free_sizes->process.empty());
}

bool is_price_open(const Medium& medium) {
    const bool some_size =
        std::any_of(medium.sizes.begin(), medium.sizes.end(), [](const Size& size) { return !size.price; });
    return some_size || (medium.free_sizes && !medium.free_sizes->price_per_square_metre);
}

void ask_about_order(Asking& asking, const Medium& medium) {
    asking.ask_when(is_process_open(medium), "same_process_for_all_sizes",
                    "Is the small size printed on the same machine and material as the large one?");
    asking.ask_when(!medium.improvement_off, "improvement_off",
                    "Does the order form \"improve\" pictures by itself, and how is that switched off?");
    asking.ask_when(medium.order_choices.empty(), "order_choices",
                    "What must I choose on the order form so that the file is printed exactly as it is?");
    asking.ask_when(is_price_open(medium), "size.price", "What does each size cost?");
}

struct SharedQuestion {
    std::string text;
    std::vector<std::string> media;
};

std::vector<SharedQuestion> asked_once(const Shop& shop) {
    std::vector<SharedQuestion> shared;
    for (const Question& question : open_questions(shop)) {
        auto same = std::find_if(shared.begin(), shared.end(),
                                 [&](const SharedQuestion& other) { return other.text == question.text; });
        if (same == shared.end()) same = shared.insert(shared.end(), {question.text, {}});
        same->media.push_back(question.medium);
    }
    return shared;
}

std::string joined(const std::vector<std::string>& names) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i) {
        // A name may hold a comma itself ("Metal, white base"), so semicolons part them.
        text += (i == 0 ? "" : "; ") + names[i];
    }
    return text;
}

/// `text` in lines of at most 76 characters, as letters are written; `indent` before all but the
/// first.
std::string wrapped(const std::string& text, const std::string& indent) {
    constexpr std::size_t most_columns = 76;
    std::string result;
    std::size_t column = 0;
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t end = std::min(text.find(' ', at), text.size());
        const std::string word = text.substr(at, end - at);
        if (column > 0 && column + 1 + word.size() > most_columns) {
            result += "\n" + indent;
            column = indent.size();
        } else if (column > 0) {
            result += ' ';
            ++column;
        }
        result += word;
        column += word.size();
        at = end + 1;
    }
    return result + "\n";
}

}  // namespace

std::vector<Question> open_questions(const Medium& medium) {
    Asking asking(medium.name);
    ask_about_file(asking, medium);
    ask_about_pixels(asking, medium);
    ask_about_edges(asking, medium);
    ask_about_surface(asking, medium);
    ask_about_order(asking, medium);
    return std::move(asking).questions();
}

std::vector<Question> open_questions(const Shop& shop) {
    Asking asking("");
    asking.ask_when(!shop.smallest_order, "smallest_order", "Is there a smallest order?");
    asking.ask_when(!shop.postage, "postage", "What does postage and packing cost for a large print?");
    asking.ask_when(!shop.days, "days", "How many working days pass from the order until the print is sent?");
    asking.ask_when(shop.media.empty(), "medium",
                    "What do you print on, in which sizes, at how many ppi, and what does each cost?");
    std::vector<Question> questions = std::move(asking).questions();
    std::vector<Medium> media = shop.media;
    if (media.empty()) media.emplace_back().name = "each of them";
    for (const Medium& medium : media) {
        const auto of_medium = open_questions(medium);
        questions.insert(questions.end(), of_medium.begin(), of_medium.end());
    }
    return questions;
}

std::string letter(const Shop& shop) {
    const std::vector<SharedQuestion> questions = asked_once(shop);
    if (questions.empty()) return "There is nothing left to ask " + shop.name + ".\n";
    std::string text = "Dear " + shop.name + " team,\n\n" +
                       wrapped(
                           "I prepare my print files so that they can be printed as they are, and would like to get "
                           "them right for you. Could you please help me with the following?",
                           "");
    std::vector<std::string> everything;
    for (const Medium& medium : shop.media) everything.push_back(medium.name);
    int number = 0;
    // One group for each set of media, in the order in which it is first met.
    std::vector<std::vector<std::string>> groups;
    for (const SharedQuestion& question : questions) {
        if (std::find(groups.begin(), groups.end(), question.media) == groups.end()) groups.push_back(question.media);
    }
    for (const auto& media : groups) {
        const bool is_shop = media == std::vector<std::string>{""};
        if (is_shop) {
            text += "\nAbout ordering:\n";
        } else if (media == everything && everything.size() > 1) {
            text += "\n" + wrapped("About all of these (" + joined(media) + "):", "");
        } else {
            text += "\n" + wrapped("About " + joined(media) + ":", "");
        }
        for (const SharedQuestion& question : questions) {
            if (question.media != media) continue;
            const std::string label = std::to_string(++number) + ". ";
            text += wrapped(label + question.text, std::string(label.size(), ' '));
        }
    }
    return text + "\nThank you very much. A short answer to each number is all I need.\n\nKind regards\n";
}

}  // namespace hangtrue::shops

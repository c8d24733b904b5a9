// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Changing shop files: a text that is held against the rules while it is written, and single answers filled in
/// with everything else of the file left as it is.

#include <filesystem>
#include <string>
#include <vector>

#include "engine/jobs/context.h"
#include "engine/shops/medium.h"
#include "engine/shops/questions.h"

namespace hangtrue::jobs {

/// A shop file's text and what it says.
struct ShopText {
    std::filesystem::path file;
    std::string text;
    Ending ending = Ending::done;
    std::string sentence;  ///< What is wrong, with line and column; empty when in order.
    int line = 0;          ///< Where, counted from 1; 0: in order, or nowhere.
    int column = 0;
    shops::Shop shop;                        ///< Where in order.
    std::vector<shops::Question> questions;  ///< Still open; where in order.
    std::string letter;                      ///< That asks for them; empty where nothing is open.
};

/// Holds `text` against the rules as the file `file`. Reads and writes nothing; thread-safe.
ShopText read_shop_text(const std::filesystem::path& file, const std::string& text);

/// The file as it is on the disk. Throws UnreadableInput where it cannot be read at all.
ShopText shop_text_in(const std::filesystem::path& file);

/// All of the data folder, by file name, broken ones too.
std::vector<ShopText> shop_texts(const Context& context);

/// `text` with the value of a key changed or filled in ("file.tiff_bits" of the medium `medium_id`; of the shop where
/// that is empty), comments and order kept. `answer` as a person writes it: "yes", "0.25 in", "tiff, jpeg", "189.50";
/// it becomes whichever kind of value the key takes. Throws InvalidWish where it takes none of them, with the rule's
/// own sentence.
std::string with_answer(const std::string& text, const std::filesystem::path& file, const std::string& medium_id,
                        const std::string& key, const std::string& answer);
/// Whether a key takes one value; tables and lists of sizes are written in the text itself.
bool takes_one_answer(const std::string& key);

/// Puts the text in the file's place, whole or not at all. `was`: what the file held when it was read; where it holds
/// something else by now, another program's changes would be lost, and InvalidWish is thrown. Throws InvalidWish for a
/// text that breaks a rule, WriteFailed.
void save_shop_text(const std::filesystem::path& file, const std::string& text, const std::string& was,
                    Context& context);

/// Lays the shop files of `from` into the data folder, those that are missing there. Returns how many were laid.
int add_missing_shops(const std::filesystem::path& from, Context& context);

}  // namespace hangtrue::jobs

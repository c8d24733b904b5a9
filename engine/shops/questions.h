// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What a shop has not told yet, and the letter that asks for exactly that. Pure, thread-safe.

#include <string>
#include <vector>

#include "engine/shops/medium.h"

namespace hangtrue::shops {

struct Question {
    std::string medium;  ///< Medium's name; empty: about the shop.
    std::string key;     ///< The key in the shop file that the answer fills: "file_space".
    std::string text;    ///< The question as the letter asks it.
};

std::vector<Question> open_questions(const Shop& shop);
std::vector<Question> open_questions(const Medium& medium);

/// Plain text, polite and short; questions that several media share are asked once.
std::string letter(const Shop& shop);

}  // namespace hangtrue::shops

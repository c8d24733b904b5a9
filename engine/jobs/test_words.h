// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What test prints told, in sentences, and the words of answers. Thread-safe.

#include <optional>
#include <string>
#include <vector>

#include "engine/jobs/readings.h"
#include "engine/trial/reading.h"

namespace hangtrue::jobs {

/// "dark", "light", "green", "magenta", "warm", "cool". Throws InvalidWish for any other word.
trial::Answer::All all_too(const std::string& word);

/// Whether one more sheet would not pay: what is left cannot be seen in a picture, or would hardly become less. A
/// correction that rests on a single answer by eye is never enough.
bool is_enough(const trial::Learned& learned, const std::optional<double>& error_after_next);

/// The correction, how sure it is, what one more sheet would gain and cost, and "stop here" or "one more".
std::vector<std::string> status_sentences(const TestStatus& status);

/// What a scan could tell, and what it could not.
std::string scan_remark(const trial::Measured& measured, bool has_profile, bool is_photograph);

}  // namespace hangtrue::jobs

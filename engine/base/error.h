// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What can go wrong, in words for a photographer: what happened, to which file, what to do.
///
/// A picture that is merely too small, or a colour that cannot be printed, is no error but a finding
/// (engine/checks). A bug is an assert.

#include <stdexcept>
#include <string>

namespace hangtrue::base {

class Error : public std::runtime_error {
  public:
    using std::runtime_error::runtime_error;
};

/// A picture, shop file, plan or record of the user's cannot be read.
class UnreadableInput : public Error {
  public:
    using Error::Error;
};

/// A wish that contradicts itself, or names a shop, medium, size or ID that does not exist.
class InvalidWish : public Error {
  public:
    using Error::Error;
};

/// The output cannot be written, or its name is taken.
class WriteFailed : public Error {
  public:
    using Error::Error;
};

/// The ledger cannot be opened or changed.
class LedgerFailed : public Error {
  public:
    using Error::Error;
};

/// The user stopped the work. Not an Error: nothing went wrong.
class Cancelled : public std::exception {
  public:
    const char* what() const noexcept override { return "cancelled"; }
};

/// The system's own words for `error_number`, thread-safe.
std::string system_text(int error_number);

}  // namespace hangtrue::base

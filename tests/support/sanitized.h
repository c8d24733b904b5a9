// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace hangtrue::support {

/// In a build that watches addresses or threads everything takes several times as long: tests that ask whether figures
/// are true, and run no code that others do not, leave it to the other builds.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
inline constexpr bool is_sanitized = true;
#else
inline constexpr bool is_sanitized = false;
#endif
inline constexpr const char* leaves_figures_to_others =
    "whether figures are true; the same code runs in the other tests";

}  // namespace hangtrue::support

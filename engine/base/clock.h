// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Time as the work sees it: the date that goes on records, and seconds by stage.

#include <chrono>
#include <string>

namespace hangtrue::base {

/// Where dates come from; tests hand in their own. Thread-safe.
class Clock {
  public:
    virtual ~Clock() = default;
    virtual std::chrono::system_clock::time_point now() const { return std::chrono::system_clock::now(); }
};

/// "2026-03-14T09:26:53Z" (ISO 8601, UTC).
std::string timestamp(std::chrono::system_clock::time_point time);
/// From one such moment to another; a day alone ("2026-03-14") is its beginning. 0 where one of them is neither.
double days_between(const std::string& from, const std::string& to);

/// Adds the seconds between its making and its end to `total`.
class Stopwatch {
  public:
    explicit Stopwatch(double& total) : m_total(total), m_start(std::chrono::steady_clock::now()) {}
    ~Stopwatch() { m_total += std::chrono::duration<double>(std::chrono::steady_clock::now() - m_start).count(); }
    Stopwatch(const Stopwatch&) = delete;
    Stopwatch& operator=(const Stopwatch&) = delete;

  private:
    double& m_total;
    std::chrono::steady_clock::time_point m_start;
};

}  // namespace hangtrue::base

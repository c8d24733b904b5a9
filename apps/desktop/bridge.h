// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The only way from the window to the engine: work goes to worker threads, results come back to the user's thread.
///
/// Nothing of the engine but values and pure wording is called on the user's thread: a jobs::Context, without which no
/// job runs, is made here alone, on a worker. All functions are called on the user's thread.

#include <QObject>
#include <QPointer>
#include <QString>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <thread>
#include <tuple>

#include "engine/base/error.h"
#include "engine/base/progress.h"
#include "engine/jobs/context.h"

namespace hangtrue::desktop {

struct ScreenProfile;  // screen_profile.h
using SharedScreen = std::shared_ptr<const ScreenProfile>;

/// Where shops and ledger lie, and how the user likes things: the same for every task.
struct Workplace {
    std::filesystem::path data_folder;
    std::filesystem::path models_folder;
    int threads = 1;
    base::ShownUnits units = base::ShownUnits::inches;
};

/// Each lane is a queue with a thread of its own, so that making does not hold up looking.
enum class Lane {
    look,     ///< What the user waits for on the screen: a newer task of a receiver's kind drops the older one.
    measure,  ///< Opening and measuring pictures, thumbnails; the same rule.
    list,     ///< What a page begins with: ledger, shops, sheets, headers. Never behind measuring; the same rule.
    make,     ///< Files: one after the other, none is ever dropped.
    keep,     ///< What must not be lost and takes a moment: nothing else waits here, and the bridge's end waits for it.
};

/// How a task ended. `value` is there where `ended.ending` is done.
template <typename T>
struct Result {
    jobs::Ended ended;
    std::optional<T> value;
    bool is_done() const { return value.has_value(); }
};

class Task;  // One piece of work; lives until it ended and nobody holds it.

/// What the window keeps of a task it started. Copies mean the same task.
class TaskHandle {
  public:
    TaskHandle() = default;
    explicit TaskHandle(std::shared_ptr<Task> task) : m_task(std::move(task)) {}
    /// It ends as cancelled, within half a second, also where it waits behind others; harmless when it has ended.
    void cancel() const;
    /// Queued or under way.
    bool is_open() const;

  private:
    std::shared_ptr<Task> m_task;
};

class Bridge : public QObject {
    Q_OBJECT
  public:
    using ProgressOut = std::function<void(const base::ProgressReport&)>;
    /// Called on the worker's thread before each task; tests hold it against the user's thread.
    using EnteredHook = std::function<void(std::thread::id worker)>;

    explicit Bridge(Workplace workplace, QObject* parent = nullptr);
    /// Cancels what is open and waits for it: nothing of it is left behind. What is to be kept is kept first.
    ~Bridge() override;

    const Workplace& workplace() const { return m_workplace; }
    /// For tasks started from now on; told by `units_changed`.
    void set_units(base::ShownUnits units);
    void set_entered_hook(EnteredHook hook);

    /// The screen that the window is on: what pictures are converted to, on the worker. Null until it is known: sRGB.
    const SharedScreen& screen() const { return m_screen; }
    void set_screen(SharedScreen screen);

    /// Runs `work` on the lane's thread; then, on the user's thread and only while `receiver` lives, `done`. A task
    /// that was dropped for a newer one of the same receiver and `kind` does not report. `progress` comes on the user's
    /// thread too.
    template <typename T>
    TaskHandle run(Lane lane, const QString& kind, QObject* receiver, std::function<T(jobs::Context&)> work,
                   std::function<void(Result<T>)> done, ProgressOut progress = {});

    /// Whether the make lane holds tasks: closing asks then.
    bool is_making() const;

  signals:
    void units_changed();
    /// What was converted for the screen is to be asked for anew.
    void screen_changed();
    /// The make lane went from idle to busy or back.
    void making_changed();

  private:
    friend class TaskHandle;
    struct LaneQueue;
    /// `give_up`: makes the result that of a cancelled task, where it is cancelled before its turn.
    TaskHandle queue(Lane lane, const QString& kind, QObject* receiver, std::function<void(jobs::Context&)> work,
                     std::function<void()> give_up, std::function<void()> done, ProgressOut progress);
    /// Takes it out of the lane where it still waits.
    void drop_waiting(const std::shared_ptr<Task>& task);
    void carry_out(LaneQueue& lane);
    void carry_out(Task& task);
    void report_end(const std::shared_ptr<Task>& task);

    Workplace m_workplace;
    SharedScreen m_screen;
    std::shared_ptr<const EnteredHook> m_hook;
    std::unique_ptr<LaneQueue> m_lanes[5];
    int m_making = 0;
    /// By lane, receiver and kind, of those lanes that keep the newest alone. On the user's thread.
    std::map<std::tuple<Lane, const void*, QString>, const Task*> m_newest;
};

template <typename T>
TaskHandle Bridge::run(Lane lane, const QString& kind, QObject* receiver, std::function<T(jobs::Context&)> work,
                       std::function<void(Result<T>)> done, ProgressOut progress) {
    auto result = std::make_shared<Result<T>>();
    return queue(
        lane, kind, receiver,
        [result, work = std::move(work)](jobs::Context& context) {
            result->ended = jobs::ended([&] { result->value.emplace(work(context)); });
            if (result->ended.ending != jobs::Ending::done) result->value.reset();
        },
        [result] { result->ended = jobs::ended([] { throw base::Cancelled(); }); },
        [result, done = std::move(done)] { done(std::move(*result)); }, std::move(progress));
}

}  // namespace hangtrue::desktop

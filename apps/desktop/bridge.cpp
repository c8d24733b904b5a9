// SPDX-License-Identifier: Apache-2.0
#include "apps/desktop/bridge.h"

#include <sys/resource.h>
#include <unistd.h>

#include <QCoreApplication>
#include <QThread>
#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <utility>
#include <vector>

#include "engine/base/clock.h"
#include "engine/base/faults.h"

namespace hangtrue::desktop {

class Task {
  public:
    Task(QString task_kind, QObject* to, Workplace at, base::Progress::Sink sink)
        : kind(std::move(task_kind)), receiver(to), owner(to), workplace(std::move(at)), progress(std::move(sink)) {}

    QString kind;
    QPointer<QObject> receiver;  ///< Looked at on the user's thread alone.
    const void* owner;           ///< Which receiver it is, to compare with.
    Workplace workplace;
    base::Progress progress;
    std::function<void(jobs::Context&)> work;
    std::function<void()> give_up;
    std::function<void()> done;
    QPointer<Bridge> bridge;
    std::shared_ptr<const Bridge::EnteredHook> hook;
    Lane lane = Lane::look;
    bool is_make = false;
    bool is_latest_only = false;  ///< Nobody wants its result once a newer one of its kind is asked for.
    std::atomic<bool> open{true};
    std::atomic<bool> dropped{false};
};

void TaskHandle::cancel() const {
    if (!m_task) return;
    m_task->progress.cancel();
    if (m_task->bridge) m_task->bridge->drop_waiting(m_task);
}

bool TaskHandle::is_open() const { return m_task && m_task->open; }

struct Bridge::LaneQueue {
    std::mutex mutex;
    std::condition_variable changed;
    std::deque<std::shared_ptr<Task>> tasks;  ///< Waiting.
    std::shared_ptr<Task> current;
    bool ending = false;
    std::thread thread;
};

Bridge::Bridge(Workplace workplace, QObject* parent)
    : QObject(parent), m_workplace(std::move(workplace)), m_hook(std::make_shared<const EnteredHook>()) {
    for (auto& lane : m_lanes) {
        lane = std::make_unique<LaneQueue>();
        const bool is_waited_for = lane == m_lanes[static_cast<int>(Lane::look)];
        lane->thread = std::thread([this, queue = lane.get(), is_waited_for] {
            // Behind the user's own thread, so that the window answers while all processors work; the threads that a
            // job starts are as patient as this one. Where the system refuses, it works all the same.
            setpriority(PRIO_PROCESS, static_cast<id_t>(gettid()), is_waited_for ? 2 : 6);
            carry_out(*queue);
        });
    }
}

Bridge::~Bridge() {
    for (auto& lane : m_lanes) {
        const std::lock_guard lock(lane->mutex);
        lane->ending = true;
        if (lane != m_lanes[static_cast<int>(Lane::keep)]) {
            lane->tasks.clear();
            if (lane->current) lane->current->progress.cancel();
        }
        lane->changed.notify_all();
    }
    for (auto& lane : m_lanes) lane->thread.join();
}

void Bridge::set_units(base::ShownUnits units) {
    if (units == m_workplace.units) return;
    m_workplace.units = units;
    emit units_changed();
}

void Bridge::set_screen(SharedScreen screen) {
    m_screen = std::move(screen);
    emit screen_changed();
}

void Bridge::set_entered_hook(EnteredHook hook) { m_hook = std::make_shared<const EnteredHook>(std::move(hook)); }

bool Bridge::is_making() const { return m_making > 0; }

TaskHandle Bridge::queue(Lane lane, const QString& kind, QObject* receiver, std::function<void(jobs::Context&)> work,
                         std::function<void()> give_up, std::function<void()> done, ProgressOut progress) {
    Q_ASSERT(QThread::currentThread() == thread());
    base::Progress::Sink sink;
    if (progress) {
        // The receiver is asked for on the user's thread: it may be gone when the report arrives.
        sink = [this, to = QPointer<QObject>(receiver), progress](const base::ProgressReport& report) {
            QMetaObject::invokeMethod(
                this,
                [to, progress, report] {
                    if (to) progress(report);
                },
                Qt::QueuedConnection);
        };
    }
    auto task = std::make_shared<Task>(kind, receiver, m_workplace, std::move(sink));
    task->work = std::move(work);
    task->give_up = std::move(give_up);
    task->done = std::move(done);
    task->bridge = this;
    task->hook = m_hook;
    task->is_make = lane == Lane::make;
    task->lane = lane;
    task->is_latest_only = lane == Lane::look || lane == Lane::measure || lane == Lane::list;
    if (task->is_latest_only) m_newest[{lane, receiver, kind}] = task.get();
    LaneQueue& queue = *m_lanes[static_cast<int>(lane)];
    {
        const std::lock_guard lock(queue.mutex);
        if (!task->is_make) {
            const auto is_older = [&](const std::shared_ptr<Task>& other) {
                return other && other->owner == task->owner && other->kind == kind;
            };
            for (const auto& other : queue.tasks) {
                if (is_older(other)) other->open = false;
            }
            std::erase_if(queue.tasks, is_older);
            if (is_older(queue.current)) {
                queue.current->dropped = true;
                queue.current->progress.cancel();
            }
        }
        queue.tasks.push_back(task);
        queue.changed.notify_all();
    }
    if (task->is_make && ++m_making == 1) emit making_changed();
    return TaskHandle(task);
}

void Bridge::drop_waiting(const std::shared_ptr<Task>& task) {
    LaneQueue& queue = *m_lanes[static_cast<int>(task->lane)];
    {
        const std::lock_guard lock(queue.mutex);
        if (std::erase(queue.tasks, task) == 0) return;  // Under way: it looks at its progress itself.
    }
    task->give_up();
    // Not at once: who cancels need not expect to be called back meanwhile.
    QMetaObject::invokeMethod(
        this, [this, task] { report_end(task); }, Qt::QueuedConnection);
}

void Bridge::report_end(const std::shared_ptr<Task>& task) {
    task->open = false;
    // A newer one may have been asked for after this one's work was over.
    const auto newest = m_newest.find({task->lane, task->owner, task->kind});
    const bool is_newest = newest != m_newest.end() && newest->second == task.get();
    if (is_newest) m_newest.erase(newest);
    if (task->receiver && !task->dropped && (is_newest || !task->is_latest_only)) task->done();
    task->done = {};
    task->give_up = {};
    if (task->is_make && --m_making == 0) emit making_changed();
}

void Bridge::carry_out(LaneQueue& lane) {
    std::unique_lock lock(lane.mutex);
    while (true) {
        lane.changed.wait(lock, [&] { return lane.ending || !lane.tasks.empty(); });
        if (lane.tasks.empty()) return;  // At the end: what was to be dropped is gone already.
        const std::shared_ptr<Task> task = lane.tasks.front();
        lane.tasks.pop_front();
        lane.current = task;
        lock.unlock();
        carry_out(*task);
        QMetaObject::invokeMethod(
            this, [this, task] { report_end(task); }, Qt::QueuedConnection);
        lock.lock();
        lane.current = nullptr;
    }
}

void Bridge::carry_out(Task& task) {
    if (*task.hook) (*task.hook)(std::this_thread::get_id());
    base::Faults no_faults;
    const base::Clock clock;
    jobs::Context context{.data_folder = task.workplace.data_folder,
                          .models_folder = task.workplace.models_folder,
                          .threads = task.workplace.threads,
                          .units = task.workplace.units,
                          .progress = task.progress,
                          .faults = no_faults,
                          .clock = clock};
    task.work(context);
    task.work = {};
}

}  // namespace hangtrue::desktop

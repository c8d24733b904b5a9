// SPDX-License-Identifier: Apache-2.0
#pragma once

/// A fixed set of threads that live as long as one job: made by it, ended with it.
///
/// Tasks of one group may run in any order; the first exception of a group is thrown by its wait().
/// A task must not wait for another of the same set.

#include <condition_variable>
#include <deque>
#include <exception>
#include <functional>
#include <memory>
#include <mutex>
#include <thread>
#include <vector>

namespace hangtrue::base {

class Workers {
  public:
    /// A task gets the number of its thread, 0 <= worker < count(), so that each has a scratch of its own.
    using Task = std::function<void(int worker)>;

    /// Tasks that are waited for together. Outlives its tasks: wait() before it goes.
    class Group {
      public:
        /// Returns when every task of the group is done; throws the first exception that one threw.
        void wait();
        bool is_done();

      private:
        friend class Workers;
        std::mutex m_mutex;
        std::condition_variable m_changed;
        int m_open = 0;
        std::exception_ptr m_failure;
    };

    /// At most `count` threads, at least one; fewer where the system gives no more.
    explicit Workers(int count);
    /// Waits for the tasks under way; those not begun are dropped.
    ~Workers();
    Workers(const Workers&) = delete;
    Workers& operator=(const Workers&) = delete;

    int count() const { return static_cast<int>(m_threads.size()); }
    void submit(Group& group, Task task);

  private:
    struct Entry {
        Group* group;
        Task task;
    };
    void run(int worker);

    std::mutex m_mutex;
    std::condition_variable m_changed;
    std::deque<Entry> m_queue;
    bool m_ending = false;
    std::vector<std::thread> m_threads;
};

/// The number of threads to use when the user has not said: what the machine offers this process.
int default_thread_count();

}  // namespace hangtrue::base

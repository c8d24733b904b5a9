// SPDX-License-Identifier: Apache-2.0
#include "engine/base/workers.h"

#include <sched.h>

#include <algorithm>
#include <system_error>
#include <utility>

namespace hangtrue::base {

void Workers::Group::wait() {
    std::unique_lock lock(m_mutex);
    m_changed.wait(lock, [this] { return m_open == 0; });
    if (m_failure) std::rethrow_exception(std::exchange(m_failure, nullptr));
}

bool Workers::Group::is_done() {
    const std::lock_guard lock(m_mutex);
    return m_open == 0;
}

Workers::Workers(int count) {
    const int threads = std::max(1, count);
    m_threads.reserve(static_cast<std::size_t>(threads));
    try {
        for (int worker = 0; worker < threads; ++worker) {
            m_threads.emplace_back([this, worker] { run(worker); });
        }
    } catch (const std::system_error&) {
        // The system gives no more threads: those that began do the work, if there is one.
        if (m_threads.empty()) throw;
    }
}

Workers::~Workers() {
    std::deque<Entry> dropped;
    {
        const std::lock_guard lock(m_mutex);
        m_ending = true;
        dropped.swap(m_queue);
    }
    m_changed.notify_all();
    for (const Entry& entry : dropped) {
        const std::lock_guard lock(entry.group->m_mutex);
        if (--entry.group->m_open == 0) entry.group->m_changed.notify_all();
    }
    for (std::thread& thread : m_threads) thread.join();
}

void Workers::submit(Group& group, Task task) {
    {
        const std::lock_guard lock(group.m_mutex);
        ++group.m_open;
    }
    {
        const std::lock_guard lock(m_mutex);
        m_queue.push_back({&group, std::move(task)});
    }
    m_changed.notify_one();
}

void Workers::run(int worker) {
    for (;;) {
        Entry entry;
        {
            std::unique_lock lock(m_mutex);
            m_changed.wait(lock, [this] { return m_ending || !m_queue.empty(); });
            if (m_ending) return;
            entry = std::move(m_queue.front());
            m_queue.pop_front();
        }
        std::exception_ptr failure;
        try {
            entry.task(worker);
        } catch (...) {
            failure = std::current_exception();
        }
        entry.task = nullptr;  // what it captured goes before the group is told
        const std::lock_guard lock(entry.group->m_mutex);
        if (failure && !entry.group->m_failure) entry.group->m_failure = failure;
        if (--entry.group->m_open == 0) entry.group->m_changed.notify_all();
    }
}

int default_thread_count() {
    cpu_set_t allowed;
    CPU_ZERO(&allowed);
    if (sched_getaffinity(0, sizeof allowed, &allowed) == 0) return std::max(1, CPU_COUNT(&allowed));
    return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

}  // namespace hangtrue::base

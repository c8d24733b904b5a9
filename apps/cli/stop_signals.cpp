// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/stop_signals.h"

#include <csignal>
#include <unistd.h>

#include "apps/cli/exit_status.h"

namespace hangtrue::cli {

namespace {

// A signal handler is handed nothing, so this one pointer stands outside of any object.
std::atomic<std::atomic<bool>*> cancel_mark{nullptr};
static_assert(std::atomic<std::atomic<bool>*>::is_always_lock_free, "read in a signal handler");

extern "C" void stop(int) {
    std::atomic<bool>* mark = cancel_mark.load();
    if (mark == nullptr || mark->exchange(true)) _exit(static_cast<int>(ExitStatus::cancelled));
}

}  // namespace

StopSignals::StopSignals(std::atomic<bool>& cancelled) {
    cancel_mark.store(&cancelled);
    struct sigaction action {};
    action.sa_handler = stop;
    sigemptyset(&action.sa_mask);
    action.sa_flags = SA_RESTART;
    sigaction(SIGINT, &action, nullptr);
    sigaction(SIGTERM, &action, nullptr);
}

StopSignals::~StopSignals() { cancel_mark.store(nullptr); }

}  // namespace hangtrue::cli

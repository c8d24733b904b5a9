// SPDX-License-Identifier: Apache-2.0
#include "apps/cli/run.h"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <memory>
#include <optional>

#include "apps/cli/advice.h"
#include "apps/cli/arguments.h"
#include "apps/cli/checks_page.h"
#include "apps/cli/help.h"
#include "apps/cli/manual.h"
#include "apps/cli/progress_line.h"
#include "apps/cli/reply.h"
#include "apps/cli/stop_signals.h"
#include "apps/cli/test_faults.h"
#include "engine/base/clock.h"
#include "engine/base/error.h"
#include "engine/base/workers.h"
#include "engine/jobs/context.h"

namespace hangtrue::cli {

namespace {

/// A closed standard stream's number would be given to the next file opened, and what is meant for people
/// would be written into a print file. Read-only: writing there still fails, and is told.
void hold_standard_streams() {
    for (const int descriptor : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
        if (fcntl(descriptor, F_GETFD) == -1) open("/dev/null", O_RDONLY);
    }
}

/// 0, or the errno of the write that failed.
int write_whole(int descriptor, std::string_view text) {
    while (!text.empty()) {
        const ssize_t written = ::write(descriptor, text.data(), text.size());
        if (written < 0 && errno == EINTR) continue;
        if (written < 0) return errno;
        text.remove_prefix(static_cast<std::size_t>(written));
    }
    return 0;
}

void say(const std::string& sentence) { write_whole(STDERR_FILENO, "hangtrue: " + sentence + "\n"); }

/// Standard output is the answer: where it cannot be written the program has not done its work. A reader who
/// has gone away (EPIPE) wants no more, and that is no failure.
ExitStatus answered(ExitStatus status, const std::string& text) {
    const int error_number = write_whole(STDOUT_FILENO, text);
    if (error_number == 0 || error_number == EPIPE) return status;
    say("The answer could not be written to standard output: " + base::system_text(error_number) + ".");
    return combined(std::array{status, ExitStatus::unwritable});
}

std::filesystem::path data_folder(const Arguments& arguments) {
    if (const auto given = arguments.text("data")) return *given;
    // XDG Base Directory Specification 0.8: a relative path there is not valid and is not looked at.
    const char* xdg = std::getenv("XDG_DATA_HOME");
    if (xdg != nullptr && xdg[0] == '/') return std::filesystem::path(xdg) / "hangtrue";
    const char* home = std::getenv("HOME");
    if (home != nullptr && home[0] == '/') return std::filesystem::path(home) / ".local/share/hangtrue";
    throw base::InvalidWish("There is no home folder to keep shops and ledger in: say where, with --data FOLDER.");
}

/// Where the weights lie: as told; beside an installed program; else where it was built from.
std::filesystem::path models_folder(const Arguments& arguments) {
    if (const auto given = arguments.text("models")) return *given;
    std::error_code ignored;
    const std::filesystem::path program = std::filesystem::read_symlink("/proc/self/exe", ignored);
    const std::filesystem::path installed = program.parent_path().parent_path() / "share/hangtrue/models";
    return std::filesystem::is_directory(installed, ignored) ? installed : HANGTRUE_MODELS_FOLDER;
}

ProgressLine::Mode progress_mode(const Arguments& arguments) {
    if (arguments.has("quiet")) return ProgressLine::Mode::none;
    if (isatty(STDERR_FILENO) == 1) return ProgressLine::Mode::overprint;
    return arguments.has("progress") ? ProgressLine::Mode::lines : ProgressLine::Mode::none;
}

Reply reply_of_verb(const Arguments& arguments) {
    ProgressLine line(STDERR_FILENO, progress_mode(arguments));
    base::Progress progress([&line](const base::ProgressReport& report) { line.show(report); });
    const StopSignals stop_signals(progress.cancel_flag());

    base::Faults no_faults;
    std::optional<TestFaults> test_faults;
    const char* fault_text = std::getenv("HANGTRUE_FAULT");
    if (fault_text != nullptr) test_faults.emplace(fault_text);

    const base::Clock clock;
    jobs::Context context{
        .data_folder = data_folder(arguments),
        .models_folder = models_folder(arguments),
        .threads = arguments.has("threads") ? static_cast<int>(*arguments.number("threads"))
                                            : std::clamp(base::default_thread_count(), 1, 256),
        .units = arguments.text("units") == "cm" ? base::ShownUnits::centimetres : base::ShownUnits::inches,
        .progress = progress,
        .faults = test_faults ? static_cast<base::Faults&>(*test_faults) : no_faults,
        .clock = clock,
    };
    return arguments.verb()->run(arguments, context);
}

std::string document(const Reply& reply) {
    Json whole = Json::object();
    whole["status"] = static_cast<int>(reply.status);
    whole["ending"] = name_of(reply.status);
    if (!reply.errors.empty() && !reply.json.contains("sentence")) whole["sentence"] = reply.errors.front();
    whole.update(reply.json);
    // File names are bytes, and JSON is UTF-8: what is not is shown as U+FFFD.
    return whole.dump(2, ' ', /*ensure_ascii=*/false, Json::error_handler_t::replace) + "\n";
}

}  // namespace

ExitStatus run(const std::vector<std::string>& words) {
    hold_standard_streams();
    std::signal(SIGPIPE, SIG_IGN);

    // What is made of the program's tables is no verb: it is for those who change or install the program.
    if (words.size() == 2 && words[0] == "help") {
        if (words[1] == "--markdown") return answered(ExitStatus::done, markdown_text());
        if (words[1] == "--man") return answered(ExitStatus::done, man_page_text());
        if (words[1] == "--bash-completion") return answered(ExitStatus::done, bash_completion_text());
        if (words[1] == "--checks") return answered(ExitStatus::done, checks_page());
    }
    // Wrong use may be what keeps the words from being understood, and is told as JSON all the same.
    const bool as_json = std::find(words.begin(), words.end(), "--json") != words.end();
    Reply reply;
    const VerbInfo* verb = nullptr;
    const jobs::Ended ended = jobs::ended([&] {
        const Arguments arguments(words);
        verb = arguments.verb();
        if (arguments.has("help")) {
            reply.text = help_text(arguments.verb());
            reply.json["help"] = reply.text;
        } else if (arguments.has("version")) {
            reply.text = "hangtrue " HANGTRUE_VERSION "\n";
            reply.json["version"] = HANGTRUE_VERSION;
        } else {
            reply = reply_of_verb(arguments);
        }
    });
    if (ended.ending != jobs::Ending::done) {
        reply = Reply{};
        reply.status = status_of(ended.ending);
        reply.errors = {ended.sentence};
    }
    if (verb != nullptr) add_options(reply, *verb);
    for (const std::string& sentence : reply.errors) say(sentence);
    for (const std::string& sentence : reply.remarks) say(sentence);
    return answered(reply.status, as_json ? document(reply) : reply.text);
}

}  // namespace hangtrue::cli

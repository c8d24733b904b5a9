// SPDX-License-Identifier: Apache-2.0
#pragma once

/// The verbs, one file each (verb_*.cpp). Each turns arguments into one call of jobs and its values into a
/// reply; what is thrown (base/error.h) becomes status and sentence in run.cpp.

#include "apps/cli/arguments.h"
#include "apps/cli/reply.h"
#include "engine/jobs/context.h"

namespace hangtrue::cli {

Reply sizes(const Arguments& arguments, jobs::Context& context);
Reply detail(const Arguments& arguments, jobs::Context& context);
Reply check(const Arguments& arguments, jobs::Context& context);
Reply make(const Arguments& arguments, jobs::Context& context);
Reply verify(const Arguments& arguments, jobs::Context& context);
Reply view(const Arguments& arguments, jobs::Context& context);
Reply light(const Arguments& arguments, jobs::Context& context);
Reply enlarge(const Arguments& arguments, jobs::Context& context);
Reply shop_list(const Arguments& arguments, jobs::Context& context);
Reply shop_show(const Arguments& arguments, jobs::Context& context);
Reply shop_new(const Arguments& arguments, jobs::Context& context);
Reply shop_check(const Arguments& arguments, jobs::Context& context);
Reply shop_questions(const Arguments& arguments, jobs::Context& context);
Reply ledger_list(const Arguments& arguments, jobs::Context& context);
Reply ledger_show(const Arguments& arguments, jobs::Context& context);
Reply ledger_again(const Arguments& arguments, jobs::Context& context);
Reply test_sheet(const Arguments& arguments, jobs::Context& context);
Reply test_answer(const Arguments& arguments, jobs::Context& context);
Reply test_scan(const Arguments& arguments, jobs::Context& context);
Reply test_measure(const Arguments& arguments, jobs::Context& context);
Reply test_withdraw(const Arguments& arguments, jobs::Context& context);
Reply test_status(const Arguments& arguments, jobs::Context& context);

}  // namespace hangtrue::cli

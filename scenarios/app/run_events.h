// scenarios/app/run_events.h - the events of --json that are not a stage's: how a run ended, and why; nothing without --json
#pragma once
#include "models/core/error.h"
#include "scenarios/app/margin_rows.h"

namespace stifle::app
{
/// event done: exit_code, results (the folder), least_margin (of all rows; null without one). Returns the code.
int tell_done(int exit_code, const std::string &folder, const std::vector<MarginRow> &margins);
/// An event error for each problem, with file, line, column, key, found, allowed and nearest (null where there is none), then done.
void tell_bad_input(const std::vector<InputProblem> &problems, const std::string &folder);
/// One event error, then done with exit code 1.
void tell_failure(const std::string &message, const std::string &folder);
} // namespace stifle::app

#include "scenarios/app/run_events.h"
#include "scenarios/app/stages.h"
#include <nlohmann/json.hpp>

using nlohmann::json;

namespace stifle::app
{
namespace
{
json or_null(const std::string &text) { return text.empty() ? json(nullptr) : json(text); }
json or_null(int count) { return count > 0 ? json(count) : json(nullptr); }

json least_margin(const std::vector<MarginRow> &margins)
{
  const MarginRow *least = nullptr;
  for (const MarginRow &row : margins)
    if (row.margin && (!least || *row.margin < *least->margin))
      least = &row;
  if (!least)
    return nullptr;
  return {{"margin", *least->margin},     {"verdict", least->verdict},
          {"part", least->part},          {"mode", least->mode},
          {"week", least->week},          {"activity", least->activity},
          {"operated", least->operated},  {"plateau_angle_deg", least->plateau_angle_deg}};
}
} // namespace

int tell_done(int exit_code, const std::string &folder, const std::vector<MarginRow> &margins)
{
  json event            = run_event("done", exit_code == 0 ? "finished" : exit_code == 1 ? "a computation failed" : exit_code == 2 ? "bad input" : "interrupted");
  event["exit_code"]    = exit_code;
  event["results"]      = or_null(folder);
  event["least_margin"] = least_margin(margins);
  print_event(event);
  return exit_code;
}

void tell_bad_input(const std::vector<InputProblem> &problems, const std::string &folder)
{
  for (const InputProblem &problem : problems)
  {
    json event       = run_event("error", problem.message);
    event["file"]    = or_null(problem.file);
    event["line"]    = or_null(problem.line);
    event["column"]  = or_null(problem.column);
    event["key"]     = or_null(problem.section);
    event["found"]   = or_null(problem.found);
    event["allowed"] = or_null(problem.allowed);
    event["nearest"] = or_null(problem.nearest);
    print_event(event);
  }
  tell_done(2, folder, {});
}

void tell_failure(const std::string &message, const std::string &folder)
{
  print_event(run_event("error", message));
  tell_done(1, folder, {});
}
} // namespace stifle::app

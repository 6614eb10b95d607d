#include "models/core/error.h"
#include "models/core/files.h"
#include "models/joint/cells.h"
#include "scenarios/app/commands.h"
#include "scenarios/checks/check.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

namespace stifle::app
{
namespace
{
std::vector<checks::CheckCase> chosen_checks(const std::vector<std::string> &ids)
{
  const std::vector<checks::CheckCase> all = checks::all_checks();
  std::vector<InputProblem>            problems;
  std::string                          known;
  for (const checks::CheckCase &check : all)
    known += (known.empty() ? "" : ", ") + check.id;
  const auto is_known = [&](const std::string &id) {
    return std::any_of(all.begin(), all.end(), [&](const checks::CheckCase &c) { return c.id == id; });
  };
  for (const std::string &id : ids)
    if (!is_known(id))
    {
      InputProblem problem;
      problem.file    = "command line";
      problem.message = "no check case '" + id + "'";
      problem.found   = id;
      problem.allowed = known;
      problems.push_back(problem);
    }
  if (!problems.empty())
    throw InputError(problems);
  std::vector<checks::CheckCase> chosen;
  for (const checks::CheckCase &check : all)
    if (ids.empty() || std::find(ids.begin(), ids.end(), check.id) != ids.end())
      chosen.push_back(check);
  return chosen;
}

std::string verdict_of(const checks::CheckRow &row) { return row.passed() ? "holds" : (row.level == 'V' ? "FAILS" : "does not hold"); }

void add_row(Table &table, const checks::CheckRow &row)
{
  table.begin_row();
  table.add(row.id);
  table.add(row.quantity);
  add_if(table, std::isfinite(row.value), row.value);
  table.add(row.expected);
  table.add(row.tolerance);
  table.add(row.unit);
  table.add(std::string(1, row.level));
  table.add(row.independent ? "yes" : "no");
  table.add(verdict_of(row));
  table.add(row.seconds);
  table.add(row.source);
}
} // namespace

int validate_command(const std::vector<std::string> &ids, const std::string &out)
{
  Table    table({"id", "quantity", "value", "expected", "tolerance", "unit", "level", "independent", "verdict", "seconds", "source"});
  unsigned failing = 0, reported = 0, rows = 0;
  fmt::print("Level V: must hold. Level E: a published experiment or value, reported as it falls.\n{:<4} {} {:<58} {:>12}\n", "id",
             "L", "quantity", "value");
  for (const checks::CheckCase &check : chosen_checks(ids))
    for (const checks::CheckRow &row : checks::run_check(check))
    {
      add_row(table, row);
      ++rows;
      failing += row.level == 'V' && !row.passed();
      reported += row.level != 'V' && !row.passed();
      fmt::print("{:<4} {} {:<58} {:>12.6g}  expected {:>10.6g} +- {:<9.3g} {:<8} {}\n", row.id, row.level,
                 row.quantity.substr(0, 58), row.value, row.expected, row.tolerance, row.unit, verdict_of(row));
      if (!row.passed())
        fmt::print("       {}\n", row.source);
      std::fflush(stdout);
    }
  fmt::print("{} rows: {} of level V fail; {} of level E do not hold and are shown as they fall.\n", rows, failing, reported);
  fmt::print("{}\n", caution());
  if (!out.empty())
    write_file(out, table.csv());
  return failing == 0 ? 0 : 1;
}
} // namespace stifle::app

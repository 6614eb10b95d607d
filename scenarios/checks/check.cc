#include "models/core/log.h"
#include "scenarios/checks/rig_cases.h"
#include <algorithm>
#include <cmath>
#include <limits>

namespace stifle::checks
{
bool CheckRow::passed() const { return std::abs(value - expected) <= tolerance; }

CheckRow check_row(const std::string &id, const std::string &quantity, double value, double expected, double tolerance,
                   const std::string &unit, char level, bool independent, const std::string &source)
{
  CheckRow row;
  row.id          = id;
  row.quantity    = quantity;
  row.value       = value;
  row.expected    = expected;
  row.tolerance   = tolerance;
  row.unit        = unit;
  row.level       = level;
  row.independent = independent;
  row.source      = source;
  return row;
}

CheckRow because(CheckRow row, const std::string &why)
{
  if (!row.passed())
    row.source += "; misses because " + why;
  return row;
}

std::vector<CheckRow> run_check(const CheckCase &check)
{
  const double          start = elapsed_seconds();
  std::vector<CheckRow> rows;
  try
  {
    rows = check.run();
  }
  catch (const std::exception &error)
  {
    CheckRow row;
    row.id       = check.id;
    row.quantity = "the case ends without an error";
    row.value    = std::numeric_limits<double>::quiet_NaN();
    row.level    = 'V';
    row.source   = error.what();
    rows         = {row};
  }
  const double seconds = elapsed_seconds() - start;
  for (CheckRow &row : rows)
    row.seconds = seconds;
  return rows;
}

std::vector<CheckCase> all_checks()
{
  std::vector<CheckCase> all;
  for (const auto &group :
       {limb_checks(), joint_checks(), solver_checks(), repair_checks(), margin_checks(), bone_checks(), rig_checks()})
    all.insert(all.end(), group.begin(), group.end());
  const auto key = [](const CheckCase &c) { return std::make_pair(c.id[0], std::stoi("0" + c.id.substr(1))); };
  std::stable_sort(all.begin(), all.end(), [&](const CheckCase &a, const CheckCase &b) { return key(a) < key(b); });
  return all;
}
} // namespace stifle::checks

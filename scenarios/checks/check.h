// scenarios/checks/check.h - the check cases behind `stifle validate` and the tests
//   An expected value always names where it comes from; a case that fails at level E is reported, level V must pass.
#pragma once
#include <functional>
#include <string>
#include <vector>

namespace stifle::checks
{
struct CheckRow
{
  std::string id, quantity;
  double      value = 0, expected = 0, tolerance = 0; ///< tolerance absolute, in `unit`
  std::string unit;
  char        level = 'E';       ///< V must pass, E is reported
  bool        independent = true;
  std::string source;            ///< and, for a failing E row, the sentence why
  double      seconds = 0;
  bool        passed() const;    ///< |value - expected| <= tolerance, false for NaN
};

/// A row in one call; `tolerance` is absolute.
CheckRow check_row(const std::string &id, const std::string &quantity, double value, double expected, double tolerance,
                   const std::string &unit, char level, bool independent, const std::string &source);

/// Adds the sentence why to a row that fails.
CheckRow because(CheckRow row, const std::string &why);

struct CheckCase
{
  std::string                            id; ///< J1, C7, ... ; S = our own analytic checks
  std::function<std::vector<CheckRow>()> run;
};

std::vector<CheckCase> limb_checks();    ///< limb_checks.cc
std::vector<CheckCase> joint_checks();   ///< joint_checks.cc
std::vector<CheckCase> solver_checks();  ///< solver_checks.cc
std::vector<CheckCase> repair_checks();  ///< repair_checks.cc
std::vector<CheckCase> margin_checks();  ///< margin_checks.cc
std::vector<CheckCase> bone_checks();    ///< bone_checks.cc
std::vector<CheckCase> all_checks();     ///< check.cc, in order of id
/// Runs a case, fills `seconds` of each row. An exception becomes a failing row with its text in `source`.
std::vector<CheckRow> run_check(const CheckCase &check);
} // namespace stifle::checks

// The rows A1 to A12, A14 and A15 of alternatives.md section 7, all with the joint in space. A13 and A16: load_case_checks.cc.
#include "scenarios/checks/repair_checks_support.h"

namespace stifle::checks
{
std::vector<CheckCase> repair_checks()
{
  std::vector<CheckCase> all;
  for (const auto &group : {repair_plan_checks(), repair_suture_checks(), repair_hand_checks(), repair_advancement_checks(),
                            repair_compared_checks()})
    all.insert(all.end(), group.begin(), group.end());
  return all;
}
} // namespace stifle::checks

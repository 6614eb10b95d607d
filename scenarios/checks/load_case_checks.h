// scenarios/checks/load_case_checks.h - rows about the twelve load cases of alternatives.md 1c and the opposite limb
#pragma once
#include "scenarios/checks/check.h"

namespace stifle::checks
{
std::vector<CheckRow> load_case_rows();     ///< S4: moments, forces, thrust of 1c from posture and ground force
std::vector<CheckRow> flexed_task_rows();   ///< A16: sit-to-stand and stairs against the walk
std::vector<CheckRow> opposite_limb_rows(); ///< A13: limb use, impulses of four limbs
} // namespace stifle::checks

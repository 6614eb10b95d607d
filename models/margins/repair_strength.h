// models/margins/repair_strength.h - load of a repair against what it has carried on a bench
//   in      plain forces, N, >= 0: line of the suture; patellar tendon, which pulls on an advanced tuberosity
//   out     rows of demand and capacity; margin and verdict: models/margins/yield.h. none, levelling and wedge give no row: what
//           holds a cut is judged by the construct
//   errors  Error on NaN, infinity, a negative force or an unknown line
//   source  alternatives.md sections 2a and 2b
//   limits  the spacer figures are pull-out of a sheep bench; the whole tendon force as its demand is an upper bound (assumption)
#pragma once
#include "models/parts/repair.h"

namespace stifle
{
struct RepairLoads
{
  double suture_n = 0;
  double patellar_tendon_n = 0;
};

struct RepairStrength
{
  std::string part, mode; ///< suture: yield, peak; spacer: pull_out_well_placed, pull_out_badly_placed
  double demand = 0, capacity = 0, capacity_sd = 0;
  std::string unit, label, source;
};

/// `material`: row of suture_materials(), read for kind suture only.
std::vector<RepairStrength> repair_strength(RepairKind kind, const RepairLoads &loads, const std::string &material = "");
} // namespace stifle

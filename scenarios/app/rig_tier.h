// scenarios/app/rig_tier.h - `stifle run` of a scenario with a bench rig: no joint; specimen, answer, tables, closing text
//   out     construct.csv, cut.csv (a specimen with a cut), screws.csv, margins.csv as for the limb (activity = kind of rig,
//           stance_percent 0), fields, summary.json, and rig.csv: plateau_angle_deg, quantity, value, unit, part, x_mm, y_mm, z_mm
//   again   a slope that an earlier run of the same scenario finished is taken up from DIR/cases, as for the limb
//   errors  a slope that fails keeps its message and the others go on: exit code 1
#pragma once
#include "scenarios/app/commands.h"
#include "scenarios/app/slope_result.h"
#include "solver/rig.h"

namespace stifle::app
{
int run_rig(const Scenario &scenario, const RunOptions &options);
/// Refuses what cannot be placed before anything is meshed. Throws InputError naming `file`.
void check_rig_geometry(const Scenario &scenario, const std::string &file);

/// What the answer says, in the order in which the closing text prints it.
std::vector<RigRow> rig_rows(const solver::RigBench &bench, const solver::RigAnswer &answer, const std::optional<solver::RigCollapse> &push);
} // namespace stifle::app

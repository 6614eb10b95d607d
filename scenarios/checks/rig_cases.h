// scenarios/checks/rig_cases.h - the bench rigs behind the rows C17, C19 to C25, J23, J26: scenario in, answer out
//   the same functions as `stifle run` with a rig: solver/rig.h. Coarse meshes, named in the rows' sources
#pragma once
#include "scenarios/checks/check.h"
#include "solver/rig.h"
#include <functional>

namespace stifle::checks
{
struct RigTest
{
  solver::RigBench bench;
  solver::RigAnswer answer;
};
/// Specimen and answer; a tibia that is levelled is levelled to 6 deg.
RigTest test_rig(const Scenario &scenario);
solver::RigBench bench_of(const Scenario &scenario);

Scenario tibia_scenario(const std::string &kind); ///< the default dog, 5.5 and 1.2 mm
Scenario tubes_scenario(const std::string &kind); ///< two tubes with a straight plate, 5 and 1.2 mm

/// Test of S12 (abstract): 30 000 loadings to 1000 N, then 75 N more every 500 to failure. Miner's sum.
struct StepTest
{
  double usage_before_steps = 0, loadings = 0, load_n = 0; ///< at failure, whole steps
};
/// `life_at`: loadings to failure at that multiple of 1000 N. Ends at 31 000 N at the latest.
StepTest step_test(const std::function<double(double)> &life_at);

std::vector<CheckRow> axial_closed();    ///< C21 (J22 counted here)       rig_tibia_checks.cc
std::vector<CheckRow> ultimate_loads();  ///< C22
std::vector<CheckRow> gap_to_2000();     ///< C23
std::vector<CheckRow> rock_back();       ///< C24 (J28 counted here)
std::vector<CheckRow> endurance();       ///< J23
std::vector<CheckRow> tuberosity_pull(); ///< J26
std::vector<CheckRow> plated_torsion();  ///< C17                           rig_plate_checks.cc
std::vector<CheckRow> carpal_strain();   ///< C19
std::vector<CheckRow> carpal_fatigue();  ///< C20
std::vector<CheckRow> far_wall_contact();///< C25
std::vector<CheckCase> rig_checks();     ///< all of them
} // namespace stifle::checks

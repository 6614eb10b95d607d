// scenarios/app/construct_tier.h - steps 4 to 6 for every plateau slope: mesh, factor once, every week x activity x instant
//   errors  a slope that fails keeps its message in SlopeResult::error; the others go on
//   resume  a finished slope is a file in DIR/cases; a later run with the same scenario and program takes it up
#pragma once
#include "models/joint/joint.h"
#include "scenarios/app/slope_result.h"
#include "solver/construct_model.h"

namespace stifle::app
{
struct ConstructPlan
{
  Scenario              scenario;
  std::vector<Activity> activities;
  std::string           folder;      ///< results folder
  std::string           fingerprint; ///< of scenario and program version
  int                   threads = 2;
  solver::SolverKind    solver  = solver::SolverKind::automatic;
};

/// One entry per slope: the unoperated bone first, then the levelling targets in the order of the scenario.
std::vector<SlopeResult> run_construct_tier(const ConstructPlan &plan);
/// The slopes in that order.
std::vector<Levelling> slopes_of(const Scenario &scenario);

/// Limb, joint state and free body of one instant on one slope: what the construct is loaded with.
struct LoadedInstant
{
  StanceLoad load;
  JointState joint;
};
/// `limb_use`: share of the ground force of a sound limb that this one takes.
LoadedInstant loaded_instant(const Scenario &scenario, const OperatedAnatomy &bone, const Activity &activity, double percent,
                             double limb_use = 1);
/// The instants of a stance up to `percent` that load the cut in turn (key healing.load_path), each after the one before; the last is
/// that of `percent`. Instants at which the joint does not converge are left out.
std::vector<solver::LoadStep> load_path(const Scenario &scenario, const OperatedAnatomy &bone, const Activity &activity, double percent,
                                        double limb_use);
} // namespace stifle::app

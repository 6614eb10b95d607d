// scenarios/app/construct_tier.h - steps 4 to 6 for every plateau slope: mesh, factor once, every week x activity x instant
//   errors  a slope that fails keeps its message in SlopeResult::error; the others go on
//   resume  a finished slope is a file in DIR/cases; a later run with the same scenario and program takes it up
//   sharing any number of processes may run one scenario into one folder: each slope is computed by one of them (claims.h)
#pragma once
#include "models/joint/joint.h"
#include "scenarios/app/slope_result.h"
#include "solver/construct_model.h"

namespace stifle::app
{
/// Of the word of --solver: direct, cg, auto.
solver::SolverKind solver_kind(const std::string &word);

class SlopeProgress;
struct Shared;

struct ConstructPlan
{
  Scenario              scenario;
  std::vector<Activity> activities;
  std::string           folder;      ///< results folder
  std::string           fingerprint; ///< of scenario and program version
  int                   threads = 2;
  solver::SolverKind    solver  = solver::SolverKind::automatic;
  bool                  wait    = true; ///< for slopes that other processes work on; else LeftToOthers is thrown
  std::string           mesh_folder = {}; ///< empty: folder/meshes; the variants of a study share one
};

/// One entry per slope: the unoperated bone first, then the levelling targets in the order of the scenario.
std::vector<SlopeResult> run_construct_tier(const ConstructPlan &plan);
/// One slope; what goes wrong with it is its error. Only Interrupted is thrown.
SlopeResult run_kept_slope(const ConstructPlan &plan, const Levelling &levelling, Shared &shared, SlopeProgress &progress);
/// Folders and the table of the inputs of margins; says what the diary leaves out.
void prepare_construct(const ConstructPlan &plan);
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
/// Whether the instants of this activity load the cut in turn (key healing.load_path).
bool loads_in_turn(const Scenario &scenario, const Activity &activity);
/// The instant of `percent`, last, behind those of its stance that load the cut before it. Of these the ones at which the joint does not
/// converge are left out.
std::vector<LoadedInstant> stance_path(const Scenario &scenario, const OperatedAnatomy &bone, const Activity &activity, double percent,
                                       double limb_use);
/// Each instant after the one before.
std::vector<solver::LoadStep> load_path(const std::vector<LoadedInstant> &instants);
} // namespace stifle::app

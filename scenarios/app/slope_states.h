// scenarios/app/slope_states.h - the load states of one slope, week by week as blocks of the model, with the limb that makes them
//   path    within a week the instants of an activity load the cut in turn (key healing.load_path); activities start from rest
//   equal   an activity of one instant has one state a week; a bone without a cut has the same in every week of the same limb use
//   errors  a state that fails is counted in failures() and left out; the others of its week stand
#pragma once
#include "models/healing/diary.h"
#include "scenarios/app/construct_progress.h"
#include "scenarios/app/construct_tier.h"
#include <map>

namespace stifle::app
{
/// The dog whose state is solved: that of the scenario, or a drawn one on the same tibia.
struct Subject
{
  const Scenario        &scenario;
  const Anatomy         &anatomy; ///< before the operation
  const OperatedAnatomy &bone;
  double                 callus_shift = 0;
};

class SlopeStates
{
public:
  /// All but the name are borrowed.
  SlopeStates(const ConstructPlan &plan, const Levelling &levelling, std::string name, solver::ConstructModel &model,
              SlopeProgress &progress);
  /// Adds rows and cut maps of a week to `result`.
  void solve_week(const Subject &dog, double week, int threads, SlopeResult &result);
  /// Week, activity and instant of `nominal` for another dog; stress for margins only. Throws Error when it cannot.
  StateRow solve_drawn(const Subject &dog, const Activity &activity, const StateRow &nominal);
  const std::map<std::string, int> &failures() const { return failures_; } ///< sentence, number of states

private:
  /// Where a state of a week comes from: a step of the block, another state, or nowhere.
  struct Slot
  {
    double                       week, percent;
    const Activity              *activity;
    std::optional<LoadedInstant> instant = {};
    std::string                  failure = {};
    int                          step = -1, after = -1; ///< in the block
    int                          equal_row = -1, equal_slot = -1;
    int                          row = -1; ///< in the result
  };
  Slot slot_of(const Subject &dog, Slot slot, const std::vector<Slot> &before, const SlopeResult &result) const;
  void take(Slot &slot, const std::vector<Slot> &slots, const Subject &dog, const std::vector<ConstructState> &states, SlopeResult &result);
  /// A row already solved that is the same; -1: none.
  int           equal_state(const Slot &slot, const SlopeResult &result) const;
  void          require_pose(const LoadedInstant &instant, const Activity &activity, double percent) const; ///< throws Error
  StateRow      row_of(const Subject &dog, StateRow row, const LoadedInstant &instant, const ConstructState &state) const;
  /// The support must give back the hock force of the limb, and no moment about the hock axis.
  void close(const Subject &dog, const LoadedInstant &instant, StateRow &row) const;

  const ConstructPlan       &plan_;
  const Levelling           &levelling_;
  const std::string          name_;
  solver::ConstructModel    &model_;
  SlopeProgress             &progress_;
  const LimbUse              limb_use_;
  const bool                 learns_; ///< where peaks lie, for drawn dogs
  std::map<std::string, int> failures_;
};
} // namespace stifle::app

// models/joint/sweep.h - the joint solved over slopes, ligament states, repairs, load sets and instants of stance
//   order   plateau angle (rising) outermost, then ligament (intact, torn), repair (none, levelling), load set (stance first),
//           activity as listed, instant rising
//   slopes  repair none: the unoperated joint and every angle of study.sweep_plateau_deg as the NATIVE plateau angle of a dog
//           with the same soft parts (plateau and its landmarks turned about the intercondylar point; make_anatomy).
//           repair levelling: the dog of the scenario levelled to levelling.plateau_angles_deg and to every angle of the sweep
//           below its plateau angle. Levelling rows only when the scenario's repair.kind names it.
//   threads none: rows never depend on one another's results
#pragma once
#include "models/joint/joint.h"

namespace stifle
{
struct JointRow
{
  double plateau_angle_deg = 0; ///< achieved, against the functional axis
  double plateau_angle_target_deg = 0;
  LigamentState ligament = LigamentState::intact;
  std::string repair = "none"; ///< none | levelling
  LoadSet set = LoadSet::stance;
  std::string activity;          ///< empty outside the set stance
  std::optional<double> percent; ///< of stance; empty outside the set stance
  StanceLoad load;
  JointState state; ///< translation_cranial_mm and rotation_internal_rad are relative to the intact unoperated joint of the scenario
  bool spatial = false;             ///< joint.dimension 3
  std::optional<double> thrust_low_n, thrust_high_n; ///< 5 and 95 %, with study.samples only (models/study/bands.h)
  bool reference_converged = false; ///< that joint was found; otherwise the translation is not known
};

/// Every combination; rows that do not converge are kept with `converged` false.
/// Throws Error when the arc of a named levelling angle cannot be.
std::vector<JointRow> joint_rows(const Scenario &scenario, const std::vector<Activity> &activities);
} // namespace stifle

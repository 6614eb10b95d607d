// models/joint/sweep.h - the joint solved over slopes, ligament states, repairs, load sets and instants of stance
//   order   plateau angle (rising) outermost, then ligament (intact, torn), repair (none, levelling, wedge, suture, advancement),
//           load set (stance first), activity as listed, instant rising
//   slopes  models/joint/repair_bones.h: repair none is the unoperated joint and every angle of study.sweep_plateau_deg as the
//           NATIVE plateau angle (without a user's surfaces); levelling the named targets and the sweep below the plateau angle;
//           wedge, suture and advancement one bone each. Only what repair.kind names.
//   threads rows of one bone and ligament follow one another (an earlier instant helps where the pose is not found), bones do
//           not: the same digits for any number of threads
#pragma once
#include "models/joint/joint.h"
#include "models/joint/repair_bones.h"
#include "models/core/parallel.h"

namespace stifle
{
struct JointRow
{
  double plateau_angle_deg = 0; ///< achieved, against the functional axis
  double plateau_angle_target_deg = 0;
  LigamentState ligament = LigamentState::intact;
  std::string repair = "none"; ///< word of repair.kind
  LoadSet set = LoadSet::stance;
  std::string activity;          ///< empty outside the set stance
  std::optional<double> percent; ///< of stance; empty outside the set stance
  StanceLoad load;
  JointState state;     ///< translation_cranial_mm and rotation_internal_rad against the intact unoperated joint of the scenario
  bool spatial = false; ///< joint.dimension 3
  std::optional<double> thrust_low_n, thrust_high_n; ///< 5 and 95 %, with study.samples only (models/study/bands.h)
  bool reference_converged = false;                  ///< that joint was found; otherwise the translation is not known
  bool beyond_muscle_cap = false;                    ///< quadriceps above the cap of models/limb/muscle_cap.h
};

/// Translation and rotation of each row (JointRow or one like it) against the row of the reference at the same place.
template <class Row> void subtract_reference(std::vector<Row> &rows, const std::vector<Row> &references)
{
  for (std::size_t i = 0; i < rows.size(); ++i)
  {
    rows[i].reference_converged = references[i].state.converged;
    rows[i].state.translation_cranial_mm -= references[i].state.translation_cranial_mm;
    rows[i].state.rotation_internal_rad -= references[i].state.rotation_internal_rad;
  }
}

struct SweepOptions
{
  int threads = 1;
  Progress progress; ///< pieces: bones times ligament states
};

/// Every combination; rows that do not converge, and rows whose load cannot be, are kept with `converged` false and the reason.
/// Throws Error when a repair of the scenario cannot be done.
std::vector<JointRow> joint_rows(const Scenario &scenario, const std::vector<Activity> &activities,
                                 const SweepOptions &options = {});
} // namespace stifle

// models/joint/posture_sweep.h - the joint under one ground force as the limb goes from crouched to straight
//   loads   models/limb/posture.h: stifle 110 to 170 deg in steps of 5; ground force and foot of the middle of the base activity
//           (walk, else the first one); synthetic postures, an assumption
//   columns translation and rotation against the intact unoperated joint in the same posture
//   errors  Error when a repair cannot be done or no posture meets the rule; a pose that is not found is a row that says so
#pragma once
#include "models/core/files.h"
#include "models/joint/sweep.h"

namespace stifle
{
struct PostureRow
{
  std::string base, repair;
  double plateau_angle_deg = 0, plateau_angle_target_deg = 0;
  LigamentState ligament = LigamentState::intact;
  StanceLoad load;
  JointState state; ///< translation and rotation already against the reference
  bool spatial = false, reference_converged = false, beyond_muscle_cap = false;
};

/// Bone as in named_bones, then ligament (intact, torn), then stifle angle rising. Empty without activities.
std::vector<PostureRow> posture_rows(const Scenario &scenario, const std::vector<Activity> &activities,
                                     const SweepOptions &options = {});
Table posture_table(const std::vector<PostureRow> &rows);
/// posture_pose.csv: named points of every converged row, as joint_pose.csv has them.
Table posture_pose_table(const std::vector<PostureRow> &rows);
} // namespace stifle

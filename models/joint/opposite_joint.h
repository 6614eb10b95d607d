// models/joint/opposite_joint.h - thrust and cruciate force of the sound opposite hind limb while the operated one recovers
//   load    ground force of the middle of stance times scale_opposite (models/limb/opposite.h); posture and contact times held
//           (assumption); the joint is intact and unoperated
//   weeks   healing.weeks and the weeks for which limb use is known (2, 4, 6, 8, 12, 16, 26)
#pragma once
#include "models/core/files.h"
#include "models/joint/sweep.h"
#include "models/limb/opposite.h"

namespace stifle
{
struct OppositeJointRow
{
  OppositeRow share;
  double percent = 50;
  JointState state;
};

/// Order of opposite_rows: repair (none, then those of repair.kind), activity as listed, week rising. Only repairs and activities
/// with numbers in models/limb/opposite.h; opposite_joint_left_out names the others.
std::vector<OppositeJointRow> opposite_joint_rows(const Scenario &scenario, const std::vector<Activity> &activities,
                                                  const SweepOptions &options = {});
std::vector<std::string> opposite_joint_left_out(const Scenario &scenario, const std::vector<Activity> &activities);
/// opposite.csv: one row each, in that order. limb_use_label: where operated_over_sound comes from.
Table opposite_joint_table(const std::vector<OppositeJointRow> &rows);
} // namespace stifle

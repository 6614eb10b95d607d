// scenarios/app/joint_tier.h - everything the joint alone gives: rows, hand tests, wear, postures, opposite limb, repairs, bands
//   writes  joint.csv, joint_pose.csv, repairs.csv, posture.csv, posture_pose.csv, opposite.csv; in three dimensions passive.csv and wear.csv; with
//           study.samples bands.csv, sensitivity.csv and uncertain_inputs.csv (a user's surfaces are held)
//   threads no digit depends on their number
//   errors  Error when a repair cannot be done; Interrupted
#pragma once
#include "models/joint/sweep.h"
#include "scenarios/app/tables.h"

namespace stifle::app
{
struct JointTier
{
  std::vector<JointRow> rows;
  NeutralAngles neutral;
};

JointTier run_joint_tier(const Scenario &scenario, const std::vector<Activity> &activities, const std::string &folder,
                         int threads);
} // namespace stifle::app

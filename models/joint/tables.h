// models/joint/tables.h - joint.csv and joint_pose.csv of the results contract (design.md "Results")
//   frame   tibia of a right limb, anatomical: equal for both limbs;  units in the column names; empty cell = not computed
#pragma once
#include "models/core/files.h"
#include "models/joint/sweep.h"
#include <functional>

namespace stifle
{
/// What the repair itself carries: tension of the suture; for advancement the whole force of the patellar tendon, an upper bound of
/// what pulls on spacer and tuberosity (assumption). Empty for the repairs that are part of the bone and for rows without a pose.
std::optional<double> repair_load_n(const JointRow &row);
Table joint_table(const std::vector<JointRow> &rows);
/// Columns of a named point, behind the keys of its row.
inline const std::vector<std::string> pose_columns = {"point", "x_mm", "y_mm", "z_mm", "fx_n", "fy_n", "fz_n", "mx_nmm", "my_nmm", "mz_nmm"};
struct PoseKeys
{
  std::function<void(Table &)> add; ///< begins a row and adds its keys
  bool ground = true;               ///< the ground force acts (full balance)
};
/// Every named point of one state, a row each.
void add_pose(Table &table, const JointState &state, const StanceLoad &load, const PoseKeys &keys);
/// Named points of every converged row, with force and couple that act there on tibia or foot (on the foot: centre_of_pressure).
Table joint_pose_table(const std::vector<JointRow> &rows);
/// Writes joint.csv and joint_pose.csv into `folder`.
void write_joint_tables(const std::string &folder, const std::vector<JointRow> &rows);
} // namespace stifle

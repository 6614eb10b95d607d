// viz/joint_rows.h - rows of joint.csv and joint_pose.csv by their key columns (design.md "Results in DIR")
//   units  as in the column names; an empty cell reads as not given
#pragma once
#include "models/core/files.h"
#include "models/core/units.h"
#include "viz/picture.h"
#include <map>
#include <optional>

namespace stifle::viz
{
class JointRows
{
public:
  /// joint.csv, or joint_pose.csv with the same key columns. Throws InputError when the file or a key column is missing.
  explicit JointRows(const std::string &file);

  std::vector<std::size_t> find(const RowKey &key, bool any_angle = false) const;
  std::optional<double> number(std::size_t row, const std::string &column) const;
  const std::string &word(std::size_t row, const std::string &column) const;

private:
  ReadTable table_;
};

struct PosePoint
{
  Vector3 at = Vector3::Zero(), force_n = Vector3::Zero();
};
/// The named points of one row; empty when there is none.
std::map<std::string, PosePoint> pose_points(const JointRows &pose, const RowKey &key);
} // namespace stifle::viz

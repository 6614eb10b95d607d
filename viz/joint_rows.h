// viz/joint_rows.h - rows of joint.csv and joint_pose.csv by their key columns (design.md "Results in DIR")
//   units  as in the column names; an empty cell reads as not given
#pragma once
#include "models/core/units.h"
#include "viz/picture.h"
#include "viz/table_rows.h"
#include <map>

namespace stifle::viz
{
/// Words of the column `repair`, in the order of the pictures.
struct RepairWords
{
  const char *repair, *words;
  bool turns_the_plateau;
};
constexpr RepairWords repair_words[] = {{"none", "no repair", false},
                                        {"levelling", "levelled", true},
                                        {"wedge", "wedge levelling", true},
                                        {"suture", "lateral suture", false},
                                        {"advancement", "tuberosity advanced", false}};

class JointRows : public TableRows
{
public:
  using TableRows::TableRows;

  /// joint.csv, or joint_pose.csv with the same key columns. Throws InputError when a key column is missing.
  std::vector<std::size_t> find(const RowKey &key, bool any_angle = false) const;
  /// With the plateau angle nearest to the one aimed at, over all instants of stance.
  std::vector<std::size_t> find_nearest_slope(const RowKey &key) const;
};

struct PosePoint
{
  Vector3 at = Vector3::Zero(), force_n = Vector3::Zero();
};
/// The named points of one row; empty when there is none.
std::map<std::string, PosePoint> pose_points(const JointRows &pose, const RowKey &key);
} // namespace stifle::viz

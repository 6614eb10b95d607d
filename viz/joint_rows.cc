#include "viz/joint_rows.h"

namespace stifle::viz
{
namespace
{
bool near(double wanted, const std::optional<double> &found) { return found && std::abs(*found - wanted) < 1e-6; }

Filter words_of(const RowKey &key)
{
  return {{"repair", key.repair}, {"ligament", key.ligament}, {"load_set", key.load_set}, {"activity", key.activity}};
}
} // namespace

std::vector<std::size_t> JointRows::find(const RowKey &key, bool any_angle) const
{
  std::vector<std::size_t> found;
  for (const std::size_t r : where(words_of(key)))
    if ((key.load_set != "stance" || near(key.stance_percent, number(r, "stance_percent"))) &&
        (any_angle || near(key.plateau_angle_target_deg, number(r, "plateau_angle_target_deg"))))
      found.push_back(r);
  return found;
}

std::vector<std::size_t> JointRows::find_nearest_slope(const RowKey &key) const
{
  return nearest(where(words_of(key)), "plateau_angle_target_deg", key.plateau_angle_target_deg);
}

std::map<std::string, PosePoint> pose_points(const JointRows &pose, const RowKey &key)
{
  std::map<std::string, PosePoint> points;
  for (const std::size_t r : pose.find(key))
  {
    PosePoint point;
    const char *at[] = {"x_mm", "y_mm", "z_mm"}, *force[] = {"fx_n", "fy_n", "fz_n"};
    for (int i = 0; i < 3; ++i)
    {
      point.at[i] = pose.number(r, at[i]).value_or(0);
      point.force_n[i] = pose.number(r, force[i]).value_or(0);
    }
    points.emplace(pose.word(r, "point"), point);
  }
  return points;
}
} // namespace stifle::viz

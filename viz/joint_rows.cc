#include "viz/joint_rows.h"
#include <cstdlib>

namespace stifle::viz
{
namespace
{
bool fits(const std::string &wanted, const std::string &found) { return wanted.empty() || wanted == found; }
bool near(double wanted, const std::optional<double> &found) { return found && std::abs(*found - wanted) < 1e-6; }
} // namespace

JointRows::JointRows(const std::string &file) : table_(read_table(file)) {}

const std::string &JointRows::word(std::size_t row, const std::string &column) const
{
  return table_.rows[row][static_cast<std::size_t>(table_.column(column))];
}

std::optional<double> JointRows::number(std::size_t row, const std::string &column) const
{
  const std::string &cell = word(row, column);
  char *end = nullptr;
  const double value = std::strtod(cell.c_str(), &end);
  return cell.empty() || *end != '\0' || !std::isfinite(value) ? std::nullopt : std::optional<double>(value);
}

std::vector<std::size_t> JointRows::find(const RowKey &key, bool any_angle) const
{
  std::vector<std::size_t> found;
  for (std::size_t r = 0; r < table_.rows.size(); ++r)
    if (fits(key.repair, word(r, "repair")) && fits(key.ligament, word(r, "ligament")) &&
        fits(key.load_set, word(r, "load_set")) && fits(key.activity, word(r, "activity")) &&
        (key.load_set != "stance" || near(key.stance_percent, number(r, "stance_percent"))) &&
        (any_angle || near(key.plateau_angle_target_deg, number(r, "plateau_angle_target_deg"))))
      found.push_back(r);
  return found;
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

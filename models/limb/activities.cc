#include "models/limb/activities.h"
#include "models/core/error.h"

namespace stifle
{
namespace
{
ActivityRow mix(const ActivityRow &a, const ActivityRow &b, double t)
{
  const auto between = [t](double x, double y) { return x + t * (y - x); };
  ActivityRow row;
  row.percent = between(a.percent, b.percent);
  row.tibia_tilt_deg = between(a.tibia_tilt_deg, b.tibia_tilt_deg);
  row.metatarsus_tilt_deg = between(a.metatarsus_tilt_deg, b.metatarsus_tilt_deg);
  row.femur_tilt_deg = between(a.femur_tilt_deg, b.femur_tilt_deg);
  row.force_up_bw = between(a.force_up_bw, b.force_up_bw);
  row.force_cranial_bw = between(a.force_cranial_bw, b.force_cranial_bw);
  row.centre_of_pressure_mm = between(a.centre_of_pressure_mm, b.centre_of_pressure_mm);
  row.force_medial_bw = between(a.force_medial_bw, b.force_medial_bw);
  row.centre_of_pressure_medial_mm = between(a.centre_of_pressure_medial_mm, b.centre_of_pressure_medial_mm);
  return row;
}
} // namespace

ActivityRow Activity::at(double percent) const
{
  ActivityRow row = percent <= rows.front().percent ? rows.front() : rows.back();
  for (std::size_t i = 1; i < rows.size(); ++i)
    if (percent > rows[i - 1].percent && percent <= rows[i].percent)
      row = mix(rows[i - 1], rows[i], (percent - rows[i - 1].percent) / (rows[i].percent - rows[i - 1].percent));
  row.percent = percent;
  return row;
}
const Activity *find_activity(const std::vector<Activity> &activities, const std::string &name)
{
  for (const Activity &activity : activities)
    if (activity.name == name)
      return &activity;
  return nullptr;
}

Activity activity_named(const std::string &name)
{
  const std::vector<Activity> shipped = default_activities();
  if (const Activity *activity = find_activity(shipped, name))
    return *activity;
  throw Error("activities.yaml has no table '" + name + "'");
}
} // namespace stifle

#include "models/limb/posture.h"

#include "models/core/error.h"

#include <fmt/format.h>

namespace stifle
{
namespace
{
ActivityRow with_tilt(ActivityRow row, double stifle_deg, double tibia_tilt_deg)
{
  row.tibia_tilt_deg = tibia_tilt_deg;
  row.femur_tilt_deg = 180 - stifle_deg - tibia_tilt_deg;
  return row;
}

double hip_ahead_mm(const Anatomy &anatomy, const ActivityRow &row)
{
  Activity instant;
  instant.rows = {row};
  return hip_ahead_of_paw_mm(stance_load(Scenario(), anatomy, instant, row.percent), anatomy);
}

/// Bisection on the tilt of the tibia: the hip moves forward with it as long as both bones point up.
ActivityRow under_the_hip(const Anatomy &anatomy, const ActivityRow &base, double stifle_deg, double hip_ahead)
{
  const double flexion_deg = 180 - stifle_deg;
  double low = std::max(-60.0, flexion_deg - 90), high = 90;
  const auto miss = [&](double tilt_deg) { return hip_ahead_mm(anatomy, with_tilt(base, stifle_deg, tilt_deg)) - hip_ahead; };
  if (miss(low) > 0 || miss(high) < 0)
    throw Error(fmt::format("no posture with stifle {:g} deg keeps the paw under the hip", stifle_deg));
  while (high - low > 1e-11)
    (miss((low + high) / 2) < 0 ? low : high) = (low + high) / 2;
  return with_tilt(base, stifle_deg, (low + high) / 2);
}
} // namespace

double hip_ahead_of_paw_mm(const StanceLoad &load, const Anatomy &anatomy)
{
  const double flexion = pi - load.stifle_angle_rad;
  const Vector3 hip = anatomy.femur_length_mm * (load.axes * Vector3(-std::sin(flexion), 0, std::cos(flexion)));
  const Vector3 cranial = load.axes.col(1).cross(load.up); // along the ground
  return (hip - load.centre_of_pressure).dot(cranial);
}

std::vector<double> posture_angles_deg(const PostureSweep &sweep)
{
  if (!(sweep.step_deg > 0) || !(sweep.first_deg < sweep.last_deg) || sweep.first_deg < 40 || sweep.last_deg > 180)
    throw Error(fmt::format("a posture sweep from {:g} to {:g} deg in steps of {:g} deg is empty or outside 40 to 180",
                            sweep.first_deg, sweep.last_deg, sweep.step_deg));
  std::vector<double> angles;
  for (int i = 0; sweep.first_deg + i * sweep.step_deg <= sweep.last_deg + 1e-9; ++i)
    angles.push_back(sweep.first_deg + i * sweep.step_deg);
  return angles;
}

Activity posture_activity(const Anatomy &anatomy, const ActivityRow &base, const PostureSweep &sweep)
{
  const std::vector<double> angles = posture_angles_deg(sweep);
  Activity activity;
  activity.name = "posture";
  activity.label = to_string(Label::assumption);
  activity.source = "one ground force under a swept stifle angle, paw under the hip (models/limb/posture.h)";
  for (std::size_t i = 0; i < angles.size(); ++i)
  {
    activity.rows.push_back(under_the_hip(anatomy, base, angles[i], sweep.hip_ahead_mm));
    activity.rows.back().percent = angles.size() == 1 ? 0 : 100.0 * double(i) / double(angles.size() - 1);
  }
  return activity;
}

std::vector<StanceLoad> posture_loads(const Scenario &scenario, const Anatomy &anatomy, const ActivityRow &base,
                                      const PostureSweep &sweep)
{
  const Activity activity = posture_activity(anatomy, base, sweep);
  std::vector<StanceLoad> loads;
  for (const ActivityRow &row : activity.rows)
    loads.push_back(stance_load(scenario, anatomy, activity, row.percent));
  return loads;
}
} // namespace stifle

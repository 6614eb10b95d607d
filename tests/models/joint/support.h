// tests/models/joint/support.h - cases of the joint tests
#pragma once
#include "models/joint/joint.h"

namespace stifle::test
{
inline OperatedAnatomy bone_at(const Scenario &s, double slope_deg)
{
  const Anatomy a = make_anatomy(s);
  const bool whole = std::abs(slope_deg - s.tibia.plateau_angle_deg) < 1e-9;
  return operate(a, whole ? no_levelling(a) : plan_levelling(s, a, radians(slope_deg)));
}

inline Activity activity(const std::string &name)
{
  for (const Activity &a : default_activities())
    if (a.name == name)
      return a;
  return {};
}

inline JointState solve(const Scenario &s, double slope_deg, LigamentState ligament, LoadSet set,
                        const std::string &name = "walk", double percent = 50)
{
  const Activity a = activity(name);
  return solve_instant(s, bone_at(s, slope_deg), ligament, set, &a, percent);
}

/// Moment about +y.
inline double moment_y(const Vector3 &arm, const Vector3 &force) { return arm.cross(force).y(); }
} // namespace stifle::test

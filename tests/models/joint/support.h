// tests/models/joint/support.h - cases of the joint tests
#pragma once
#include "models/joint/spatial_joint.h"
#include <map>

namespace stifle::test
{
constexpr LigamentState ligament_states[] = {LigamentState::intact, LigamentState::torn};

inline OperatedAnatomy bone_at(const Scenario &s, double slope_deg)
{
  const Anatomy a = make_anatomy(s);
  const bool whole = std::abs(slope_deg - s.tibia.plateau_angle_deg) < 1e-9;
  return operate(a, whole ? no_levelling(a) : plan_levelling(s, a, radians(slope_deg)));
}

inline Activity activity(const std::string &name)
{
  static const std::vector<Activity> all = default_activities();
  for (const Activity &a : all)
    if (a.name == name)
      return a;
  return {};
}

inline Scenario in_dimension(int dimension)
{
  Scenario s;
  s.joint.dimension = dimension;
  return s;
}

/// The case of a stance, levelled to `slope_deg` unless that is the native slope.
inline JointCase stance_case(const Scenario &s, double slope_deg, LigamentState ligament, const std::string &name = "walk",
                             double percent = 50)
{
  const OperatedAnatomy bone = bone_at(s, slope_deg);
  return {s, bone, ligament, LoadSet::stance, stance_load(s, bone.anatomy, activity(name), percent)};
}

inline JointCase set_case(const Scenario &s, double slope_deg, LigamentState ligament, LoadSet set)
{
  const OperatedAnatomy bone = bone_at(s, slope_deg);
  return {s, bone, ligament, set,
          set_load(s, bone, set, radians(s.loads.stifle_angle_deg), s.loads.axial_force_n)};
}

inline JointState solve(const Scenario &s, double slope_deg, LigamentState ligament, LoadSet set,
                        const std::string &name = "walk", double percent = 50)
{
  const Activity a = activity(name);
  return solve_instant(s, bone_at(s, slope_deg), ligament, set, &a, percent);
}

/// Moment about +y.
inline double moment_y(const Vector3 &arm, const Vector3 &force) { return arm.cross(force).y(); }

/// Force and moment about `at` of every force on the tibia, the foot's at the hock included (as a force through its centre).
inline Vector6 free_body(const JointState &state, const Vector3 &hock, const Vector3 &at)
{
  Vector6 sum;
  sum << state.hock_on_tibia, (hock - at).cross(state.hock_on_tibia);
  for (const PointForce &p : state.on_tibia)
  {
    sum.head<3>() += p.force_n;
    sum.tail<3>() += (p.point_mm - at).cross(p.force_n) + p.moment_nmm;
  }
  return sum;
}

/// Pose of the femur that a solved joint in three dimensions stands in.
inline SpatialPose pose(const JointCase &c, const JointState &state)
{
  return pose_of(SpatialSetup(c), Eigen::Map<const Vector7>(state.unknowns.data()));
}

/// Force and moment about `at` on tibia and foot as one body: ground, weights and both heads of gastrocnemius from outside, and what
/// the joint puts on the tibia. The share of the calcanean force between foot and tibia is inside the body.
inline Vector6 free_body_with_foot(const JointCase &c, const JointState &state, const Vector3 &at)
{
  Vector6 sum = Vector6::Zero();
  const auto add = [&](const Vector3 &point, const Vector3 &force)
  {
    sum.head<3>() += force;
    sum.tail<3>() += (point - at).cross(force);
  };
  add(c.load.centre_of_pressure, c.load.ground_force);
  add(c.load.foot_centre, c.load.foot_weight);
  const RigidPose femur = pose(c, state).femur;
  for (int side : {medial, lateral})
  {
    const Vector3 head = femur.turn * c.bone.anatomy.joint.fabella[side] + femur.shift_mm;
    add(c.load.calcaneus_tip, state.gastrocnemius_n / 2 * (head - c.load.calcaneus_tip).normalized());
  }
  for (const PointForce &p : state.on_tibia)
    if (p.name != "calcanean_share")
    {
      add(p.point_mm, p.force_n);
      sum.tail<3>() += p.moment_nmm;
    }
  return sum;
}

/// Largest of the forces and of the moments over the tibia's length, relative to the force of the foot.
inline double relative(const Vector6 &sum, const JointState &state)
{
  return std::max(sum.head<3>().norm(), sum.tail<3>().norm() / 200) / state.hock_on_tibia.norm();
}

inline std::map<std::string, PointForce> by_name(const JointState &state)
{
  std::map<std::string, PointForce> forces;
  for (const PointForce &p : state.on_tibia)
    forces[p.name] = p;
  return forces;
}
} // namespace stifle::test

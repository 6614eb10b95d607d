// models/parts/levelling.h - arc cut and rotation of the proximal segment
//   frame   unoperated tibia; the arc is a cylinder about the y direction through `centre`
//   errors  Error when the arc misses the bone, cuts the joint surface or cannot meet the tuberosity width
//   source  c = 2 R sin(phi/2): joint.md section 1 (derived, arithmetic)
#pragma once
#include "models/parts/anatomy.h"

namespace stifle
{
struct Levelling
{
  double target_angle_rad = 0;
  double achieved_angle_rad = 0; ///< plateau chord against the perpendicular of the new functional axis
  double rotation_rad = 0;       ///< plateau angle minus target; > 0 lowers the plateau angle
  double radius_mm = 0;
  Vector3 centre = Vector3::Zero(); ///< y = 0
  double chord_mm = 0;              ///< straight distance between the marks on both sides of the cut
  double tuberosity_width_mm = 0;   ///< from the tendon insertion to the cut, along x
  double safe_rotation_rad = 0;     ///< beyond it the plateau drops below the tendon insertion: a warning
  bool cut = false;                 ///< false: unoperated bone, everything above is identity

  /// True for a point of the unoperated bone that moves with the proximal segment: inside the cylinder.
  bool proximal(const Vector3 &point) const;
  /// A point of the proximal segment of the unoperated bone, after rotation. Identity when there is no cut.
  Vector3 moved(const Vector3 &point) const;
  Vector3 turned(const Vector3 &direction) const;
};

/// The cut about any centre: the free form behind plan_levelling, also for a centre that is off in z. No checks.
Levelling levelling_about(const Anatomy &anatomy, const Vector3 &centre, double radius_mm, double rotation_rad);
/// Throws Error when the arc misses the bone or the width cannot be met.
Levelling plan_levelling(const Scenario &scenario, const Anatomy &anatomy, double target_angle_rad);
Levelling no_levelling(const Anatomy &anatomy);
/// The anatomy with everything on the proximal side of the cut moved (plateau angle, insertions, chord origin).
/// `plateau_origin` below carries the moved intercondylar point.
struct OperatedAnatomy
{
  Anatomy anatomy; ///< proximal landmarks moved; plateau_angle_rad is the geometric angle in the unoperated frame
  Levelling levelling;
  Vector3 plateau_origin; ///< intercondylar point after rotation
};
OperatedAnatomy operate(const Anatomy &anatomy, const Levelling &levelling);
} // namespace stifle

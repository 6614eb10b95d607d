// models/parts/levelling.h - cut through the tibia and rotation of the proximal segment about the y direction
//   frame   unoperated tibia; an arc is a cylinder about `centre`; a wedge (wedge.h) is hinged at `centre`
//   errors  Error when the arc misses the bone, cuts the joint surface or cannot meet the tuberosity width
//   source  c = 2 R sin(phi/2): joint.md section 1 (derived, arithmetic)
#pragma once
#include "models/parts/anatomy.h"
#include "models/parts/suture.h"

namespace stifle
{
enum class CutShape
{
  arc,  ///< the tuberosity stays distal
  wedge ///< closing wedge below the tuberosity: tendon insertion and plateau move together
};

/// The arc and everything a cut of any shape says about the proximal segment.
struct Levelling
{
  CutShape shape = CutShape::arc;
  double target_angle_rad = 0;
  double achieved_angle_rad = 0; ///< plateau chord against the perpendicular of the new functional axis
  double rotation_rad = 0;       ///< of the proximal segment; > 0 lowers the plateau angle
  double radius_mm = 0;          ///< arc only
  Vector3 centre = Vector3::Zero(); ///< of rotation; y = 0
  double chord_mm = 0;              ///< arc only: straight distance between the marks on both sides of the cut
  double tuberosity_width_mm = 0;   ///< arc only: from the tendon insertion to the cut, along x
  double safe_rotation_rad = 0;     ///< arc only: beyond it the plateau drops below the tendon insertion: a warning
  bool cut = false;                 ///< false: unoperated bone, everything above is identity

  /// True for a point of the bone that moves with the proximal segment, in the unoperated and in the operated place alike:
  /// inside the cylinder; for a wedge proximal of its distal face.
  bool proximal(const Vector3 &point) const;
  /// A point of the proximal segment of the unoperated bone, after rotation. Identity when there is no cut.
  Vector3 moved(const Vector3 &point) const;
  Vector3 turned(const Vector3 &direction) const;
};

/// Plateau chord against the perpendicular of the new functional axis: the axis tilts with the moved intercondylar point, its
/// lower end (0, 0, -length) stays.
double achieved_plateau_angle_rad(const Anatomy &anatomy, const Levelling &cut);
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
  std::optional<SutureLine> suture = std::nullopt; ///< a line outside the joint; planned by models/parts/suture.h
};
OperatedAnatomy operate(const Anatomy &anatomy, const Levelling &levelling);
} // namespace stifle

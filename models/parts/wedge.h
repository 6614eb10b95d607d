// models/parts/wedge.h - cranial closing wedge: the proximal part of the tibia, tuberosity included, tilts about a caudal hinge
//   frame   unoperated tibia; hinge (-a, 0, -D) on the caudal cortex, D below the intercondylar point, a behind the functional
//           axis. The distal face of the wedge is square to the functional axis (assumption: it decides which landmarks lie in
//           the removed bone and nothing else); the proximal face rises cranially at the wedge angle
//   units   mm, radians
//   errors  Error when the wedge cuts out an insertion or the joint surface, or no wedge meets the target
//   source  TPA_post = TPA - w + delta(w): alternatives.md section 2c (derived)
#pragma once
#include "models/parts/levelling.h"

namespace stifle
{
struct WedgeMeasures
{
  double plateau_angle_rad, tibia_length_mm;
  double hinge_distance_mm; ///< D
  double axis_distance_mm;  ///< a
};

constexpr double widest_wedge_deg = 60;

/// Closed form: TPA - w + atan[(D sin w + a (cos w - 1)) / (L - D (1 - cos w) - a sin w)].
double wedge_achieved_rad(const WedgeMeasures &measures, double wedge_rad);
/// The smallest wedge with that achieved angle. Throws Error when none up to widest_wedge_deg has it.
double wedge_for_target_rad(const WedgeMeasures &measures, double target_rad);
/// Measures of the scenario; D and a that are not given are scaled with the tibia (75 and 10 mm at 200 mm).
WedgeMeasures wedge_measures(const Scenario &scenario, const Anatomy &anatomy);
/// The cut about any hinge: `shape` wedge, `rotation_rad` the wedge angle. No checks.
Levelling wedge_about(const Anatomy &anatomy, const Vector3 &hinge, double wedge_rad);
/// wedge.wedge_deg, or the wedge that meets `target_rad`.
Levelling plan_wedge(const Scenario &scenario, const Anatomy &anatomy, double target_rad);
/// wedge.wedge_deg, or the wedge that meets wedge.target_deg.
Levelling plan_wedge(const Scenario &scenario, const Anatomy &anatomy);
/// Height, mm, of the removed wedge where it leaves the bone at `x_mm` (its base lies cranial).
double wedge_height_mm(const Levelling &wedge, double x_mm);
} // namespace stifle

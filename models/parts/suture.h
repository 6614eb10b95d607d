// models/parts/suture.h - lateral suture outside the joint: fabella to tibial crest, a line in series with its soft anchor
//   frame   `tibia` in the unoperated tibia frame, `femur` in the femur frame (anatomy.h); the line runs straight
//   units   mm, N, N/mm, radians
//   law     0 when slack; quadratic over the first `toe_mm` of stretch, then a line of slope `stiffness_n_per_mm`
//           (models/joint/suture_tension.h); creep lengthens the line by a part of its length per decade of cycles (assumption)
//   errors  Error for an unknown line; the numbers of the scenario were checked when it was read
//   source  alternatives.md section 2a; labels in suture_sources()
#pragma once
#include "models/parts/anatomy.h"

namespace stifle
{
/// One row of the table of lines: crimped interlocking loop, n = 10 each.
struct SutureMaterial
{
  std::string name;
  double stiffness_n_per_mm, stiffness_sd;
  double yield_n, yield_sd;
  double peak_n, peak_sd;
  double elongation_mm, elongation_sd;  ///< of the loop at the peak force
  double tension_left, tension_left_sd; ///< fraction of 100 N pre-tension left after closing the loop
  std::string label, source;
};
const std::vector<SutureMaterial> &suture_materials();
std::vector<std::string> suture_material_names();
const SutureMaterial &find_suture_material(const std::string &name);

struct SutureLine
{
  std::string material;
  Vector3 tibia = Vector3::Zero(), femur = Vector3::Zero();
  double rest_mm = 0;            ///< length at which the tension starts, slack and creep included
  double stiffness_n_per_mm = 0; ///< line and anchor in series
  double toe_mm = 0;             ///< stretch over which the tension grows with its square
  // how rest_mm came about
  double fixed_length_mm = 0; ///< distance of the ends in the pose of fixing
  double fixed_tension_n = 0; ///< tension left in that pose before slack and creep
  double slack_mm = 0, creep_mm = 0;
};

double series_stiffness(double one_n_per_mm, double other_n_per_mm);
/// Stretch at which the line pulls with `tension_n` >= 0: the law above read backwards.
double suture_stretch_mm(double tension_n, double stiffness_n_per_mm, double toe_mm);
/// Lengthening after `cycles` of loading: 0.5 % of the length per decade, log10(1 + cycles) (assumption).
double suture_creep_mm(double length_mm, double cycles);
/// Anchor that gives `secant_n_per_mm` of cranial shift with a line at `angle_rad` to the plateau:
/// secant = series(line, anchor) cos^2(angle). Throws Error when the line alone is too soft.
double anchor_for_secant(double secant_n_per_mm, double angle_rad, double line_n_per_mm);

/// Distance of the ends with the femur origin at `femur_origin` and the femur turned by `femur_turn` (femur to tibia frame).
double suture_length_mm(const SutureLine &line, const Vector3 &femur_origin, const Matrix3 &femur_turn);
/// The same in the reduced joint: condyles touching the plateau at the intercondylar point, no load.
double reduced_suture_length_mm(const SutureLine &line, const Anatomy &anatomy, double stifle_angle_rad);
/// The line of the scenario on an unoperated bone, fixed in the reduced joint at suture.fixed_at_deg.
SutureLine plan_suture(const Scenario &scenario, const Anatomy &anatomy);
std::vector<AssumptionRow> suture_sources();
} // namespace stifle

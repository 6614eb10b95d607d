// viz/joint_shape.h - outlines of the joint through its landmarks, for the picture and for the page
//   units  mm;  frame: tibia of a right limb, unoperated, sagittal (y is 0); the femur turns with femur_rotation
//   limits a sketch: only landmarks, plateau, cut and condyle circle are those of the model
#pragma once
#include "models/core/scenario.h"
#include "models/parts/levelling.h"
#include <utility>
#include <vector>

namespace stifle::viz
{
constexpr double view_low_mm = -72, view_high_mm = 62, view_middle_x_mm = 6; ///< what a view of the joint shows
using Outline = std::vector<Vector3>;

struct JointShape
{
  OperatedAnatomy bone;
  Anatomy whole; ///< before the operation
};
/// Of a row of joint.csv: repair none is a dog with that native slope, a repair is done on the dog of the scenario.
JointShape joint_shape(const Scenario &scenario, const std::string &repair, double target_deg);

struct TibiaOutlines
{
  Outline whole;          ///< before the cut
  Outline left, moved;    ///< where the segment was, and where it is; empty without a cut
  Outline surface, chord; ///< joint surface from caudal to cranial; the straight line that the plateau angle is measured with
};
TibiaOutlines tibia_outlines(const JointShape &shape);

struct FemurOutlines
{
  Outline shaft;
  Vector3 trochlea;
  double trochlea_radius_mm, condyle_radius_mm;
  Vector3 quadriceps_origin, cranial_cruciate, caudal_cruciate;
};
/// In the tibia frame, with the condyle centre at `centre`.
FemurOutlines femur_outlines(const Anatomy &anatomy, const Vector3 &centre, double stifle_angle_rad);
} // namespace stifle::viz

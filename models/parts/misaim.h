// models/parts/misaim.h - what a saw that is not square to the sagittal plane does to the leg
//   frame   unoperated tibia of a right limb; angles in radians
//   in      rotation of the segment; tilt of the saw axis out of the mediolateral direction: `transverse` turns it towards x
//           (about z), `frontal` turns it towards z (about x)
//   out     varus/valgus: angle of the turned shaft direction out of the sagittal plane; torsion: the same for the craniocaudal
//           direction. Zero for a saw that is aimed true
//   source  asin(sin phi sin eps): alternatives.md section 5 (derived); the matrices agree with it for one tilt at a time
#pragma once
#include "models/core/units.h"

namespace stifle
{
/// asin(sin(rotation) sin(tilt)).
double misaimed_rotation_rad(double rotation_rad, double tilt_rad);

struct Misaim
{
  double frontal_rad = 0; ///< varus or valgus
  double torsion_rad = 0;
};
/// By the rotation matrix about the tilted axis.
Matrix3 misaimed_rotation(double rotation_rad, double transverse_tilt_rad, double frontal_tilt_rad);
Misaim misaimed_angles(double rotation_rad, double transverse_tilt_rad, double frontal_tilt_rad);
} // namespace stifle

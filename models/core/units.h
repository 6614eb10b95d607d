// models/core/units.h - vectors, degrees and radians, gravity
//   inside the program: mm, N, MPa, N mm, s, radians; degrees live only at the edges (scenario, tables, pictures)
//   frame  tibia of a right limb, unoperated: x cranial, y medial, z proximal (functional axis),
//          origin at the intercondylar point; the hock centre lies on the negative z axis
#pragma once
#include <Eigen/Dense>
#include <cmath>

namespace stifle
{
using Vector3 = Eigen::Vector3d;
using Matrix3 = Eigen::Matrix3d;

constexpr double pi                   = 3.14159265358979323846;
constexpr double gravity_n_per_kg     = 9.80665;
inline double radians(double angle_deg) { return angle_deg * pi / 180.0; }
inline double degrees(double angle_rad) { return angle_rad * 180.0 / pi; }

/// Rotation about y (medial) that turns x towards z: it lowers a plateau that falls caudally when angle_rad < 0.
inline Matrix3 rotation_about_y(double angle_rad)
{
  const double c = std::cos(angle_rad), s = std::sin(angle_rad);
  Matrix3 r;
  r << c, 0, -s, 0, 1, 0, s, 0, c;
  return r;
}
} // namespace stifle

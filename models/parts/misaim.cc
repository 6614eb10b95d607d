#include "models/parts/misaim.h"

namespace stifle
{
double misaimed_rotation_rad(double rotation_rad, double tilt_rad)
{
  return std::asin(std::sin(rotation_rad) * std::sin(tilt_rad));
}

Matrix3 misaimed_rotation(double rotation_rad, double transverse_tilt_rad, double frontal_tilt_rad)
{
  const Vector3 axis = Vector3(std::tan(transverse_tilt_rad), 1, std::tan(frontal_tilt_rad)).normalized();
  // A positive rotation lowers the plateau: z turns towards x.
  return Eigen::AngleAxisd(rotation_rad, axis).toRotationMatrix();
}

Misaim misaimed_angles(double rotation_rad, double transverse_tilt_rad, double frontal_tilt_rad)
{
  const Matrix3 turn = misaimed_rotation(rotation_rad, transverse_tilt_rad, frontal_tilt_rad);
  return {std::asin((turn * Vector3::UnitZ()).y()), std::asin((turn * Vector3::UnitX()).y())};
}
} // namespace stifle

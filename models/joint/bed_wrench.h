// models/joint/bed_wrench.h - what a bed of springs between femur and tibia puts on the tibia, with its exact derivative
//   frame   tibia; moments about the origin of the tibia frame; units N, N mm, mm, MPa
//   motion  the derivative is with respect to a small motion of the FEMUR: shift d and rotation w about the origin of the tibia
//           frame (a femur point p goes to p + d + w x p); slope * (d, w) is the change of (force, moment)
//   energy  the bed stores E = integral of K h^2 / 2 dA over the tibial surface, h = depth of a tibial point below the femoral
//           surface; force = K h m dA along the outward femoral normal m there, so that the slope is symmetric up to the usual
//           term of a wrench about a fixed origin. Source: elastic foundation, DEVELOPERS.md "Joint"
#pragma once
#include "models/core/units.h"
#include <Eigen/Dense>

namespace stifle
{
using Vector6 = Eigen::Matrix<double, 6, 1>;
using Matrix6 = Eigen::Matrix<double, 6, 6>;

/// Matrix of the cross product: cross_matrix(a) * b = a x b.
inline Matrix3 cross_matrix(const Vector3 &a)
{
  Matrix3 m;
  m << 0, -a.z(), a.y(), a.z(), 0, -a.x(), -a.y(), a.x(), 0;
  return m;
}

/// Femur to tibia frame: p_tibia = turn * p_femur + shift_mm.
struct RigidPose
{
  Matrix3 turn = Matrix3::Identity();
  Vector3 shift_mm = Vector3::Zero();
};

struct BedWrench
{
  Vector6 on_tibia = Vector6::Zero(); ///< force, moment
  Matrix6 slope = Matrix6::Zero();    ///< d on_tibia / d (femur shift, femur rotation)
  double load_n = 0;                  ///< integral of pressure
  double area_mm2 = 0, peak_mpa = 0;
  double area_above_mm2 = 0;             ///< with a pressure above `high_pressure_mpa`
  Vector3 centre_mm = Vector3::Zero();   ///< of pressure, tibia frame; zero without contact
  BedWrench &operator+=(const BedWrench &other);
};
/// Wrenches of the frame of `pose` in the tibia frame: force and moment about its origin.
Matrix6 wrench_change(const RigidPose &pose);
/// A wrench, its slope and centre stated in the frame of `segment`, brought to the tibia frame: p to segment.turn * p + shift.
BedWrench carried(BedWrench wrench, const RigidPose &segment);
constexpr double high_pressure_mpa = 10; ///< joint.md section 5: area above 10 MPa after meniscal surgery
} // namespace stifle

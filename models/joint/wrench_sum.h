// models/joint/wrench_sum.h - cords and constant pulls between femur and tibia, added up as a wrench with its derivative
//   frame   tibia; wrench on the tibia about the origin; derivative with respect to a small motion of the femur (bed_wrench.h)
#pragma once
#include "models/joint/bed_wrench.h"

namespace stifle
{
struct Tension
{
  double force_n = 0, slope_n_per_mm = 0; ///< slope: with respect to length
};

/// Shift of a femur point at `point` under a small motion (d, w): d + w x point.
inline Eigen::Matrix<double, 3, 6> motion_of(const Vector3 &point)
{
  Eigen::Matrix<double, 3, 6> m;
  m.leftCols<3>().setIdentity();
  m.rightCols<3>() = -cross_matrix(point);
  return m;
}

struct WrenchSum
{
  Vector6 on_tibia = Vector6::Zero();
  Matrix6 slope = Matrix6::Zero();

  /// Force at a tibial point with its derivative.
  void add(const Vector3 &point, const Vector3 &force, const Eigen::Matrix<double, 3, 6> &force_slope)
  {
    on_tibia.head<3>() += force;
    on_tibia.tail<3>() += point.cross(force);
    slope.topRows<3>() += force_slope;
    slope.bottomRows<3>() += cross_matrix(point) * force_slope;
  }
  void add(const Vector3 &point, const Vector3 &force) { add(point, force, Eigen::Matrix<double, 3, 6>::Zero()); }
  void add(const BedWrench &bed)
  {
    on_tibia += bed.on_tibia;
    slope += bed.slope;
  }
  /// A cord from `tibia` to `femur` (both in the tibia frame, current place); returns its force on the tibia.
  Vector3 add_cord(const Vector3 &tibia, const Vector3 &femur, const Tension &tension)
  {
    const Vector3 line = femur - tibia;
    const double length = line.norm();
    const Vector3 along = line / length, force = tension.force_n * along;
    const Matrix3 turn = tension.force_n / length * (Matrix3::Identity() - along * along.transpose());
    const Matrix3 stiffness = tension.slope_n_per_mm * along * along.transpose() + turn;
    add(tibia, force, stiffness * motion_of(femur));
    return force;
  }
};
} // namespace stifle

// models/parts/rigid_fit.h - rigid placement that carries points onto points with the least sum of squared distances
//   in      as many `from` as `to`, three or more, not on one line; any unit;  out  rotation (no mirror) and shift
//   source  singular value decomposition of the cross-covariance (Kabsch 1976, memory)
//   errors  Error: other counts, fewer than three points, points nearly on one line
#pragma once
#include "models/core/units.h"
#include <vector>

namespace stifle
{
struct RigidFit
{
  Matrix3 turn = Matrix3::Identity();
  Vector3 shift = Vector3::Zero();
  double worst_mm = 0;           ///< largest distance left between a carried point and its goal
  std::size_t worst_point = 0;   ///< counts from 0
  Vector3 operator()(const Vector3 &p) const { return turn * p + shift; }
};

RigidFit fit_rigidly(const std::vector<Vector3> &from, const std::vector<Vector3> &to);
/// x1, y1, z1, x2, ... of a scenario key.
std::vector<Vector3> points_of(const std::vector<double> &numbers);
} // namespace stifle

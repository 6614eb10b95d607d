// models/joint/surface_at.h - how points lie against the surface of the femur, in the frame of that surface
//   numbers  T is double, or Lanes<W> for W points at once (models/joint/lanes.h); mm
#pragma once
#include "models/joint/lanes.h"
#include "models/parts/joint_parts.h"
#include <cmath>

namespace stifle
{
template <class T> struct SurfaceAt
{
  T depth_mm;        ///< > 0 inside the femur
  T outward[3];      ///< femoral normal
  T curvature[3][3]; ///< change of `outward` with the point, 1/mm; symmetric
};

/// A torus about the y axis (a cylinder when its coronal radius is 0) whose centre is the origin. Without `with_curvature` the
/// curvature is left as it is.
template <bool with_curvature, class T> void meet_condyle(const Condyle &condyle, const T (&p)[3], SurfaceAt<T> &at)
{
  using std::sqrt;
  const T q = at_least(T(sqrt(p[0] * p[0] + p[2] * p[2])), 1e-9), per_q = 1 / q;
  const T rx = p[0] * per_q, rz = p[2] * per_q; // radial direction; the third is that of the parallel, (-rz, 0, rx)
  auto &c = at.curvature;
  if (condyle.coronal_radius_mm <= 0)
  {
    at.depth_mm = condyle.sagittal_radius_mm - q;
    at.outward[0] = rx;
    at.outward[1] = T(0.0);
    at.outward[2] = rz;
    if constexpr (with_curvature)
    {
      c[0][0] = per_q * rz * rz;
      c[2][2] = per_q * rx * rx;
      c[0][2] = c[2][0] = -per_q * rx * rz;
      c[0][1] = c[1][0] = c[1][1] = c[1][2] = c[2][1] = T(0.0);
    }
    return;
  }
  const T a = q - (condyle.sagittal_radius_mm - condyle.coronal_radius_mm);
  const T tube = at_least(T(sqrt(a * a + p[1] * p[1])), 1e-9), per_tube = 1 / tube;
  const T along = a * per_tube, side = p[1] * per_tube;
  at.depth_mm = condyle.coronal_radius_mm - tube;
  at.outward[0] = along * rx;
  at.outward[1] = side;
  at.outward[2] = along * rz;
  if constexpr (with_curvature)
  {
    // round the tube (-side rx, along, -side rz) with 1 / tube, along the parallel with along / q
    const T round = per_tube * side * side, parallel = along * per_q, across = -per_tube * side * along;
    c[0][0] = round * rx * rx + parallel * rz * rz;
    c[2][2] = round * rz * rz + parallel * rx * rx;
    c[1][1] = per_tube * along * along;
    c[0][1] = c[1][0] = across * rx;
    c[1][2] = c[2][1] = across * rz;
    c[0][2] = c[2][0] = (round - parallel) * rx * rz;
  }
}
} // namespace stifle

// models/joint/patella.h - patella in the groove of the trochlea, held by tendon and quadriceps
//   frame   femur (models/parts/anatomy.h); the groove is a circle in the plane y = 0
//   model   the tendon does not stretch, so its length places the patella; the groove is free of friction, so tendon and quadriceps
//           balance along it; across it the congruent contact carries the rest: force = stiffness * depth
//   source  DEVELOPERS.md "Joint"
#pragma once
#include "models/joint/dual.h"
#include "models/parts/anatomy.h"

namespace stifle
{
struct Groove
{
  Vector3 centre, quadriceps; ///< femur frame
  double radius_mm, tendon_mm;
};

/// For a tendon insertion given in the femur frame and a depth of the patella in the groove.
template <class T> struct Patella
{
  Plane<T> place;                     ///< attachment of the tendon, y = 0
  T quadriceps_per_tendon{}, contact_per_tendon{}; ///< forces per newton in the tendon
  bool possible = true;               ///< false: the tendon does not reach
};

template <class T> Patella<T> place_patella(const Groove &groove, const T &x, const T &y, const T &z, const T &depth_mm)
{
  using std::sqrt;
  Patella<T> p;
  const Plane<T> insertion{x, z}, line{T(groove.centre.x()) - x, T(groove.centre.z()) - z};
  const T circle = T(groove.radius_mm) - depth_mm, tendon_square = T(groove.tendon_mm * groove.tendon_mm) - y * y;
  const T square = dot(line, line), distance = sqrt(square);
  const T along = (square + tendon_square - circle * circle) / (T(2.0) * distance), across_square = tendon_square - along * along;
  p.possible = value_of(across_square) > 1e-6;
  if (!p.possible)
    return p;
  const Plane<T> to_centre = (T(1.0) / distance) * line;
  const Plane<T> cranial{to_centre.z, -to_centre.x};
  p.place = insertion + along * to_centre + sqrt(across_square) * cranial;
  const Plane<T> tendon = (T(1.0) / T(groove.tendon_mm)) * (p.place - insertion); // part in the plane of the groove
  const Plane<T> outward = (T(1.0) / circle) * (p.place - Plane<T>{T(groove.centre.x()), T(groove.centre.z())});
  const Plane<T> tangent{-outward.z, outward.x};
  const Plane<T> up = Plane<T>{T(groove.quadriceps.x()), T(groove.quadriceps.z())} - p.place;
  Plane<T> pull = (T(1.0) / sqrt(dot(up, up) + T(groove.quadriceps.y() * groove.quadriceps.y()))) * up;
  if (value_of(dot(pull, outward)) < 0) // the straight line cuts the trochlea: the quadriceps wraps round it
    pull = tangent;
  p.quadriceps_per_tendon = dot(tendon, tangent) / dot(pull, tangent);
  p.contact_per_tendon = dot(tendon, outward) - p.quadriceps_per_tendon * dot(pull, outward);
  return p;
}
} // namespace stifle

// models/joint/patella.h - patella in the groove of the trochlea, held by tendon and quadriceps
//   frame   femur (models/parts/anatomy.h); the groove is a circle in the plane y = 0
//   model   the tendon does not stretch, so its length places the lower pole of the patella; the quadriceps pulls at the upper pole;
//           the groove is free of friction, so both balance about its centre; across it the congruent contact carries the rest:
//           its part along the middle of the patella = stiffness * depth
//   source  DEVELOPERS.md "Joint"
#pragma once
#include "models/joint/dual.h"
#include "models/parts/anatomy.h"

namespace stifle
{
struct Groove
{
  Vector3 centre, quadriceps;              ///< femur frame
  double radius_mm, tendon_mm, patella_mm; ///< circle of the poles of the patella; tendon; between the poles
};

/// For a tendon insertion given in the femur frame and a depth of the patella in the groove.
template <class T> struct Patella
{
  Plane<T> place;                                  ///< attachment of the tendon, y = 0
  T quadriceps_per_tendon{}, contact_per_tendon{}; ///< forces per newton in the tendon
  T pressing_per_tendon{}; ///< part of the contact along the middle of the patella: what presses it in; smooth where that changes
                           ///< sign
  bool possible = true;    ///< false: the tendon does not reach
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
  // the upper pole, where the quadriceps attaches, lies one patella further along the circle
  const double turn = groove.patella_mm / groove.radius_mm, c = std::cos(turn), s = std::sin(turn);
  const Plane<T> centre{T(groove.centre.x()), T(groove.centre.z())}, lower = p.place - centre;
  const Plane<T> upper{T(c) * lower.x - T(s) * lower.z, T(s) * lower.x + T(c) * lower.z};
  const Plane<T> up = Plane<T>{T(groove.quadriceps.x()), T(groove.quadriceps.z())} - centre - upper;
  Plane<T> pull = (T(1.0) / sqrt(dot(up, up) + T(groove.quadriceps.y() * groove.quadriceps.y()))) * up;
  if (value_of(dot(pull, upper)) < 0) // the straight line cuts the trochlea: the quadriceps wraps round it
    pull = (T(1.0) / circle) * Plane<T>{-upper.z, upper.x};
  // moments about the centre of the circle: the contact has none
  p.quadriceps_per_tendon = moment(lower, tendon) / moment(upper, pull);
  const Plane<T> push = tendon - p.quadriceps_per_tendon * pull;
  const T size = sqrt(dot(push, push));
  const Plane<T> middle = lower + upper;
  p.pressing_per_tendon = dot(push, middle) / sqrt(dot(middle, middle));
  p.contact_per_tendon = value_of(p.pressing_per_tendon) < 0 ? -size : size;
  return p;
}
} // namespace stifle

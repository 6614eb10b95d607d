// models/joint/ligament.h - tension of a cord with a toe region, and of a spring with slack
//   source  quadratic toe, then linear: the usual two-part law, DEVELOPERS.md "Joint"; continuous slope
#pragma once
#include "models/joint/dual.h"

namespace stifle
{
/// Tension, N, of a cord of `rest_mm`: stiffness * rest * strain^2 / (2 toe) up to `toe_strain`, then a line of slope
/// `stiffness_n_per_mm`; 0 when slack.
template <class T> T cord_tension_n(const T &length_mm, double rest_mm, double stiffness_n_per_mm, double toe_strain)
{
  const T strain = (length_mm - T(rest_mm)) / T(rest_mm);
  if (!(value_of(strain) > 0))
    return T(0.0);
  const T scale(stiffness_n_per_mm * rest_mm);
  return value_of(strain) < toe_strain ? scale * strain * strain / T(2 * toe_strain) : scale * (strain - T(toe_strain / 2));
}

/// Force, N, that opposes a travel in either direction: 0 up to `slack_mm`, quadratic over the next `toe_mm`, then linear.
template <class T> T slack_spring_n(const T &travel_mm, double slack_mm, double stiffness_n_per_mm, double toe_mm)
{
  const double sign = value_of(travel_mm) < 0 ? -1 : 1;
  const T excess = T(sign) * travel_mm - T(slack_mm);
  if (!(value_of(excess) > 0))
    return T(0.0);
  const T k(sign * stiffness_n_per_mm);
  return value_of(excess) < toe_mm ? k * excess * excess / T(2 * toe_mm) : k * (excess - T(toe_mm / 2));
}
} // namespace stifle

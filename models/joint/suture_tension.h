// models/joint/suture_tension.h - tension of a suture line of a given length, for plain and for differentiated numbers
//   in      line (models/parts/suture.h); distance of its ends, mm; T is double or a Dual with value_of(T) and T(double)
//   out     tension, N: 0 when slack, k e^2 / (2 toe) over the toe, then k (e - toe / 2); value and slope are continuous
#pragma once
#include "models/joint/dual.h"
#include "models/parts/suture.h"

namespace stifle
{
template <class T> T suture_tension_n(const SutureLine &line, const T &length_mm)
{
  const T stretch = length_mm - T(line.rest_mm);
  if (!(value_of(stretch) > 0))
    return T(0.0);
  const T k(line.stiffness_n_per_mm);
  return value_of(stretch) < line.toe_mm ? k * stretch * stretch / T(2 * line.toe_mm) : k * (stretch - T(line.toe_mm / 2));
}
} // namespace stifle

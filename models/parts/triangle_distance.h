// models/parts/triangle_distance.h - nearest point of a triangle, and on which corner, edge or face it lies
//   source  Voronoi regions of a triangle, derived; textbook form
#pragma once
#include "models/core/units.h"

namespace stifle
{
struct NearestOnTriangle
{
  Vector3 point;
  int feature; ///< 0 face; 1, 2, 3 corner a, b, c; 4, 5, 6 edge ab, bc, ca
};

inline NearestOnTriangle nearest_on_triangle(const Vector3 &p, const Vector3 &a, const Vector3 &b, const Vector3 &c)
{
  const Vector3 ab = b - a, ac = c - a, ap = p - a, bp = p - b, cp = p - c;
  const double a1 = ab.dot(ap), a2 = ac.dot(ap), b1 = ab.dot(bp), b2 = ac.dot(bp), c1 = ab.dot(cp), c2 = ac.dot(cp);
  if (a1 <= 0 && a2 <= 0)
    return {a, 1};
  if (b1 >= 0 && b2 <= b1)
    return {b, 2};
  const double on_ab = a1 * b2 - b1 * a2;
  if (on_ab <= 0 && a1 >= 0 && b1 <= 0)
    return {a + a1 / (a1 - b1) * ab, 4};
  if (c2 >= 0 && c1 <= c2)
    return {c, 3};
  const double on_ca = c1 * a2 - a1 * c2;
  if (on_ca <= 0 && a2 >= 0 && c2 <= 0)
    return {a + a2 / (a2 - c2) * ac, 6};
  const double on_bc = b1 * c2 - c1 * b2;
  if (on_bc <= 0 && b2 - b1 >= 0 && c1 - c2 >= 0)
    return {b + (b2 - b1) / ((b2 - b1) + (c1 - c2)) * (c - b), 5};
  const double sum = on_bc + on_ca + on_ab;
  return {a + on_ca / sum * ab + on_ab / sum * ac, 0};
}
} // namespace stifle

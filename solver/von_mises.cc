#include "solver/elasticity.h"
#include <cmath>

namespace stifle::solver
{
double von_mises(const std::array<double, 6> &s)
{
  const double a = s[0] - s[1], b = s[1] - s[2], c = s[2] - s[0];
  return std::sqrt(0.5 * (a * a + b * b + c * c) + 3.0 * (s[3] * s[3] + s[4] * s[4] + s[5] * s[5]));
}
} // namespace stifle::solver

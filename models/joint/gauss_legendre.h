// models/joint/gauss_legendre.h - Gauss-Legendre points and weights on (-1, 1), made once per number of points
//   source  Newton on the Legendre recurrence (textbook); exact to degree 2 n - 1
#pragma once
#include <array>
#include <cmath>
#include <vector>

namespace stifle
{
struct GaussRule
{
  std::vector<double> points, weights;
};

inline GaussRule make_gauss_rule(int n)
{
  GaussRule rule;
  for (int i = 1; i <= n; ++i)
  {
    double x = std::cos(std::acos(-1.0) * (i - 0.25) / (n + 0.5)), slope = 1;
    for (int step = 0; step < 50; ++step)
    {
      double before = 1, here = x;
      for (int k = 2; k <= n; ++k)
      {
        const double next = ((2 * k - 1) * x * here - (k - 1) * before) / k;
        before = here;
        here = next;
      }
      slope = n * (x * here - before) / (x * x - 1);
      const double move = here / slope;
      x -= move;
      if (std::abs(move) < 1e-15)
        break;
    }
    rule.points.push_back(x);
    rule.weights.push_back(2 / ((1 - x * x) * slope * slope));
  }
  return rule;
}

/// Rules of 1 to 16 points.
inline const GaussRule &gauss_rule(int n)
{
  static const std::array<GaussRule, 17> rules = []
  {
    std::array<GaussRule, 17> all;
    for (int i = 1; i < 17; ++i)
      all[i] = make_gauss_rule(i);
    return all;
  }();
  return rules.at(n);
}
} // namespace stifle

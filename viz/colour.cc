#include "viz/colour.h"
#include <algorithm>
#include <cmath>

namespace stifle::viz
{
namespace
{
double linear_light(double value) { return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4); }

template <std::size_t n> Colour between(const std::array<Colour, n> &points, double fraction)
{
  const double at = std::clamp(fraction, 0.0, 1.0) * (n - 1);
  const std::size_t i = std::min(n - 2, static_cast<std::size_t>(at));
  Colour mixed;
  for (int c = 0; c < 3; ++c)
    mixed[c] = points[i][c] + (at - double(i)) * (points[i + 1][c] - points[i][c]);
  return mixed;
}
} // namespace

double lightness(const Colour &c)
{
  // Source: IEC 61966-2-1 (sRGB) and CIE 15 (L*); constants from memory.
  const double y = 0.2126 * linear_light(c[0]) + 0.7152 * linear_light(c[1]) + 0.0722 * linear_light(c[2]);
  return y > 0.008856 ? 116 * std::cbrt(y) - 16 : 903.3 * y;
}

Colour stress_colour(double fraction)
{
  constexpr std::array<Colour, 7> points = {{{{0.16, 0.10, 0.36}}, {{0.19, 0.26, 0.53}}, {{0.14, 0.42, 0.56}}, {{0.10, 0.56, 0.53}},
                                             {{0.27, 0.69, 0.42}}, {{0.62, 0.80, 0.26}}, {{0.98, 0.90, 0.24}}}};
  return between(points, fraction);
}

Colour tint(double fraction)
{
  constexpr std::array<Colour, 5> points = {
      {{{0.94, 0.96, 0.99}}, {{0.68, 0.80, 0.91}}, {{0.40, 0.61, 0.81}}, {{0.17, 0.41, 0.66}}, {{0.04, 0.20, 0.42}}}};
  return between(points, fraction);
}
} // namespace stifle::viz

// C11: strip with a hole in pure bending (construct.md 2.10), the anchor nearest to a plate with a screw hole
//
//   quarter x, y > 0 of the upper half z > 0: width 11, thickness 3.3, hole of 4 mm, ends at x = 33, traction 2 z / h there
//   u_x = 0 on x = 0, u_y = 0 on y = 0, u_x = u_y = 0 on the middle plane z = 0 (odd in z)
//   moment by hand: half of it on z > 0, y > 0: integral of (2 z / h) z over 5.5 x 1.65 = 5.5 (2 / 3.3) 1.65^3 / 3 = 4.991250
//   gross nominal stress 1 at the surface, so the stress xx at (0, 2, 1.65) is the factor itself
#include "scenarios/checks/check_model.h"
#include "scenarios/checks/solver_cases.h"

namespace stifle::checks
{
namespace
{
constexpr double half_width = 5.5, radius = 2, half_thickness = 1.65, end = 33;

/// Rays from the hole to the square around it, then straight on to the end; `n` elements on the quarter of the rim.
Section quarter_strip(int n)
{
  Section       section;
  constexpr int rings = 10;
  const auto    ray = [&](int j) { return 0.5 * pi * j / n; }; // from the x axis to the y axis
  const auto    on_square = [&](double a) {
    return Vector2(Vector2(std::cos(a), std::sin(a)) * half_width / std::max(std::cos(a), std::sin(a)));
  };
  section.add_grid(rings, n, [&](int i, int j) {
    const double  s    = std::pow(double(i) / rings, 1.6); // short at the rim
    const Vector2 near = radius * Vector2(std::cos(ray(j)), std::sin(ray(j)));
    return Vector2((1 - s) * near + s * on_square(ray(j)));
  });
  constexpr int along = 12;
  section.add_grid(along, n / 2, [&](int i, int j) {
    return Vector2(half_width + (end - half_width) * i / along, on_square(ray(j))[1]);
  });
  return section;
}
} // namespace

double hole_bending_factor(int rim_elements, double *moment)
{
  Problem problem(extrude(quarter_strip(rim_elements), {0, 0.6, 1.1, 1.45, half_thickness}, [](const Vector3 &p) { return p; }), {{1.0, 0.3}});
  problem.hold([](const Vector3 &p) { return std::abs(p[0]) < 1e-6; }, {0});
  problem.hold([](const Vector3 &p) { return std::abs(p[1]) < 1e-6; }, {1});
  problem.hold([](const Vector3 &p) { return same(p[2], 0); }, {0, 1});
  problem.hold([](const Vector3 &p) { return same(p[0], end) && std::abs(p[1]) < 1e-6 && same(p[2], 0); }, {2});
  problem.press([](const Vector3 &p) { return same(p[0], end); },
                [](const Vector3 &x, const Vector3 &) { return Vector3(x[2] / half_thickness, 0, 0); });
  problem.solve();
  if (moment)
  {
    *moment = 0;
    for (std::size_t i = 0; i < problem.parameter().size(); ++i)
      *moment += problem.force()[3 * i] * problem.elasticity().nodes()[i][2];
  }
  return problem.stress_at(
    [](const Vector3 &p) { return std::abs(p[0]) < 1e-6 && std::abs(p[1] - radius) < 1e-6 && same(p[2], half_thickness); })[0];
}

std::vector<CheckRow> hole_in_bending()
{
  double            moment = 0;
  const double      factor = hole_bending_factor(24, &moment), coarse = hole_bending_factor(12);
  const std::string source = "construct.md 2.10: 3-D elements of order 2 to 4 of the sheet (2.405, 2.408, 2.408), calc; independent in part";
  return {verified("C11", "hole 4 mm in a strip 11 x 3.3, bending, gross factor", factor, 2.408, 0.02 * 2.408, "1", source),
          verified("C11", "the same with half as many elements on the rim", coarse, 2.408, 0.02 * 2.408, "1", source),
          verified("C11", "moment on the quarter, from the nodal forces", moment, 4.99125, 1e-9, "N mm", "by hand, head of hole_checks.cc")};
}
} // namespace stifle::checks

// C13: plate bonded along a tube (construct.md 1.12), bending about the axis across the plate
//
//     +-----------------+  y = 11.3      plate 11 x 3.3, E 193000
//     |      plate      |
//     +----\_strip_/----+  y = 8         strip 6 mm wide fills the wedge between tube and plate, E of the tube
//        /   tube    \                   tube 16/9 mm, E 16000, axis at y = 0
//
//   y_n = sum E A y / sum E A, EI = sum E [I + A (y - y_n)^2], stress = E M (y - y_n) / EI.
//   Without the strip (the sheet's numbers): y_n 7.344576, EI 208.5393 N m2, 18.3034 and -5.88650 MPa at 5 N m; but then tube
//   and plate touch along a line. Strip |x| < s below y = R and above the circle, by integration over x:
//   A = 2 s R - F, first moment s^3 / 3, second moment about y = 0: (2 s R^3 - G) / 3,
//   F = integral of (R^2 - x^2)^(1/2) = s q + R^2 asin(s / R), q = (R^2 - s^2)^(1/2),
//   G = integral of (R^2 - x^2)^(3/2) = s q^3 / 2 + 3 R^2 F / 4.
//   Solid: half of half a beam, moment put on the tube alone at the far end, so the plate is loaded through the bond only.
//   One Poisson ratio in both: then the closed form is exact away from the end.
#include "scenarios/checks/check_model.h"
#include "scenarios/checks/solver_cases.h"

namespace stifle::checks
{
namespace
{
constexpr double outer = 8, inner = 4.5, width = 11, thickness = 3.3, plate_y = 9.65;
constexpr double half_strip = 3, half_length = 60, moment_nmm = 5000;

/// Area, first and second moment about y = 0.
using Moments = Vector3;
Moments tube_moments() { return {pi * (outer * outer - inner * inner), 0, pi / 4 * (std::pow(outer, 4) - std::pow(inner, 4))}; }
Moments plate_moments()
{
  const double a = width * thickness;
  return {a, a * plate_y, a * (plate_y * plate_y + thickness * thickness / 12)};
}
Moments strip_moments(double s)
{
  const double q = std::sqrt(outer * outer - s * s), f = s * q + outer * outer * std::asin(s / outer);
  const double g = s * q * q * q / 2 + 3 * outer * outer * f / 4;
  return {2 * s * outer - f, s * s * s / 3, (2 * s * outer * outer * outer - g) / 3};
}
Moments weighted(const CompositeSection &c)
{
  return c.tube_modulus * (tube_moments() + strip_moments(c.strip_half_width)) + c.plate_modulus * plate_moments();
}

/// Half section x >= 0: ring, wedge, plate share their points.
Section half_section()
{
  std::vector<double> angle; // from the plate side; outer points under the wedge at x = 0, 1, 2, 3
  for (const double x : {0., 1., 2., half_strip})
    angle.push_back(std::asin(x / outer));
  const double first = angle.back();
  for (int i = 1; i <= 24; ++i)
    angle.push_back(first + (pi - first) * i / 24);
  Section section;
  section.add_grid(3, static_cast<int>(angle.size()) - 1, [&](int i, int j) {
    const double r = inner + (outer - inner) * i / 3;
    return Vector2(j == static_cast<int>(angle.size()) - 1 ? 0.0 : r * std::sin(angle[j]), r * std::cos(angle[j]));
  });
  section.add_grid(3, 1, [](int i, int j) { return Vector2(i, j == 0 ? std::sqrt(outer * outer - i * i) : outer); });
  const double x[6] = {0, 1, 2, half_strip, 4.25, width / 2};
  section.add_grid(5, 3, [&](int i, int j) { return Vector2(x[i], outer + thickness * j / 3); }, 1);
  return section;
}

std::array<double, 2> solid_stresses(const CompositeSection &c)
{
  std::vector<double> levels = steps(0, 12, 4);
  for (const double z : {18., 24., 32., 40., 48., 54., half_length})
    levels.push_back(z);
  Problem problem(extrude(half_section(), levels, [](const Vector3 &p) { return p; }, {"tube", "plate"}),
                  {{c.tube_modulus, 0.3}, {c.plate_modulus, 0.3}});
  problem.hold([](const Vector3 &p) { return same(p[2], 0); }, {2});
  problem.hold([](const Vector3 &p) { return std::abs(p[0]) < 1e-6; }, {0});
  problem.hold([](const Vector3 &p) { return std::abs(p[0]) < 1e-6 && std::abs(p[1] + inner) < 1e-6 && same(p[2], 0); }, {1});
  const double inertia = c.tube_inertia();
  const auto   on_tube_end = [](const Vector3 &p) { return same(p[2], half_length) && p.head<2>().norm() < outer + 1e-6; };
  problem.press(on_tube_end, [=](const Vector3 &x, const Vector3 &) { return Vector3(0, 0, moment_nmm * x[1] / inertia); });
  problem.solve();
  // The faceted ring is a little smaller than the circle: refer to the moment that was really applied (twice the half).
  double applied = 0;
  for (std::size_t i = 0; i < problem.parameter().size(); ++i)
    applied += 2 * problem.force()[3 * i + 2] * problem.elasticity().nodes()[i][1];
  const auto at = [&](double y, unsigned part) {
    return problem.stress_at([=](const Vector3 &p) { return std::abs(p[0]) < 1e-6 && std::abs(p[1] - y) < 1e-6 && same(p[2], 0); }, part)[2] *
           moment_nmm / applied;
  };
  return {{at(outer + thickness, 1), at(-outer, 0)}};
}
} // namespace

double CompositeSection::axis_mm() const
{
  const Moments m = weighted(*this);
  return m[1] / m[0];
}
double CompositeSection::bending_stiffness() const
{
  const Moments m = weighted(*this);
  return m[2] - m[1] * m[1] / m[0];
}
double CompositeSection::tube_inertia() const { return tube_moments()[2]; }
double CompositeSection::stress(double modulus, double y, double moment) const
{
  return modulus * moment * (y - axis_mm()) / bending_stiffness();
}

std::vector<CheckRow> composite_beam()
{
  CompositeSection  bare, filled;
  filled.strip_half_width = half_strip;
  const auto        solid  = solid_stresses(filled);
  const std::string source = "closed form, construct.md 1.12", strip = source + ", with the 6 mm strip of the tube's material put in";
  const double      plate = filled.stress(filled.plate_modulus, outer + thickness, moment_nmm);
  const double      far   = filled.stress(filled.tube_modulus, -outer, moment_nmm);
  return {verified("C13", "elastic centroid of tube and plate, closed form", bare.axis_mm(), 7.344576, 1e-6, "mm", source),
          verified("C13", "bending stiffness of tube and plate, closed form", bare.bending_stiffness() / 1e6, 208.5393, 1e-4, "N m2", source),
          verified("C13", "plate stress at 5 N m, closed form", bare.stress(bare.plate_modulus, outer + thickness, moment_nmm), 18.3034, 1e-4,
                   "MPa", source),
          verified("C13", "far cortex stress at 5 N m, closed form", bare.stress(bare.tube_modulus, -outer, moment_nmm), -5.88650, 1e-5,
                   "MPa", source),
          verified("C13", "plate stress at 5 N m, solid with strip", solid[0], plate, 0.03 * plate, "MPa", strip),
          verified("C13", "far cortex stress at 5 N m, solid with strip", solid[1], far, 0.03 * -far, "MPa", strip)};
}
} // namespace stifle::checks

// C7: slender beams (construct.md 2.6), roots clamped, unit load spread evenly over the tip face
//   the tip displacement is the one that belongs to the load (mean over the tip face, from the work of the unit load)
//   straight  6 x 0.2 x 0.1, E 1e7, nu 0.3. Extension by hand: F L / E A = 6 / (1e7 * 0.02) = 3.0e-5
//             twist: unit moment, Saint-Venant L / GJ with J = b t^3 / 3 [1 - 192 t / (pi^5 b) sum tanh(n pi b / 2t) / n^5]
//   curved    quarter circle, radii 4.12 to 4.32, thickness 0.1, E 1e7, nu 0.25; in-plane load along the radius of the free end
//   twisted   length 12, section 1.1 x 0.32 turned by 90 degrees, E 29e6, nu 0.22; at the tip the wide side lies along z
#include "scenarios/checks/check_model.h"
#include "scenarios/checks/solver_cases.h"

namespace stifle::checks
{
namespace
{
struct Beam
{
  std::vector<double>       across, deep, along; ///< u, v, w; the root is w = along.front()
  Map                       map;
  solver::IsotropicMaterial material;
};
using Traction = std::function<Vector3(const Vector3 &, const Vector3 &)>;

double tip_displacement(const Beam &beam, const Traction &traction)
{
  Problem problem(block(beam.across, beam.deep, beam.along, beam.map), {beam.material});
  problem.hold([&](const Vector3 &p) { return same(p[2], beam.along.front()); }, {0, 1, 2});
  problem.press([&](const Vector3 &p) { return same(p[2], beam.along.back()); }, traction);
  problem.solve();
  return problem.work();
}

Traction unit_force(const Vector3 &direction, double area)
{
  return [=](const Vector3 &, const Vector3 &) { return Vector3(direction / area); };
}

/// Saint-Venant torsion constant of a rectangle b x t, b >= t.
double torsion_constant(double b, double t)
{
  double sum = 0;
  for (int n = 1; n < 40; n += 2)
    sum += std::tanh(n * pi * b / (2 * t)) / std::pow(n, 5);
  return b * t * t * t / 3 * (1 - 192 * t / (std::pow(pi, 5) * b) * sum);
}

const std::string macneal = "MacNeal & Harder 1985 (S31), construct.md 2.6";

void add_straight(std::vector<CheckRow> &rows)
{
  const double b = 0.2, t = 0.1, length = 6, modulus = 1e7;
  Beam         beam = {steps(-b / 2, b / 2, 3), steps(-t / 2, t / 2, 2), steps(0, length, 40),
                       [](const Vector3 &p) { return Vector3(p[2], p[0], p[1]); }, {modulus, 0.3}};
  const double extension = tip_displacement(beam, unit_force(Vector3::UnitX(), b * t));
  const double in_plane  = tip_displacement(beam, unit_force(Vector3::UnitY(), b * t));
  const double out       = tip_displacement(beam, unit_force(Vector3::UnitZ(), b * t));
  // Shear traction c (-z, y) has the moment c (Iy + Iz) about x; work over moment = turn.
  const double polar = b * t * (b * b + t * t) / 12;
  beam.across = steps(-b / 2, b / 2, 6), beam.deep = steps(-t / 2, t / 2, 4); // torsion lives on the section's shear: finer there
  const double twist = tip_displacement(beam, [=](const Vector3 &x, const Vector3 &) { return Vector3(0, -x[2] / polar, x[1] / polar); });
  const double saint_venant = length / (modulus / 2.6 * torsion_constant(b, t));
  rows.push_back(verified("C7", "straight beam, extension", extension, 3.0e-5, 3.0e-7, "mm", macneal));
  rows.push_back(verified("C7", "straight beam, load along the 0.2 side", in_plane, 0.1081, 0.001081, "mm", macneal));
  rows.push_back(verified("C7", "straight beam, load along the 0.1 side", out, 0.4321, 0.004321, "mm", macneal));
  rows.push_back(verified("C7", "straight beam, twist against Saint-Venant", twist, saint_venant, 0.01 * saint_venant, "rad",
                          "closed form, construct.md 1.11"));
  rows.push_back(because(reported("C7", "straight beam, twist against the published value", twist, 0.03208, 0.0003208, "rad", macneal),
                         "the published 0.03208 is not Saint-Venant's 0.0341 for this section, which our solid and the sheet's own runs "
                         "reach: not reproduced, not fitted"));
}

void add_curved(std::vector<CheckRow> &rows)
{
  const Beam beam = {steps(4.12, 4.32, 4), steps(-0.05, 0.05, 3), steps(0, pi / 2, 48),
                     [](const Vector3 &p) { return Vector3(p[0] * std::cos(p[2]), p[0] * std::sin(p[2]), p[1]); }, {1e7, 0.25}};
  const double area = 0.2 * 0.1;
  rows.push_back(verified("C7", "curved beam, load along the radius of the free end",
                          tip_displacement(beam, unit_force(Vector3::UnitY(), area)), 0.08734, 0.02 * 0.08734, "mm", macneal));
  rows.push_back(verified("C7", "curved beam, load out of plane", tip_displacement(beam, unit_force(Vector3::UnitZ(), area)), 0.5022,
                          0.02 * 0.5022, "mm", macneal));
}

void add_twisted(std::vector<CheckRow> &rows)
{
  const Beam beam = {steps(-0.55, 0.55, 4), steps(-0.16, 0.16, 2), steps(0, 12, 30),
                     [](const Vector3 &p) {
                       const double c = std::cos(pi * p[2] / 24), s = std::sin(pi * p[2] / 24);
                       return Vector3(p[2], p[0] * c - p[1] * s, p[0] * s + p[1] * c);
                     },
                     {29e6, 0.22}};
  const double area = 1.1 * 0.32;
  rows.push_back(verified("C7", "twisted beam, load along the wide side of the tip",
                          tip_displacement(beam, unit_force(Vector3::UnitZ(), area)), 0.005424, 0.01 * 0.005424, "mm", macneal));
  rows.push_back(verified("C7", "twisted beam, load along the narrow side of the tip",
                          tip_displacement(beam, unit_force(Vector3::UnitY(), area)), 0.001754, 0.01 * 0.001754, "mm", macneal));
}
} // namespace

std::vector<CheckRow> slender_beams()
{
  std::vector<CheckRow> rows;
  add_straight(rows);
  add_curved(rows);
  add_twisted(rows);
  return rows;
}
} // namespace stifle::checks

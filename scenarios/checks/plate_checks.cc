// C4: thick elliptic plate under pressure, LE10 (construct.md 2.3); lengths in m, stresses in MPa, so forces come in MN
//   quarter between the ellipses (x/2)^2 + y^2 = 1 and (x/3.25)^2 + (y/2.75)^2 = 1, thickness 0.6, pressure 1 downward on top
//   u_y = 0 on y = 0, u_x = 0 on x = 0, u_x = u_y = 0 on the outer face, u_z = 0 ONLY on the mid-height line of that face
//   load by hand: area = pi/4 (3.25 * 2.75 - 2 * 1) = 5.448700
// C6: Cook's membrane (construct.md 2.5) as a thin layer: u_z = 0 on its middle plane, both large faces free. Plane stress is
//   the limit of small thickness; the case halves the thickness and shows the change.
#include "scenarios/checks/check_model.h"
#include "scenarios/checks/solver_cases.h"

namespace stifle::checks
{
namespace
{
/// u_y at (48, 52) on the middle plane of half a layer: E = 1, nu = 1/3, shear 1 in total per unit of thickness.
double cook_deflection(int n, double half_thickness)
{
  Problem problem(block(steps(0, 1, n), steps(0, 1, n), {0, half_thickness},
                        [](const Vector3 &p) { return Vector3(48 * p[0], 44 * p[0] + p[1] * (44 - 28 * p[0]), p[2]); }),
                  {{1.0, 1.0 / 3.0}});
  problem.hold([](const Vector3 &p) { return same(p[0], 0); }, {0, 1});
  problem.hold([](const Vector3 &p) { return same(p[2], 0); }, {2});
  problem.press([](const Vector3 &p) { return same(p[0], 1); }, [](const Vector3 &, const Vector3 &) { return Vector3(0, 1.0 / 16, 0); });
  problem.solve();
  return problem.displacement_at([](const Vector3 &p) { return same(p[0], 1) && same(p[1], 0.5) && same(p[2], 0); })[1];
}
} // namespace

double thick_plate_stress(bool whole_face, double *total_load, double *off_line_reaction)
{
  Problem problem(block({0, .05, .1, .2, .3, .45, .6, .8, 1}, {0, .05, .1, .175, .25, .375, .5, .625, .75, .875, 1},
                        {-.3, -.15, 0, .1, .2, .25, .3},
                        [](const Vector3 &p) {
                          return Vector3((2 + 1.25 * p[0]) * std::cos(pi * p[1] / 2), (1 + 1.75 * p[0]) * std::sin(pi * p[1] / 2), p[2]);
                        }),
                  {{210e3, 0.3}});
  problem.hold([](const Vector3 &p) { return same(p[1], 0); }, {1});
  problem.hold([](const Vector3 &p) { return same(p[1], 1); }, {0});
  problem.hold([](const Vector3 &p) { return same(p[0], 1); }, {0, 1});
  problem.hold([=](const Vector3 &p) { return same(p[0], 1) && (whole_face || same(p[2], 0)); }, {2});
  problem.press([](const Vector3 &p) { return same(p[2], .3); }, [](const Vector3 &, const Vector3 &normal) { return Vector3(-normal); });
  problem.solve();
  double load = 0, off_line = 0;
  for (std::size_t i = 0; i < problem.parameter().size(); ++i)
  {
    load -= problem.force()[3 * i + 2];
    if (!same(problem.parameter()[i][2], 0))
      off_line += std::abs(problem.reaction()[3 * i + 2]);
  }
  if (total_load)
    *total_load = load;
  if (off_line_reaction)
    *off_line_reaction = off_line;
  return problem.stress_at([](const Vector3 &p) { return same(p[0], 0) && same(p[1], 0) && same(p[2], .3); })[1];
}

std::vector<CheckRow> thick_plate()
{
  double            load = 0, off_line = 0;
  const double      right = thick_plate_stress(false, &load, &off_line), wrong = thick_plate_stress(true);
  const std::string source = "NAFEMS TNSB rev 3, 1990, LE10 (S32), construct.md 2.3";
  CheckRow control = reported("C4", "mistake on purpose: u_z held on the whole outer face moves the stress by", wrong - right, 0.18, 0.06,
                              "MPa", "own converged values -5.22 and -5.40, construct.md 2.3");
  control.independent = false;
  return {verified("C4", "stress yy at D of the thick plate", right, -5.38, 0.03 * 5.38, "MPa", source),
          verified("C4", "total load", load, 5.448700, 0.01 * 5.4487, "MN", "area by hand, pi/4 (3.25 * 2.75 - 2)"),
          verified("C4", "vertical support outside the mid-height line", off_line, 0, 1e-9, "MN", source), control};
}

std::vector<CheckRow> cook_membrane()
{
  const double      thin = cook_deflection(24, 0.25), thick = cook_deflection(24, 0.5);
  const std::string source = "Cook 1974 (S33), construct.md 2.5";
  return {verified("C6", "deflection at (48, 52), layer of thickness 1", thick, 23.96, 0.2396, "mm", source),
          verified("C6", "deflection at (48, 52), layer of thickness 0.5", thin, 23.96, 0.2396, "mm", source),
          verified("C6", "change when the thickness is halved (plane stress is reached)", thin - thick, 0, 0.05, "mm",
                   "limit of a thin layer; construct.md 2.5")};
}
} // namespace stifle::checks

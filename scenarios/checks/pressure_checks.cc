// C8: thick vessels under internal pressure (Lame; construct.md 1.6 and 1.7)
//   cylinder  ri 10, ro 20, p 50, E 200e3, plane strain: u(r) = (1 + nu) / E * A [(1 - 2 nu) r + ro^2 / r],
//             A = p ri^2 / (ro^2 - ri^2) = 50/3. By hand, nu 0.3: u(ri) = 1.3 / 2e5 * 16.6667 * (4 + 40) = 0.004766667
//   sphere    a 1, b 2, p 1, E 1: u(r) = p a^3 / (E (b^3 - a^3)) [(1 - 2 nu) r + (1 + nu) b^3 / 2 r^2]
//             by hand, nu 0.3: u(a) = (0.4 + 5.2) / 7 = 0.8
//   Quarter and octant; facets with vertices on the true radius. Read as the mean radial displacement of the vertices there.
//   nu = 0.4999 is the locking test of the element.
#include "scenarios/checks/check_model.h"
#include "scenarios/checks/solver_cases.h"

namespace stifle::checks
{
namespace
{
const Problem &pressurised(Problem &problem, const Where &inner, double pressure_mpa)
{
  problem.press(inner, [=](const Vector3 &, const Vector3 &normal) { return Vector3(-pressure_mpa * normal); });
  problem.solve();
  return problem;
}

/// Mean of u . direction over the mesh vertices there; the direction points away from the axis or the centre.
double mean_radial(const Problem &problem, const Where &where, bool spherical)
{
  double sum = 0;
  int    n   = 0;
  for (const std::size_t i : problem.nodes(where))
  {
    if (i >= problem.elasticity().mesh().points.size())
      continue;
    Vector3 direction = problem.elasticity().nodes()[i];
    if (!spherical)
      direction[2] = 0;
    sum += problem.displacement().segment<3>(3 * i).dot(direction.normalized());
    ++n;
  }
  return sum / n;
}

/// Radial displacement at both radii of a quarter cylinder, one layer thick.
std::array<double, 2> cylinder(double poisson_ratio, double *hoop_mpa)
{
  Problem problem(block(steps(10, 20, 10), steps(0, pi / 2, 24), {0, 1},
                        [](const Vector3 &p) { return Vector3(p[0] * std::cos(p[1]), p[0] * std::sin(p[1]), p[2]); }),
                  {{200e3, poisson_ratio}});
  problem.hold([](const Vector3 &p) { return same(p[1], 0); }, {1});
  problem.hold([](const Vector3 &p) { return same(p[1], pi / 2); }, {0});
  problem.hold([](const Vector3 &p) { return same(p[2], 0) || same(p[2], 1); }, {2});
  const Where inner = [](const Vector3 &p) { return same(p[0], 10); };
  pressurised(problem, inner, 50);
  *hoop_mpa = problem.stress_at([](const Vector3 &p) { return same(p[0], 20) && same(p[1], 0) && same(p[2], 0); })[1];
  return {{mean_radial(problem, inner, false), mean_radial(problem, [](const Vector3 &p) { return same(p[0], 20); }, false)}};
}

/// Radial displacement at both radii of an octant. u and v are triangle coordinates of the direction, w is the radius.
std::array<double, 2> sphere(double poisson_ratio)
{
  const int n = 24, layers = 5;
  Section triangle;
  for (int j = 0; j < n; ++j)
    for (int i = 0; i + j < n; ++i)
    {
      const auto at = [&](int a, int b) { return Vector2(double(a) / n, double(b) / n); };
      // The last quadrilateral of a row lies half outside: its far corner falls on the near one and one triangle is left.
      const bool last = i + j == n - 1;
      triangle.add_grid(1, 1, [&](int a, int b) { return last && a == 1 && b == 1 ? at(i, j + 1) : at(i + a, j + b); });
    }
  std::vector<double> radii;
  for (int i = 0; i <= layers; ++i)
    radii.push_back(std::pow(2.0, double(i) / layers));
  // The sine spreads the directions: equal angles along the three edges of the octant.
  const auto place = [](const Vector3 &p) {
    const Vector3 direction(std::sin(pi / 2 * (1 - p[0] - p[1])), std::sin(pi / 2 * p[0]), std::sin(pi / 2 * p[1]));
    return Vector3(p[2] * direction.normalized());
  };
  Problem problem(extrude(triangle, radii, place), {{1.0, poisson_ratio}});
  problem.hold([](const Vector3 &p) { return same(p[0] + p[1], 1); }, {0});
  problem.hold([](const Vector3 &p) { return same(p[0], 0); }, {1});
  problem.hold([](const Vector3 &p) { return same(p[1], 0); }, {2});
  const Where inner = [](const Vector3 &p) { return same(p[2], 1); };
  pressurised(problem, inner, 1);
  return {{mean_radial(problem, inner, true), mean_radial(problem, [](const Vector3 &p) { return same(p[2], 2); }, true)}};
}

void add(std::vector<CheckRow> &rows, const std::string &body, const std::array<double, 2> &value, const std::array<double, 2> &expected,
         const std::string &source)
{
  // The solver's promise for nu 0.3 and for plane strain is 0.5 % (construct.md section 8, C8).
  const char *where[2] = {"inner", "outer"};
  for (int i = 0; i < 2; ++i)
    rows.push_back(verified("C8", body + ", radial displacement of the " + where[i] + " wall", value[i], expected[i],
                            0.005 * expected[i], "mm", source));
}
} // namespace

std::vector<CheckRow> pressure_vessels()
{
  std::vector<CheckRow> rows;
  const std::string     lame = "closed form (Lame), construct.md 1.6", ball = "closed form (Lame), construct.md 1.7";
  double                hoop = 0;
  add(rows, "cylinder, nu 0.3", cylinder(0.3, &hoop), {{0.004766667, 0.003033333}}, lame);
  rows.push_back(verified("C8", "cylinder, nu 0.3, hoop stress of the outer wall", hoop, 33.33333, 0.02 * 33.33333, "MPa", lame));
  add(rows, "cylinder, nu 0.4999", cylinder(0.4999, &hoop), {{0.00499991665, 0.0025003333}}, lame);
  add(rows, "sphere, nu 0.3", sphere(0.3), {{0.8, 0.3}}, ball);
  const std::size_t first_locked = rows.size();
  add(rows, "sphere, nu 0.4999", sphere(0.4999), {{0.8571143, 0.2143286}},
      ball + "; 0.5 % is not promised at this nu");
  for (std::size_t i = first_locked; i < rows.size(); ++i)
  {
    rows[i].level = 'E';
    rows[i] = because(rows[i], "flat quadratic cells do not lock but lose accuracy as nu nears 0.5: in a trial with 20 cells along an edge "
                               "the inner wall is 2.1, 0.8 and 0.5 % off for 4, 6 and 8 layers");
  }
  return rows;
}
} // namespace stifle::checks

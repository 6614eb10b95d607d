// C5: cylinder, taper and sphere under a temperature that grows with place (NAFEMS LE11, construct.md 2.4), a quarter turn of the solid
//   meridian (r, z): sphere r = 1 from A (1, 0) to E at 45 deg, then a cylinder up to H; outside a sphere of 1.4 from B to D at 30 deg, a straight
//            taper from D to G, a cylinder up to I; three blocks A-B-D-E, E-D-G-m, m-G-I-H, m half way from E to H
//   grid     finer towards A: t^1.5 along the arc, t^1.3 across; a finer one (8 x 11 x 20) gives -105.5
//   load     temperature r + z, alpha 2.3e-4; u_z = 0 on both ends, symmetry on both planes. Stress has no length in it: m are taken as mm
#include "scenarios/checks/check_model.h"
#include "scenarios/checks/solver_cases.h"

namespace stifle::checks
{
namespace
{
constexpr double high = 1.79, r_in = 0.70710678118654752, alpha = 2.3e-4;
const Vector2    d_point(1.4 * std::cos(pi / 6), 0.7), e_point(r_in, r_in), g_point(1, 1.39), m_point(r_in, 0.5 * (r_in + high));

Section meridian(int across, int per_block)
{
  Section    section;
  const auto between = [](const Vector2 &a, const Vector2 &b, double t) { return Vector2(a + t * (b - a)); };
  const auto block   = [&](const std::function<Vector2(double)> &inner, const std::function<Vector2(double)> &outer, double grading = 1) {
    section.add_grid(across, per_block, [&](int i, int j) {
      const double t = std::pow(double(j) / per_block, grading), s = std::pow(double(i) / across, 1.3);
      return between(inner(t), outer(t), s);
    });
  };
  block([](double t) { return Vector2(std::cos(pi / 4 * t), std::sin(pi / 4 * t)); },
        [](double t) { return Vector2(1.4 * std::cos(pi / 6 * t), 1.4 * std::sin(pi / 6 * t)); }, 1.5);
  block([&](double t) { return between(e_point, m_point, t); }, [&](double t) { return between(d_point, g_point, t); });
  block([&](double t) { return between(m_point, Vector2(r_in, high), t); }, [&](double t) { return between(g_point, Vector2(1, high), t); });
  return section;
}

double stress_at_a(int across, int per_block, int around)
{
  Problem problem(extrude(meridian(across, per_block), steps(0, pi / 2, around),
                          [](const Vector3 &p) { return Vector3(p[0] * std::cos(p[2]), p[0] * std::sin(p[2]), p[1]); }),
                  {{210e3, 0.3}});
  problem.hold([](const Vector3 &p) { return same(p[1], 0) || same(p[1], high); }, {2});
  problem.hold([](const Vector3 &p) { return same(p[2], 0); }, {1});
  problem.hold([](const Vector3 &p) { return same(p[2], pi / 2); }, {0});
  problem.grow([](const Vector3 &x) { return alpha * (std::hypot(x[0], x[1]) + x[2]); });
  problem.solve();
  // At both ends of the arc of A the mesh differs only in which way its diagonals run: the mean of the two.
  const auto at = [&](double angle) {
    return problem.stress_at([=](const Vector3 &p) { return same(p[0], 1) && same(p[1], 0) && same(p[2], angle); })[2];
  };
  return 0.5 * (at(0) + at(pi / 2));
}
} // namespace

std::vector<CheckRow> thermal_stress()
{
  return {verified("C5", "axial stress at A, temperature growing with place", stress_at_a(5, 7, 14), -105, 0.015 * 105, "MPa",
                   "NAFEMS LE11 (S32), construct.md 2.4; the sheet's own converged value is -105.6")};
}
} // namespace stifle::checks

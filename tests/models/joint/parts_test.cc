// Requirements of the parts of the joint balance in the plane: dual numbers, cords, contact bed, exact derivatives.
#include "models/joint/equilibrium.h"
#include "models/joint/ligament.h"
#include "tests/models/joint/support.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
ContactBed flat_bed()
{
  ContactBed bed;
  bed.plateau_radius_mm = 1e12;
  return bed;
}

BalanceSetup setup_of(const std::string &activity, double slope_deg, LigamentState ligament)
{
  const Scenario s;
  const OperatedAnatomy bone = test::bone_at(s, slope_deg);
  const Activity a = test::activity(activity);
  return BalanceSetup({s, bone, ligament, LoadSet::stance, stance_load(s, bone.anatomy, a, 50)});
}
} // namespace

// Requirement: derivatives follow the rules of calculus. Hand: f = sqrt(x^2 / y), x 3, y 4: f 1.5, f_x 0.5, f_y -0.1875.
TEST(Dual, DifferentiatesByHandCalculation)
{
  const Dual x = Dual::unknown(3, 0), y = Dual::unknown(4, 1), f = sqrt(x * x / y);
  EXPECT_NEAR(f.value, 1.5, 1e-15);
  EXPECT_NEAR(f.slope(0), 0.5, 1e-15);
  EXPECT_NEAR(f.slope(1), -0.1875, 1e-15);
  EXPECT_EQ(f.slope(2), 0);
}

// Requirement: quadratic toe, then linear, slack below. Hand, rest 20 mm, 200 N/mm, toe 0.03:
// strain 0.01: 4000 * 0.0001 / 0.06 = 6.667 N; strain 0.05: 4000 * 0.035 = 140 N; at the toe both give 60 N.
TEST(Ligament, FollowsTheToeLaw)
{
  EXPECT_EQ(cord_tension_n(19.9, 20, 200, 0.03), 0);
  EXPECT_NEAR(cord_tension_n(20.2, 20, 200, 0.03), 6.6667, 1e-3);
  EXPECT_NEAR(cord_tension_n(21.0, 20, 200, 0.03), 140, 1e-9);
  EXPECT_NEAR(cord_tension_n(20.6 - 1e-9, 20, 200, 0.03), 60, 1e-5);
  EXPECT_NEAR(cord_tension_n(20.6 + 1e-9, 20, 200, 0.03), 60, 1e-5);
}

// Requirement: the secondary spring resists both ways beyond its slack. Hand: 40 N/mm, slack 7, toe 1:
// travel 7.5: 40 * 0.25 / 2 = 5 N; travel -9: -40 * (2 - 0.5) = -60 N.
TEST(Ligament, SlackSpringResistsBothWays)
{
  EXPECT_EQ(slack_spring_n(6.9, 7, 40, 1), 0);
  EXPECT_NEAR(slack_spring_n(7.5, 7, 40, 1), 5, 1e-12);
  EXPECT_NEAR(slack_spring_n(-9.0, 7, 40, 1), -60, 1e-12);
}

// Requirement: a cylinder on a flat bed gives the closed form. Depth at x is sqrt(R^2 - x^2) - (R - d), so with
// a = sqrt(R^2 - (R - d)^2): F = k w (R^2 asin(a/R) + a (R - d) - 2 a (R - d)).
TEST(ContactBed, CylinderOnAFlatBedGivesTheClosedForm)
{
  const ContactBed bed = flat_bed();
  for (const double depth : {0.05, 0.4, 1.2})
  {
    const double R = bed.condyle_radius_mm, h = R - depth, a = std::sqrt(R * R - h * h);
    const double closed = bed.stiffness_mpa_per_mm * bed.width_mm * (R * R * std::asin(a / R) - a * h);
    const auto c = contact_force(bed, 2.0, h);
    EXPECT_NEAR(c.force_n.z, -closed, 1e-8 * closed); // the plateau is pushed distally
    EXPECT_NEAR(c.force_n.x, 0, 1e-6 * closed);
    EXPECT_NEAR(c.centre_t_mm, 2.0, 1e-6);
    EXPECT_NEAR(c.peak_mpa, bed.stiffness_mpa_per_mm * depth, 1e-6);
  }
}

// Requirement: the bed ends at the plateau's end: a condyle over the edge presses on half of its length (flat, centred on it).
TEST(ContactBed, EndsAtTheEdgeOfThePlateau)
{
  const ContactBed bed = flat_bed();
  const double full = contact_force(bed, 0.0, 12.6).force_n.z, half = contact_force(bed, 14.5, 12.6).force_n.z;
  EXPECT_NEAR(half, full / 2, 1e-7 * std::abs(full));
}

// Requirement: no touch, no force.
TEST(ContactBed, IsSilentWithoutTouch) { EXPECT_FALSE(contact_force(ContactBed(), 0.0, 13.001).touching); }

// Requirement: on the convex plateau contact pushes along the common normal of two circles to first order:
// slope of force = t / (r + n) for a light touch.
TEST(ContactBed, PushesAlongTheCommonNormal)
{
  const ContactBed bed;
  const double t = -2, n = std::sqrt(39.0 * 39.0 - t * t) - 26 - 0.02;
  const auto c = contact_force(bed, t, n);
  EXPECT_NEAR(c.force_n.x / c.force_n.z, t / (26 + n), 2e-3);
}

// Requirement: derivatives of all three equations are exact: they agree with central differences to 1e-6.
TEST(Balance, DerivativesAgreeWithDifferences)
{
  for (const LigamentState ligament : {LigamentState::intact, LigamentState::torn})
    for (const double t : {-17.0, -8.5, -0.7, 0.9})
    {
      const BalanceSetup s = setup_of("trot", 25, ligament);
      const Eigen::Vector3d y(t, std::sqrt(39.0 * 39.0 - t * t) - 26 - 0.4, 300);
      const auto d = balance<Dual>(s, Dual::unknown(y(0), 0), Dual::unknown(y(1), 1), Dual::unknown(y(2), 2));
      const auto at = [&](const Eigen::Vector3d &p)
      {
        const auto b = balance<double>(s, p(0), p(1), p(2));
        return Eigen::Vector3d(b.along_t, b.along_n, b.turning);
      };
      for (int j = 0; j < 3; ++j)
      {
        const Eigen::Vector3d step = 1e-5 * Eigen::Vector3d::Unit(j), slope = (at(y + step) - at(y - step)) / 2e-5;
        EXPECT_NEAR(d.along_t.slope(j), slope(0), 1e-6 * (1 + std::abs(slope(0)))) << j;
        EXPECT_NEAR(d.along_n.slope(j), slope(1), 1e-6 * (1 + std::abs(slope(1)))) << j;
        EXPECT_NEAR(d.turning.slope(j), slope(2), 1e-6 * (1 + std::abs(slope(2)))) << j;
      }
    }
}

// Requirement: Newton converges quadratically, as exact derivatives allow: each residual is below a constant times the square of
// the one before (N), down to round-off, which takes at most five steps. A linear rate of 0.1 breaks the bound below 2 N.
TEST(Equilibrium, NewtonConvergesQuadratically)
{
  for (const std::string name : {"stand", "walk", "trot"})
  {
    const BalanceSetup s = setup_of(name, 25, LigamentState::intact);
    Equilibrium e = find_equilibrium(s, 0);
    ASSERT_TRUE(e.converged);
    e.t_mm -= 0.1;
    e.n_mm -= 0.02;
    e.tendon_n += 20;
    const std::vector<double> r = newton(s, e, {true, true, true}).residuals_n;
    EXPECT_GT(r.front(), 5) << name;
    EXPECT_LE(r.size(), 6u) << name;
    EXPECT_LT(r.back(), 1e-8) << name;
    for (std::size_t i = 0; i + 1 < r.size(); ++i)
      EXPECT_LT(r[i + 1], 0.05 * r[i] * r[i] + 1e-10) << name << " step " << i;
  }
}

// Requirement: one cord against a known force. On a flat plateau contact has no part along the chord, so the cranial cruciate
// alone carries the thrust: its chord component equals it, its tension obeys the law at its length.
TEST(Equilibrium, OneCordCarriesTheThrustOnAFlatPlateau)
{
  Scenario s;
  s.tibia.plateau_angle_deg = 20;
  const OperatedAnatomy bone = test::bone_at(s, 20);
  BalanceSetup setup({s, bone, LigamentState::intact, LoadSet::axial, set_load(s, bone, LoadSet::axial, radians(135), 300)});
  setup.bed.plateau_radius_mm = 1e9;
  const Equilibrium e = find_equilibrium(setup, 0);
  ASSERT_TRUE(e.converged);
  const auto b = balance<double>(setup, e.t_mm, e.n_mm, e.tendon_n);
  EXPECT_EQ(length(b.caudal_force), 0);
  EXPECT_NEAR(-dot(b.cranial_force, in_plane<double>(setup.chord)), 300 * std::sin(radians(20)), 1e-6);
}

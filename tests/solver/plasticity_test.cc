#include "models/core/error.h"
#include "solver/plasticity.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
// 316L cold worked, sheet section 6: 690 / 860 MPa, 12 %; E 193 GPa.
Material steel()
{
  Material m;
  m.name = "steel";
  m.modulus_mpa = 193000;
  m.poisson_ratio = 0.3;
  m.yield_mpa = 690;
  m.ultimate_mpa = 860;
  return m;
}

double von_mises_of(const Voigt &s)
{
  return std::sqrt(0.5 * (std::pow(s(0) - s(1), 2) + std::pow(s(1) - s(2), 2) + std::pow(s(2) - s(0), 2)) +
                   3 * s.tail<3>().squaredNorm());
}

// A pulled bar: the lateral strain that leaves no lateral stress, by secant steps on the material alone.
PlasticAnswer pull(const PlasticMaterial &m, double strain, const PlasticPoint &old)
{
  double lateral = -m.poisson_ratio * strain;
  PlasticAnswer a;
  for (int k = 0; k < 60; ++k)
  {
    VoigtTangent t;
    a = return_map(m, (Voigt() << strain, lateral, lateral, 0, 0, 0).finished(), old, &t);
    lateral -= a.stress(1) / (t(1, 1) + t(1, 2));
  }
  return a;
}
const Voigt crooked = (Voigt() << 0.004, -0.001, 0.0005, 0.003, -0.002, 0.006).finished();
} // namespace

// Requirement: the rule of the curve. By hand: p at the ultimate = 0.12 - 860/193000 = 0.115544; slope 170/0.115544 = 1471.3 MPa.
TEST(Plasticity, MetalGoesFromYieldToUltimateAtTheElongation)
{
  const PlasticMaterial m = metal(steel(), 0.12);
  EXPECT_NEAR(m.hardening_mpa, 1471.3, 0.05);
  EXPECT_EQ(m.yield_mpa, 690);
  EXPECT_EQ(m.ceiling_mpa, 860);
  EXPECT_NEAR(pull(m, 0.12, {}).stress(0), 860, 1e-6);
  EXPECT_NEAR(pull(m, 0.15, {}).stress(0), 860, 1e-6); // flat behind it
  Material brittle = steel();
  brittle.yield_mpa = 0;
  EXPECT_THROW(metal(brittle, 0.12), Error);
  EXPECT_THROW(metal(steel(), 0.004), Error); // below 860/193000
}

// Requirement: a pulled bar follows the closed form: E e below yield, then yield + E H/(E+H) (e - yield/E).
TEST(Plasticity, PulledBarFollowsTheClosedForm)
{
  const PlasticMaterial m{200000, 0.3, 400, 5000};
  for (const double e : {0.001, 0.00199, 0.002, 0.0025, 0.01, 0.05})
  {
    const double expected = e <= 0.002 ? 200000 * e : 400 + 200000.0 * 5000 / 205000 * (e - 0.002);
    const PlasticAnswer a = pull(m, e, {});
    EXPECT_NEAR(a.stress(0), expected, 1e-8 * expected);
    EXPECT_NEAR(a.point.equivalent, e - expected / 200000, 1e-12);
    EXPECT_EQ(a.flows, e > 0.002);
  }
}

// Requirement: the order of steps does not matter in a straight pull: ten increments end where one ends.
TEST(Plasticity, StepsOfAStraightPullAddUp)
{
  const PlasticMaterial m = metal(steel(), 0.12);
  PlasticPoint point;
  PlasticAnswer a;
  for (int k = 1; k <= 10; ++k)
  {
    a = return_map(m, 0.3 * k * crooked, point);
    point = a.point;
  }
  const PlasticAnswer once = return_map(m, 3 * crooked, {});
  EXPECT_LT((a.stress - once.stress).norm(), 1e-9 * once.stress.norm());
  EXPECT_NEAR(a.point.equivalent, once.point.equivalent, 1e-12);
}

// Requirement: below yield the answer is Hooke's and nothing is remembered. By hand for shear alone: G = 80000, tau = G gamma,
// von Mises = sqrt(3) tau = 400 at gamma = 0.0028868.
TEST(Plasticity, IsElasticBelowYield)
{
  const PlasticMaterial m{208000, 0.3, 400, 5000};
  Voigt strain = Voigt::Zero();
  strain(3) = 0.00288;
  VoigtTangent tangent;
  PlasticAnswer a = return_map(m, strain, {}, &tangent);
  EXPECT_NEAR(a.stress(3), 80000 * 0.00288, 1e-9);
  EXPECT_FALSE(a.flows);
  EXPECT_EQ(a.point.equivalent, 0);
  EXPECT_EQ((tangent - elastic_tangent(m)).norm(), 0);
  strain(3) = 0.00289;
  EXPECT_TRUE(return_map(m, strain, {}).flows);
  // All-round pressure never yields.
  EXPECT_FALSE(return_map(m, (Voigt() << -0.1, -0.1, -0.1, 0, 0, 0).finished(), {}).flows);
}

// Requirement: plastic flow keeps the volume, stays on the curve and goes along the stress deviator.
TEST(Plasticity, FlowKeepsTheVolumeAndTheCurve)
{
  const PlasticMaterial m = metal(steel(), 0.12);
  PlasticPoint old;
  old.strain = (Voigt() << 0.001, -0.0004, -0.0006, 0.001, 0, 0).finished();
  old.equivalent = 0.0012;
  const PlasticAnswer a = return_map(m, 2 * crooked, old);
  ASSERT_TRUE(a.flows);
  EXPECT_NEAR(a.point.strain.head<3>().sum(), 0, 1e-16);
  EXPECT_NEAR(von_mises_of(a.stress), 690 + m.hardening_mpa * a.point.equivalent, 1e-9 * 690);
  EXPECT_LT((a.stress - elastic_tangent(m) * (2 * crooked - a.point.strain)).norm(), 1e-8 * a.stress.norm());
  EXPECT_NEAR(a.stress.head<3>().sum(), 193000 / 0.4 * 2 * crooked.head<3>().sum(), 1e-8 * 690);
}

// Requirement: unloading is elastic and leaves the plastic strain: by hand e = 0.01 to 0.009 takes E * 0.001 = 200 MPa off;
// reversed flow starts at minus the last flow stress (isotropic hardening).
TEST(Plasticity, UnloadsElastically)
{
  const PlasticMaterial m{200000, 0.3, 400, 5000};
  const PlasticAnswer up = pull(m, 0.01, {});
  const PlasticAnswer down = pull(m, 0.009, up.point);
  EXPECT_NEAR(down.stress(0), up.stress(0) - 200, 1e-8);
  EXPECT_EQ(down.point.equivalent, up.point.equivalent);
  const double reversed = 0.01 - 2 * up.stress(0) / 200000;
  EXPECT_FALSE(pull(m, reversed + 1e-6, up.point).flows);
  EXPECT_TRUE(pull(m, reversed - 1e-6, up.point).flows);
}

// Requirement: the tangent is the derivative of the stress: central differences, on the slope and on the flat of the curve,
// fresh and with a history; symmetric.
TEST(Plasticity, TangentIsTheDerivative)
{
  const PlasticMaterial m = metal(steel(), 0.12);
  PlasticPoint old;
  old.strain = (Voigt() << 0.001, -0.0004, -0.0006, 0.001, 0, 0).finished();
  old.equivalent = 0.0012;
  PlasticPoint worn = old;
  worn.equivalent = 0.2; // on the flat
  for (const PlasticPoint &point : {PlasticPoint(), old, worn})
  {
    VoigtTangent tangent;
    ASSERT_TRUE(return_map(m, 2 * crooked, point, &tangent).flows);
    EXPECT_LT((tangent - tangent.transpose()).norm(), 1e-12 * tangent.norm());
    for (int k = 0; k < 6; ++k)
    {
      const Voigt step = 1e-7 * Voigt::Unit(k);
      const Voigt column =
          (return_map(m, 2 * crooked + step, point).stress - return_map(m, 2 * crooked - step, point).stress) / 2e-7;
      EXPECT_LT((tangent.col(k) - column).norm(), 1e-6 * tangent.norm()) << k;
    }
  }
}

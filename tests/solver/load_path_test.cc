// Requirements of states solved as blocks and of friction along a chain of states.
#include "solver/cut_faces.h"
#include "tests/solver/block_construct.h"
#include "tests/solver/demo_construct.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
std::vector<PointForce> times(std::vector<PointForce> loads, double factor)
{
  for (PointForce &load : loads)
  {
    load.force_n *= factor;
    load.moment_nmm *= factor;
  }
  return loads;
}

/// The demo's loads with more of the tendon: another direction.
std::vector<PointForce> pulled(double factor)
{
  std::vector<PointForce> loads = demo().loads;
  loads.back().force_n *= factor;
  return loads;
}

ConstructModel model_of_demo() { return {demo().construct, demo().anatomy, demo().levelling, demo().materials}; }

void expect_equal(const ConstructState &a, const ConstructState &b, double relative)
{
  EXPECT_NEAR(a.cut.slip_max_mm, b.cut.slip_max_mm, relative * std::max(1e-3, b.cut.slip_max_mm));
  EXPECT_NEAR(a.cut.contact_percent, b.cut.contact_percent, relative * 100);
  EXPECT_NEAR(a.cut.plateau_drift_deg, b.cut.plateau_drift_deg, relative * std::abs(b.cut.plateau_drift_deg));
  ASSERT_EQ(a.peaks.size(), b.peaks.size());
  for (std::size_t p = 0; p < a.peaks.size(); ++p)
    EXPECT_NEAR(a.peaks[p].von_mises_mpa, b.peaks[p].von_mises_mpa, relative * b.peaks[p].von_mises_mpa) << a.peaks[p].part;
  ASSERT_EQ(a.screws.size(), b.screws.size());
  for (std::size_t s = 0; s < a.screws.size(); ++s)
    EXPECT_NEAR(a.screws[s].bending_nmm, b.screws[s].bending_nmm, relative * b.screws[s].bending_nmm);
}
} // namespace

// Requirement: a point slides from where it has slid before. Hand, k = 1e4 N/mm^3, friction 0.4, sunk by 0.01 mm: pressure 100 MPa,
// shear at most 40 MPa. Moved by 0.02 mm: 200 > 40, slides by 0.02 - 0.004 = 0.016 mm. Back to 0.016: no shear. Back to 0.010:
// -60 < -40, slides back to 0.010 + 0.004 = 0.014 mm. Lifted at 0.007: no shear, and 0.007 is where the next shear counts from.
TEST(LoadPath, FrictionRemembersSlides)
{
  const auto       block = block_construct(BlockShape());
  const Elasticity e(block.mesh, std::vector<IsotropicMaterial>(block.mesh.parts.size(), {1000, 0.3}));
  const CutFaces   faces(e);
  ContactLaw       law;
  struct Step
  {
    double normal, along, shear_mpa, slid;
  };
  for (const Step &step : {Step{-0.01, 0.02, 40, 0.016}, Step{-0.01, 0.016, 0, 0.016}, Step{-0.01, 0.010, -40, 0.014},
                           Step{0.01, 0.007, 0, 0.007}, Step{-0.01, 0.009, 20, 0.007}})
  {
    Vector w = Vector::Zero(3 * faces.n_pairs());
    for (std::size_t p = 0; p < faces.n_pairs(); ++p)
      w.segment<3>(3 * p) = Vector3(step.normal, step.along, 0);
    const Vector q     = faces.contact_force(w, law);
    double       shear = 0;
    for (std::size_t p = 0; p < faces.n_pairs(); ++p)
      shear += q(3 * p + 1);
    EXPECT_NEAR(shear, 36 * step.shear_mpa, 1e-9); // 36 mm^2
    law.slid = faces.slid(w, law);
    for (const Eigen::Vector2d &slid : law.slid)
    {
      EXPECT_NEAR(slid.x(), step.slid, 1e-12);
      EXPECT_NEAR(slid.y(), 0, 1e-12);
    }
    // What springs that stick would do is left to the caller: both forms say the same.
    Vector springs = Vector::Zero(q.size());
    faces.add_callus_force(w, law.stiffness, law.stiffness, springs);
    ContactLaw before = law;
    EXPECT_LT((faces.contact_force(w, before) - springs - faces.contact_force(w, before, law.stiffness)).cwiseAbs().maxCoeff(), 1e-9);
  }
}

// Requirement: a load that only grows slides as in one step: contact and friction scale with the load.
TEST(LoadPath, AGrowingLoadSlidesAsInOneStep)
{
  ConstructModel model = model_of_demo();
  const auto     path  = model.solve_block({{times(demo().loads, 0.3), -1}, {times(demo().loads, 0.7), 0}, {demo().loads, 1}}, CutLaw());
  const auto     alone = model.solve(demo().loads, CutLaw());
  ASSERT_TRUE(path[2].converged);
  EXPECT_GT(alone.cut.slip_max_mm, 1e-3); // it does slide
  expect_equal(path[2], alone, 1e-6);
}

// Requirement: a load taken off again leaves slides behind, and the same load again changes nothing.
TEST(LoadPath, UnloadingLeavesSlides)
{
  ConstructModel model = model_of_demo();
  const auto     small = times(demo().loads, 0.1);
  const auto     path  = model.solve_block({{demo().loads, -1}, {demo().loads, 0}, {small, 1}}, CutLaw());
  const auto     alone = model.solve(small, CutLaw());
  expect_equal(path[1], path[0], 1e-6);
  EXPECT_GT(path[2].cut.slip_max_mm, 2 * alone.cut.slip_max_mm);
}

// Requirement: states solved together are those solved one by one.
TEST(LoadPath, ABlockIsItsStatesOneByOne)
{
  ConstructModel              together = model_of_demo(), apart = model_of_demo();
  const std::vector<LoadStep> block = {{demo().loads, -1}, {pulled(1.5), -1}, {pulled(0.5), 1}, {times(demo().loads, 2), -1}};
  const auto                  states = together.solve_block(block, CutLaw());
  for (const std::size_t i : {0, 1, 3})
    expect_equal(states[i], apart.solve(block[i].forces, CutLaw()), 1e-6);
  expect_equal(states[2], apart.solve_block({{pulled(1.5), -1}, {pulled(0.5), 0}}, CutLaw()).back(), 1e-6);
}

// Requirement: no digit depends on the number of threads, also in a second week that starts from the first.
TEST(LoadPath, ThreadsChangeNoDigit)
{
  std::vector<Vector> displacement;
  std::vector<double> peaks;
  for (const int threads : {1, 3})
  {
    ConstructModel              model = model_of_demo();
    std::vector<LoadStep>       block;
    for (int i = 0; i < 10; ++i)
      block.push_back({pulled(0.5 + 0.2 * i), i % 2 == 0 ? -1 : i - 1});
    CutLaw law;
    for (const double callus : {0.0, 50.0})
    {
      law.callus_normal = law.callus_tangential = callus;
      for (const ConstructState &state : model.solve_block(block, law, {threads}))
      {
        ASSERT_TRUE(state.converged);
        for (const PartPeak &peak : state.peaks)
          peaks.push_back(peak.von_mises_mpa);
      }
    }
    displacement.push_back(model.displacement());
  }
  EXPECT_EQ(displacement[0], displacement[1]);
  EXPECT_TRUE(std::equal(peaks.begin(), peaks.begin() + peaks.size() / 2, peaks.begin() + peaks.size() / 2));
}

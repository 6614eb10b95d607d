// Requirements of conjugate gradients with algebraic multigrid: same answers as the factor, iterations that need the six rigid modes.
#include "solver/cg_states.h"
#include "solver/patch_load.h"
#include "models/core/error.h"
#include "tests/solver/demo_construct.h"
#include "tests/solver/plated_block.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
/// The bonded demo construct: nodal forces in balance, the talar patch to take rigid motion off.
struct Bonded
{
  Elasticity         elasticity{demo().construct.mesh, part_materials(demo().construct.mesh, demo().materials)};
  CutFaces           cut{elasticity};
  ConstructMaterials materials = with_own_threads(demo().materials, demo().construct);
  Patch              talar     = make_patch(demo().construct.mesh, support_of(demo().construct.mesh));
  Vector             force     = landmark_forces(elasticity, demo().loads);

  Bonded()
  {
    const Resultant sum = resultant_of(elasticity, force, demo().anatomy.hock_centre);
    add_resultant(elasticity, talar, -sum.force_n, -sum.moment_nmm, demo().anatomy.hock_centre, force);
  }
  SolveReport solve(const CgOptions &options, Vector &u) const
  {
    CgConstruct       cg(elasticity, cut, thread_faces(elasticity, materials), {}, options);
    Vector            x;
    const SolveReport report = cg.solver().solve(cg.reduce(force), x);
    u                        = cg.expand(x);
    remove_mean_motion(elasticity, talar, u);
    return report;
  }
};

CutLaw bonded()
{
  CutLaw law;
  law.bonded = true;
  return law;
}

double relative_difference(const Vector &a, const Vector &b) { return (a - b).cwiseAbs().maxCoeff() / b.cwiseAbs().maxCoeff(); }

void expect_near(double a, double b, double relative, const std::string &what) { EXPECT_NEAR(a, b, relative * std::abs(b)) << what; }

/// Every column of construct.csv, cut.csv and screws.csv of one state.
void expect_same(const ConstructState &a, const ConstructState &b, double relative)
{
  ASSERT_TRUE(a.converged && b.converged);
  ASSERT_EQ(a.peaks.size(), b.peaks.size());
  for (std::size_t p = 0; p < b.peaks.size(); ++p)
  {
    expect_near(a.peaks[p].von_mises_mpa, b.peaks[p].von_mises_mpa, relative, b.peaks[p].part);
    expect_near(a.peaks[p].principal_strain, b.peaks[p].principal_strain, relative, b.peaks[p].part);
    EXPECT_LT((a.peaks[p].place_mm - b.peaks[p].place_mm).norm(), 1e-9) << b.peaks[p].part;
  }
  ASSERT_EQ(a.screws.size(), b.screws.size());
  double axial = 0;
  for (const ScrewResult &screw : b.screws)
    axial = std::max(axial, std::abs(screw.axial_n));
  for (std::size_t s = 0; s < b.screws.size(); ++s)
  {
    EXPECT_NEAR(a.screws[s].axial_n, b.screws[s].axial_n, relative * axial) << b.screws[s].screw;
    expect_near(a.screws[s].shear_n, b.screws[s].shear_n, relative, b.screws[s].screw);
    expect_near(a.screws[s].bending_nmm, b.screws[s].bending_nmm, relative, b.screws[s].screw);
  }
  expect_near(a.cut.contact_percent, b.cut.contact_percent, relative, "contact");
  expect_near(a.cut.gap_opening_max_mm, b.cut.gap_opening_max_mm, relative, "opening");
  expect_near(a.cut.slip_max_mm, b.cut.slip_max_mm, relative, "slip");
  expect_near(a.cut.plateau_drift_deg, b.cut.plateau_drift_deg, relative, "drift");
  expect_near(a.cut.load_through_bone_percent, b.cut.load_through_bone_percent, relative, "through bone");
}

/// The plated block with threads as springs, and a load off the middle: the cut closes in a part and slips.
ConstructMaterials springs()
{
  ConstructMaterials m = plated_materials();
  m.bonded_threads     = false;
  return m;
}
std::vector<PointForce> off_middle() { return {top_load({-3, 1, 60}, {30, 40, -600})}; }

ConstructModel model(SolverKind solver) { return {demo().construct, demo().anatomy, demo().levelling, demo().materials, solver}; }
} // namespace

// Requirement: the displacement of the bonded construct is that of the factor to 1e-6 of the largest (issue 8), with the default
// tolerance. The factor is checked against CalculiX elsewhere.
TEST(CgAmg, DisplacementIsThatOfTheFactor)
{
  Vector            u;
  const SolveReport report = Bonded().solve({}, u);
  EXPECT_TRUE(report.converged);
  ConstructModel direct = model(SolverKind::direct);
  direct.solve(demo().loads, bonded());
  EXPECT_LT(relative_difference(u, direct.displacement()), 1e-6);
}

// Requirement: few iterations with the six rigid modes, clearly more when the rotations are left out: still not there after twice as
// many. The bound: 40, for a count that does not grow with the mesh (benchmarks/cg_growth: 27 at 69 k, 24 at 492 k unknowns).
TEST(CgAmg, NeedsTheRotationsAmongTheRigidModes)
{
  const Bonded      problem;
  Vector            u;
  const SolveReport six = problem.solve({}, u);
  EXPECT_TRUE(six.converged);
  EXPECT_LE(six.iterations, 40u);
  CgOptions options;
  options.modes           = 3;
  options.max_iterations  = static_cast<int>(2 * six.iterations);
  const SolveReport three = problem.solve(options, u);
  EXPECT_FALSE(three.converged);
}

// Requirement: a limit of iterations that is too small is told, not passed over.
TEST(CgAmg, SaysWhenItDidNotConverge)
{
  CgOptions options;
  options.max_iterations = 3;
  Vector            u;
  const SolveReport report = Bonded().solve(options, u);
  EXPECT_FALSE(report.converged);
  EXPECT_EQ(report.iterations, 3u);
}

// Requirement: fresh contact with friction, callus and a gap give the tables of the condensed path: cut, slip, drift and peaks.
TEST(CgAmg, StatesAreThoseOfTheCondensedCut)
{
  const auto     construct = plated_block();
  ConstructModel direct(construct, block_anatomy(), Levelling(), springs()), cg = {construct, block_anatomy(), Levelling(), springs(), SolverKind::cg};
  EXPECT_TRUE(cg.iterative());
  EXPECT_FALSE(direct.iterative());
  CutLaw fresh, healing, apart;
  healing.callus_normal     = 10; // N/mm^3
  healing.callus_tangential = 10 / 2.6;
  apart.gap_mm              = 0.005; // closes in a part under this load
  for (const CutLaw &law : {fresh, healing, apart})
  {
    const ConstructState a = cg.solve(off_middle(), law), b = direct.solve(off_middle(), law);
    EXPECT_LT(b.cut.contact_percent, 99.9);
    EXPECT_GT(b.cut.contact_percent, 0.1);
    expect_same(a, b, 1e-5);
    EXPECT_LT(relative_difference(cg.displacement(), direct.displacement()), 1e-6);
  }
}

// Requirement: a bonded cut carries the same share of the load as in the condensed path.
TEST(CgAmg, BondedCutCarriesWhatItCarriesInTheCondensedPath)
{
  const auto     construct = plated_block();
  ConstructModel direct(construct, block_anatomy(), Levelling(), springs()), cg = {construct, block_anatomy(), Levelling(), springs(), SolverKind::cg};
  const ConstructState a = cg.solve(off_middle(), bonded()), b = direct.solve(off_middle(), bonded());
  expect_near(a.cut.load_through_bone_percent, b.cut.load_through_bone_percent, 1e-6, "through bone");
  EXPECT_LT(relative_difference(cg.displacement(), direct.displacement()), 1e-6);
}

// Requirement: friction follows a chain of states as in the condensed path.
TEST(CgAmg, FrictionFollowsTheChain)
{
  const auto            construct = plated_block();
  std::vector<LoadStep> chain{{off_middle(), -1}, {off_middle(), 0}};
  chain[0].forces[0].force_n *= 2; // more load first: it slides, and less of it slides back
  ConstructModel       direct(construct, block_anatomy(), Levelling(), springs()), cg = {construct, block_anatomy(), Levelling(), springs(), SolverKind::cg};
  const ConstructState b = direct.solve_block(chain, CutLaw()).back();
  expect_same(cg.solve_block(chain, CutLaw()).back(), b, 1e-5);
  const ConstructState alone = direct.solve(off_middle(), CutLaw());
  EXPECT_GT(std::abs(alone.cut.slip_max_mm - b.cut.slip_max_mm), 1e-3 * b.cut.slip_max_mm); // the chain matters here
}

// Requirement: what conjugate gradients cannot do is refused in a sentence, and `automatic` then takes the factor.
TEST(CgAmg, RefusesTiedThreads)
{
  const auto construct = plated_block();
  EXPECT_THROW(ConstructModel(construct, block_anatomy(), Levelling(), plated_materials(), SolverKind::cg), Error);
  EXPECT_FALSE(ConstructModel(construct, block_anatomy(), Levelling(), plated_materials(), SolverKind::automatic).iterative());
}

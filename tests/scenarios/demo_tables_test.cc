// What blocks, starts from other states, threads, kept meshes and candidates save must not show in the results.
#include "models/healing/diary.h"
#include "models/parts/repair.h"
#include "scenarios/app/construct_tier.h"
#include "solver/construct_results.h"
#include "tests/solver/support/plain_recovery.h"
#include "tests/support/program.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::app;

namespace
{
/// The large dog on a coarse mesh, each state for itself.
Scenario coarse_dog()
{
  Scenario s;
  s.levelling.plateau_angles_deg = {6};
  s.healing.weeks                = {0, 8};
  s.healing.load_path            = "each";
  s.study.stance_percent         = {25, 50};
  s.study.samples                = 0;
  s.mesh.bone_size_mm            = 5;
  s.mesh.detail_size_mm          = 1.2;
  s.output.fields                = "none";
  return s;
}

void expect_near(double a, double b, double least, const std::string &what)
{
  EXPECT_NEAR(a, b, 1e-6 * std::max(std::abs(b), least)) << what;
}

void expect_same(const ConstructState &a, const ConstructState &b, const std::vector<PartPeak> &peaks, const std::string &where)
{
  expect_near(a.cut.contact_percent, b.cut.contact_percent, 1, where + " contact");
  expect_near(a.cut.gap_opening_max_mm, b.cut.gap_opening_max_mm, 0.01, where + " opening");
  expect_near(a.cut.slip_max_mm, b.cut.slip_max_mm, 0.01, where + " slip");
  expect_near(a.cut.plateau_drift_deg, b.cut.plateau_drift_deg, 0.1, where + " drift");
  expect_near(a.cut.load_through_bone_percent, b.cut.load_through_bone_percent, 1, where + " bone");
  ASSERT_EQ(a.screws.size(), b.screws.size());
  for (std::size_t i = 0; i < a.screws.size(); ++i)
  {
    expect_near(a.screws[i].axial_n, b.screws[i].axial_n, 1, where + " axial");
    expect_near(a.screws[i].bending_nmm, b.screws[i].bending_nmm, 1, where + " bending");
  }
  ASSERT_EQ(a.peaks.size(), peaks.size());
  for (std::size_t i = 0; i < peaks.size(); ++i)
  {
    ASSERT_EQ(a.peaks[i].part, peaks[i].part);
    ASSERT_EQ(a.peaks[i].excluded, peaks[i].excluded);
    expect_near(a.peaks[i].von_mises_mpa, peaks[i].von_mises_mpa, 1, where + " " + peaks[i].part);
    expect_near(a.peaks[i].principal_strain, peaks[i].principal_strain, 1e-4, where + " " + peaks[i].part);
  }
  ASSERT_EQ(a.shafts.size(), b.shafts.size());
  for (std::size_t i = 0; i < a.shafts.size(); ++i)
    expect_near(a.shafts[i].von_mises_mpa, b.shafts[i].von_mises_mpa, 1, where + " shaft");
}
} // namespace

// Requirement (issue 8, no regressions): the states of a run are those that a factor of its own gives each of them, from the unloaded
// shape, one thread, a mesh made anew, stress by the plain recovery of the whole field.
TEST(DemoTables, StatesOfARunAreThoseSolvedOneByOne)
{
  ConstructPlan plan;
  plan.scenario   = coarse_dog();
  for (const std::string name : {"stand", "walk", "trot"})
    plan.activities.push_back(activity_named(name));
  plan.folder     = fresh_folder("demo_tables");
  plan.threads    = 2;
  plan.solver     = solver::SolverKind::direct;
  prepare_construct(plan);
  const auto slopes = run_construct_tier(plan);
  ASSERT_EQ(slopes.size(), 2u);
  ASSERT_EQ(slopes[1].error, "");
  ASSERT_EQ(slopes[1].states.size(), 12u); // 2 weeks, 3 activities, 2 instants

  const Anatomy                     anatomy   = make_anatomy(plan.scenario);
  const Levelling                   levelling = slopes_of(plan.scenario)[1];
  const OperatedAnatomy             bone      = operate(anatomy, levelling);
  const mesh::ConstructMesh         construct = mesh::mesh_construct(plan.scenario, anatomy, levelling);
  const solver::ConstructMaterials  materials = solver::construct_materials(plan.scenario);
  int                               solved    = 0;
  for (const StateRow &row : slopes[1].states)
  {
    if (row.copy_of >= 0)
      continue;
    const Activity        *activity = find_activity(plan.activities, row.activity);
    const double           use      = limb_use_of(plan.scenario).share.at(row.week);
    solver::ConstructModel model(construct, anatomy, levelling, materials);
    const ConstructState   state = model.solve(loaded_instant(plan.scenario, bone, *activity, row.percent, use).joint.on_tibia,
                                               solver::cut_law(plan.scenario, row.week));
    ASSERT_TRUE(state.converged);
    const solver::PeakTable table(model.elasticity(), std::vector<double>(construct.mesh.parts.size(), 0));
    expect_same(row.state, state, solver::plain::rows(model.elasticity(), table, solver::plain::recover_stress(model.elasticity(), model.displacement())),
                row.activity + " week " + std::to_string(row.week) + " at " + std::to_string(row.percent));
    ++solved;
  }
  EXPECT_GE(solved, 10);
}

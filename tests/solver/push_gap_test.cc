// A push over a gap that closes on the way, and the bound of Newton iterations: the plated block of plated_block.h, the faces of its
// cut 0.1 mm apart, pressed on its axis. By hand: the free 15 mm of plate (EI 6.9e6 N mm2) turn by F * 6.65 * 15 / EI, which closes the
// far edge, 11.65 mm from the plate, at 600 N at the latest, since ties and bone give too; 100 N leave it open as long as they give no
// more than five times as much.
#include "solver/plastic_construct.h"
#include "tests/solver/plated_block.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
struct PlatedPush
{
  mesh::ConstructMesh construct = plated_block();
  std::vector<PointForce> loads = {top_load({0, 0, 60}, {0, 0, -2000})};
  CollapseCase setup{construct, block_anatomy().hock_centre, plated_materials(), {}};
  std::unique_ptr<ConstructModel> model;
  PlatedPush()
  {
    setup.materials.bonded_threads = false;
    setup.law.gap_mm = 0.1;
    model = std::make_unique<ConstructModel>(construct, block_anatomy(), Levelling(), setup.materials);
    EXPECT_TRUE(model->solve(loads, setup.law).converged);
    setup.elastic = model->displacement();
  }
};
} // namespace

// Requirement: below yield a push through the closing of a gap is the elastic construct at every load, which ConstructModel solves in
// another way (condensed cut, one load at a time): drift to 1e-5 of it, open first, then closed.
TEST(PushOverAGap, IsTheElasticConstructBelowYield)
{
  PlatedPush block;
  PlasticOptions options;
  options.factors = {0.05, 0.4, 0.7, 1};
  const CollapseResult r = push_to_collapse(block.setup, block.loads, options);
  ASSERT_EQ(r.steps.size(), options.factors.size()) << r.solve.reason;
  EXPECT_EQ(r.solve.plastic_volume_mm3, 0);
  for (const CollapseStep &step : r.steps)
  {
    std::vector<PointForce> scaled = block.loads;
    scaled[0].force_n *= step.factor;
    const ConstructState elastic = block.model->solve(scaled, block.setup.law);
    ASSERT_TRUE(elastic.converged);
    EXPECT_EQ(elastic.cut.contact_percent > 0, step.factor > 0.3) << step.factor << ": " << elastic.cut.contact_percent;
    EXPECT_NEAR(step.plateau_drift_deg, elastic.cut.plateau_drift_deg, 1e-5 * std::abs(elastic.cut.plateau_drift_deg));
  }
  std::printf("  gap that closes: %d iterations, %d factors, %.1f s\n", r.solve.iterations, r.solve.factorisations, r.solve.seconds);
}

// Requirement: a run that would need more Newton iterations than allowed ends with the load reached and the reason, not as a collapse;
// as many as it needs change nothing.
TEST(PushOverAGap, EndsAtItsBoundOfIterations)
{
  PlatedPush block;
  PlasticOptions options;
  options.factors = {0.05, 0.5};
  const CollapseResult whole = push_to_collapse(block.setup, block.loads, options);
  ASSERT_EQ(whole.steps.size(), 2u) << whole.solve.reason;
  ASSERT_GT(whole.solve.steps[1].iterations, 1);
  options.most_iterations = whole.solve.iterations;
  const CollapseResult enough = push_to_collapse(block.setup, block.loads, options);
  EXPECT_EQ(enough.steps.size(), 2u);
  EXPECT_TRUE(enough.solve.reason.empty()) << enough.solve.reason;
  EXPECT_EQ(enough.steps.back().plateau_drift_deg, whole.steps.back().plateau_drift_deg);
  options.most_iterations = whole.solve.iterations - 1;
  const CollapseResult ended = push_to_collapse(block.setup, block.loads, options);
  EXPECT_EQ(ended.solve.load_factor_reached, 0.05);
  EXPECT_FALSE(ended.solve.collapsed);
  EXPECT_EQ(ended.solve.iterations, options.most_iterations);
  EXPECT_NE(ended.solve.reason.find(std::to_string(options.most_iterations) + " Newton iterations"), std::string::npos) << ended.solve.reason;
  EXPECT_EQ(ended.steps.size(), 1u);
}

// Requirement: a push that has seen enough ends there, also among the halved steps of a load that cannot be reached: a plate that
// is far past its elongation at 1000 times the load.
TEST(PushOverAGap, EndsWhenEnoughIsSeen)
{
  PlatedPush block;
  PlasticOptions options;
  options.factors = {0.05, 1000};
  options.max_iterations = 12;
  int seen = 0;
  options.enough = [&] { return seen > 1; };
  const CollapseResult r = push_to_collapse(block.setup, block.loads, options, [&](const CollapseStep &) { ++seen; });
  EXPECT_EQ(r.steps.size(), 2u);
  EXPECT_LT(r.steps.back().factor, 1000);
  EXPECT_FALSE(r.solve.collapsed);
  EXPECT_TRUE(r.solve.reason.empty()) << r.solve.reason;
}

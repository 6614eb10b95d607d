// output.collapse: a push that would not end in bearable time. The plated block of tests/solver/plated_block.h over a gap.
#include "scenarios/app/collapse_run.h"
#include "tests/solver/plated_block.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::app;

// Requirement (issue 6, bad input): a push that does not end stops with the load reached and the reason in its margin, "at least", and
// that is not more than the collapse of the push that goes on.
TEST(CollapseRun, EndsAtItsBoundWithTheLoadReached)
{
  const mesh::ConstructMesh construct = solver::plated_block();
  const std::vector<PointForce> loads = {solver::top_load({0, 0, 60}, {0, 0, -2000})};
  solver::CollapseCase setup{construct, solver::block_anatomy().hock_centre, solver::plated_materials(), {}};
  setup.materials.bonded_threads = false;
  setup.law.gap_mm = 0.1;
  const auto collapse_of = [](const Collapse &c) { return collapse_margins(c).back(); };
  const Collapse whole = run_collapse({setup, loads, 0}, [] {}), ended = run_collapse({setup, loads, 0, 12}, [] {});
  ASSERT_GT(ended.reached, 0);
  EXPECT_LT(ended.reached, whole.reached);
  EXPECT_FALSE(ended.no_equilibrium);
  const Margin margin = collapse_of(ended);
  EXPECT_EQ(margin.mode, "collapse");
  EXPECT_EQ(margin.capacity, ended.reached);
  EXPECT_NE(margin.source.find("at least, ended at"), std::string::npos) << margin.source;
  EXPECT_NE(margin.source.find("12 Newton iterations"), std::string::npos) << margin.source;
  EXPECT_LE(margin.capacity, collapse_of(whole).capacity);
  EXPECT_EQ(collapse_of(whole).source.find("Newton"), std::string::npos) << collapse_of(whole).source;
}

// Requirements of the strength of the repairs. Expected values: alternatives.md sections 2a, 2b and check case A1.
#include "models/core/error.h"
#include "models/margins/repair_strength.h"
#include "models/margins/yield.h"
#include <gtest/gtest.h>
#include <limits>

using namespace stifle;

namespace
{
constexpr double bad[] = {-1.0, std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()};
}

// Requirement A1: walk 121 N stays below nylon yield 193.6 N, trot 203 N passes it and stays below the peak 873.7 N.
TEST(RepairStrength, JudgesTheSutureByYieldAndPeak)
{
  const auto walk = repair_strength(RepairKind::suture, {121, 0}, "nylon_leader_45kg");
  ASSERT_EQ(walk.size(), 2u);
  EXPECT_EQ(walk[0].mode, "yield");
  EXPECT_EQ(walk[1].mode, "peak");
  EXPECT_NEAR(*yield_margin(walk[0].capacity, walk[0].demand), 193.6 / 121, 1e-12);
  EXPECT_NEAR(*yield_margin(walk[1].capacity, walk[1].demand), 873.7 / 121, 1e-12);
  const auto trot = repair_strength(RepairKind::suture, {203, 0}, "nylon_leader_45kg");
  EXPECT_EQ(verdict(*yield_margin(trot[0].capacity, trot[0].demand)), "overloaded");
  EXPECT_EQ(verdict(*yield_margin(trot[1].capacity, trot[1].demand)), "adequate");
  const auto braid = repair_strength(RepairKind::suture, {121, 0}, "braided_polyethylene");
  EXPECT_EQ(braid[0].capacity, 137.3);
  EXPECT_EQ(braid[1].capacity, 653.6);
  EXPECT_EQ(braid[0].capacity_sd, 94.3);
}

// Requirement: the spacer is judged well and badly placed, 878 +- 61 and 330 +- 55 N.
TEST(RepairStrength, JudgesTheSpacerByItsPullOut)
{
  const auto rows = repair_strength(RepairKind::advancement, {0, 439});
  ASSERT_EQ(rows.size(), 2u);
  EXPECT_NEAR(*yield_margin(rows[0].capacity, rows[0].demand), 2.0, 1e-12);
  EXPECT_EQ(rows[0].capacity_sd, 61);
  EXPECT_EQ(rows[1].capacity, 330);
  EXPECT_EQ(rows[1].capacity_sd, 55);
  for (const RepairStrength &row : rows)
  {
    EXPECT_EQ(row.unit, "N");
    EXPECT_FALSE(row.source.empty() || row.label.empty());
  }
}

// Requirement: what the construct judges gets no second row here.
TEST(RepairStrength, HasNoRowForCutsAndForNoRepair)
{
  for (const RepairKind kind : {RepairKind::none, RepairKind::levelling, RepairKind::wedge})
    EXPECT_TRUE(repair_strength(kind, {100, 100}).empty());
}

TEST(RepairStrength, RefusesWhatIsNoForce)
{
  for (const double force : bad)
  {
    EXPECT_THROW(repair_strength(RepairKind::suture, {force, 0}, "nylon_leader_45kg"), Error);
    EXPECT_THROW(repair_strength(RepairKind::advancement, {0, force}), Error);
  }
  EXPECT_THROW(repair_strength(RepairKind::suture, {1, 0}, "string"), Error);
}

// Requirements of the joint over postures and of the opposite limb.
#include "models/joint/opposite_joint.h"
#include "models/joint/posture_sweep.h"
#include "tests/models/joint/support.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
Scenario small()
{
  Scenario s;
  s.repair.kind = {"levelling"};
  s.levelling.plateau_angles_deg = {6};
  return s;
}
} // namespace

// Requirement: stifle 110 to 170 deg in steps of 5 (13 postures) for two bones and two ligament states, crouched first.
TEST(JointOverPostures, GoesFromCrouchedToStraight)
{
  const std::vector<PostureRow> rows = posture_rows(small(), {test::activity("trot"), test::activity("walk")});
  ASSERT_EQ(rows.size(), 4u * 13);
  for (std::size_t i = 0; i < rows.size(); ++i)
  {
    EXPECT_NEAR(degrees(rows[i].load.stifle_angle_rad), 110 + 5.0 * double(i % 13), 1e-6);
    EXPECT_EQ(rows[i].base, "walk");
  }
  EXPECT_EQ(rows[0].ligament, LigamentState::intact);
  EXPECT_EQ(rows[13].ligament, LigamentState::torn);
  EXPECT_EQ(rows[26].repair, "levelling");
}

// Requirement: thrust does not know whether the ligament is there; the unoperated intact joint is its own reference.
TEST(JointOverPostures, CountsFromTheIntactUnoperatedJoint)
{
  const std::vector<PostureRow> rows = posture_rows(small(), {test::activity("walk")});
  for (std::size_t i = 0; i < 13; ++i)
  {
    if (!rows[i].state.converged || !rows[i + 13].state.converged)
      continue;
    EXPECT_NEAR(rows[i].state.translation_cranial_mm, 0, 1e-12);
    EXPECT_NEAR(rows[i].state.thrust_n, rows[i + 13].state.thrust_n, 1e-9);
  }
  EXPECT_EQ(posture_table(rows).csv(), posture_table(posture_rows(small(), {test::activity("walk")}, {3, {}})).csv());
}

// Hand: an unrepaired limb carries 0.36 of its share of 0.2 body weights at 2 weeks; a third of the lost 0.128 makes the opposite
// share 0.2427, 1.2133 times its own. Law: with no weights below the stifle the sagittal statics are linear in the ground force, so
// the thrust grows by about that factor (5 % for the weights and the pose).
TEST(OppositeJoint, CarriesTheShiftedLoad)
{
  const Scenario s = small();
  const std::vector<Activity> walk = {test::activity("walk")};
  const auto rows = opposite_joint_rows(s, walk);
  const JointState own = test::solve(s, s.tibia.plateau_angle_deg, LigamentState::intact, LoadSet::stance);
  int found = 0;
  for (const OppositeJointRow &row : rows)
  {
    ASSERT_TRUE(row.state.converged) << row.state.reason;
    EXPECT_GT(row.state.cruciate_cranial_n, own.cruciate_cranial_n);
    if (row.share.repair != "none" || row.share.week != 2)
      continue;
    ++found;
    EXPECT_NEAR(row.share.scale_opposite, 1.21333, 1e-4);
    EXPECT_NEAR(row.state.thrust_n / own.thrust_n, 1.21333, 0.05 * 1.21333);
  }
  EXPECT_EQ(found, 1);
  EXPECT_NO_THROW(opposite_joint_table(rows).csv());
}

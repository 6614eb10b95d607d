// Requirements of the joint over postures and of the opposite limb.
#include "models/joint/opposite_joint.h"
#include "models/joint/posture_sweep.h"
#include "models/limb/posture.h"
#include "tests/models/joint/support.h"
#include <algorithm>
#include <gtest/gtest.h>
#include <sstream>

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

// Requirement: the named points of a posture are those of its pose: one patella a converged row, and where the tendon pulls, its force is
// that of posture.csv.
TEST(JointOverPostures, NamesThePointsOfEachPose)
{
  const std::vector<PostureRow> rows = posture_rows(small(), {test::activity("walk")});
  const Table table = posture_pose_table(rows);
  const std::string csv = table.csv();
  std::istringstream lines(csv);
  std::size_t patellas = 0, next = 0;
  const auto  pulls = [&](const PostureRow &row) { return row.state.converged && row.state.patellar_tendon_n > 0; };
  for (std::string line; std::getline(lines, line);)
  {
    patellas += line.find(",patella,") != std::string::npos;
    if (line.find(",patellar_tendon,") == std::string::npos)
      continue;
    std::vector<double> cells;
    std::istringstream rest(line.substr(line.find(",patellar_tendon,") + 17));
    for (std::string cell; std::getline(rest, cell, ',');)
      cells.push_back(std::stod(cell));
    while (!pulls(rows.at(next)))
      ++next;
    ASSERT_EQ(cells.size(), 9u);
    const double tendon = rows[next++].state.patellar_tendon_n;
    EXPECT_NEAR(Vector3(cells[3], cells[4], cells[5]).norm(), tendon, 1e-6 * tendon);
  }
  EXPECT_GT(next, 40u);
  EXPECT_EQ(patellas, std::size_t(std::count_if(rows.begin(), rows.end(), [](const PostureRow &row) { return row.state.converged; })));
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
}

// Requirement: opposite.csv has its named columns, a row for every repair with numbers, and names the one without. Hand, trot at
// 2 weeks: hind share 0.2, of which an unrepaired limb carries 0.36: 0.072; a suture 0.40 x 0.83 / 0.94: 0.0706382979.
TEST(OppositeJoint, WritesARowForEveryRepairWithNumbers)
{
  Scenario s = small();
  s.repair.kind = {"levelling", "wedge", "suture", "advancement"};
  const std::vector<Activity> trot = {test::activity("trot")};
  const std::string csv = opposite_joint_table(opposite_joint_rows(s, trot)).csv();
  EXPECT_EQ(csv.substr(0, csv.find('\n')),
            "week,repair,activity,operated_share,opposite_hind_share,opposite_fore_share,same_side_fore_share,"
            "operated_over_sound,scale_operated,scale_opposite,impulse_sum_bw,stance_percent,thrust_n,cruciate_cranial_n,"
            "converged,reason,quadriceps_clipped,calcanean_clipped,limb_use_label");
  for (const std::string start : {"2,none,trot,0.072,", "2,levelling,trot,0.08,", "2,wedge,trot,0.08,", "2,suture,trot,0.0706382979,"})
    EXPECT_NE(csv.find('\n' + start), std::string::npos) << start;
  EXPECT_EQ(csv.find("advancement"), std::string::npos);
  ASSERT_EQ(opposite_joint_left_out(s, trot).size(), 1u);
}

// Requirement: a limb that needs no quadriceps says so. With the stifle at 170 deg and the paw 30 mm cranial of the hip the ground
// force passes cranial of the stifle and straightens it (law: its moment).
TEST(OppositeJoint, NamesAClippedQuadriceps)
{
  const Scenario s = small();
  Activity straight = posture_activity(make_anatomy(s), test::activity("walk").at(50), {170, 175, 5, -30});
  straight.name = "walk";
  straight.rows.resize(1);
  const auto rows = opposite_joint_rows(s, {straight});
  ASSERT_FALSE(rows.empty());
  for (const OppositeJointRow &row : rows)
  {
    ASSERT_TRUE(row.state.converged) << row.state.reason;
    EXPECT_TRUE(row.state.quadriceps_clipped);
    EXPECT_EQ(row.state.quadriceps_n, 0);
  }
}

// Requirements of the rows of joint.csv beyond their columns: every repair, any number of threads, failures as rows.
#include "models/joint/side_by_side.h"
#include "models/joint/tables.h"
#include "tests/models/joint/support.h"
#include <gtest/gtest.h>
#include <set>

using namespace stifle;

namespace
{
Scenario all_repairs()
{
  Scenario s;
  s.repair.kind = {"none", "levelling", "wedge", "suture", "advancement"};
  s.activities = {"walk"};
  s.study.stance_percent = {50};
  s.study.sweep_plateau_deg = {10, 20, 10};
  s.levelling.plateau_angles_deg = {6};
  return s;
}
std::vector<Activity> walk() { return {test::activity("walk")}; }

const JointRow &row_of(const std::vector<JointRow> &rows, const std::string &repair, LigamentState ligament, double target_deg)
{
  for (const JointRow &row : rows)
    if (row.repair == repair && row.ligament == ligament && std::abs(row.plateau_angle_target_deg - target_deg) < 1e-9)
      return row;
  throw std::runtime_error("no row for " + repair);
}
} // namespace

// Requirement: every repair named in repair.kind has its rows. Hand count: native 10, 20, 25; levelled 6, 10, 20; wedge 5; suture
// and advancement 25: nine bones, two ligament states, one instant.
TEST(JointRows, HoldEveryNamedRepair)
{
  const Scenario s = all_repairs();
  const std::vector<JointRow> rows = joint_rows(s, walk());
  EXPECT_EQ(rows.size(), 18u);
  const double native = s.tibia.plateau_angle_deg;
  EXPECT_NEAR(row_of(rows, "wedge", LigamentState::torn, s.wedge.target_deg).plateau_angle_deg, s.wedge.target_deg, 1e-6);
  EXPECT_NEAR(row_of(rows, "suture", LigamentState::torn, native).plateau_angle_deg, native, 1e-6);
  EXPECT_NEAR(row_of(rows, "advancement", LigamentState::torn, native).plateau_angle_deg, native, 1e-6);
  for (const JointRow &row : rows)
    EXPECT_TRUE(row.state.converged) << row.repair << " " << row.plateau_angle_target_deg << " " << row.state.reason;
}

// Requirement (design.md "Joint"): thrust is the same for intact and torn, and a line outside the joint is no part of it.
TEST(JointRows, ThrustBelongsToTheIntactPoseWithoutTheLine)
{
  const Scenario s = all_repairs();
  const std::vector<JointRow> rows = joint_rows(s, walk());
  const double native = s.tibia.plateau_angle_deg;
  const double bare = row_of(rows, "none", LigamentState::intact, native).state.thrust_n;
  for (const LigamentState ligament : {LigamentState::intact, LigamentState::torn})
    EXPECT_NEAR(row_of(rows, "suture", ligament, native).state.thrust_n, bare, 1e-9);
}

// Requirement: the load of a repair is that of its line, or of the tendon on an advanced tuberosity; other repairs have none.
TEST(JointRows, NameTheLoadOfTheRepair)
{
  const Scenario s = all_repairs();
  const std::vector<JointRow> rows = joint_rows(s, walk());
  const double native = s.tibia.plateau_angle_deg;
  const JointRow &suture = row_of(rows, "suture", LigamentState::torn, native);
  const JointRow &advanced = row_of(rows, "advancement", LigamentState::torn, native);
  EXPECT_GT(suture.state.repair_load_n, 0);
  EXPECT_EQ(repair_load_n(suture), suture.state.repair_load_n);
  EXPECT_EQ(repair_load_n(advanced), advanced.state.patellar_tendon_n);
  EXPECT_FALSE(repair_load_n(row_of(rows, "levelling", LigamentState::torn, 6)));
  EXPECT_FALSE(repair_load_n(row_of(rows, "none", LigamentState::torn, native)));
}

// Requirement: no printed digit depends on the number of threads.
TEST(JointRows, AreTheSameForAnyNumberOfThreads)
{
  const Scenario s = all_repairs();
  std::size_t last = 0, total = 0;
  const SweepOptions three{3, [&](std::size_t done, std::size_t all)
                           {
                             EXPECT_EQ(done, last + 1);
                             last = done;
                             total = all;
                           }};
  EXPECT_EQ(joint_table(joint_rows(s, walk())).csv(), joint_table(joint_rows(s, walk(), three)).csv());
  EXPECT_EQ(last, 18u);
  EXPECT_EQ(total, 18u);
}

// Requirement: a row that cannot be is kept with its reason, and the others are not lost. 500 body weights crush any joint.
TEST(JointRows, KeepARowThatCannotBe)
{
  Scenario s = all_repairs();
  s.repair.kind = {"none"};
  Activity impossible = test::activity("walk");
  impossible.name = "impossible";
  for (ActivityRow &row : impossible.rows)
    row.force_up_bw = 500;
  const std::vector<JointRow> rows = joint_rows(s, {test::activity("walk"), impossible});
  int refused = 0;
  for (const JointRow &row : rows)
    if (row.activity == "impossible")
    {
      refused += !row.state.converged && !row.state.reason.empty();
    }
    else
    {
      EXPECT_TRUE(row.state.converged) << row.state.reason;
    }
  EXPECT_EQ(refused, 6);
  EXPECT_NO_THROW(joint_table(rows).csv());
}

namespace
{
JointRow solved(const std::string &repair, double line_n, double tendon_n)
{
  JointRow row;
  row.activity = "walk";
  row.percent = 50;
  row.ligament = LigamentState::torn;
  row.repair = repair;
  row.plateau_angle_target_deg = 25;
  row.state.converged = row.reference_converged = row.spatial = true;
  row.state.repair_load_n = line_n;
  row.state.patellar_tendon_n = tendon_n;
  return row;
}
} // namespace

// Requirement: load of the repair against its strength, the weaker limit first. Hand: nylon yields at 193.6 N and breaks at
// 873.7 N (alternatives.md 2a): 1.936 and 8.737 at 100 N; spacer 330 and 878 N (2b): 0.7517 and 2 at 439 N.
TEST(SideBySide, SetsTheLoadOfTheRepairAgainstItsStrength)
{
  const std::vector<JointRow> joint = {solved("suture", 100, 300), solved("advancement", 0, 439), solved("none", 0, 300)};
  const auto rows = side_by_side(Scenario(), joint);
  ASSERT_EQ(rows.size(), 3u);
  EXPECT_EQ(rows[0].joint->repair, "none");
  EXPECT_TRUE(rows[0].strength.empty());
  EXPECT_EQ(rows[1].joint->repair, "suture");
  EXPECT_EQ(rows[1].strength.front().mode, "yield");
  EXPECT_NEAR(rows[1].strength.front().capacity / rows[1].strength.front().demand, 1.936, 1e-9);
  EXPECT_NEAR(rows[1].strength.back().capacity / rows[1].strength.back().demand, 8.737, 1e-9);
  EXPECT_NEAR(rows[2].strength.front().capacity / rows[2].strength.front().demand, 330.0 / 439, 1e-9);
  const std::string csv = side_by_side_table(rows).csv();
  EXPECT_NE(csv.find("pull_out_badly_placed,330,0.751708428,overloaded,pull_out_well_placed,878,2,adequate"), std::string::npos)
      << csv;
}

// Requirement: the table compares what the scenario names: not the swept slopes, not the other load sets, once each.
TEST(SideBySide, HoldsTheSameTornDogOncePerRepair)
{
  Scenario s = all_repairs();
  s.loads.set = {"stance", "axial"};
  const std::vector<JointRow> joint = joint_rows(s, walk());
  std::vector<std::string> seen;
  for (const SideBySideRow &row : side_by_side(s, joint))
    seen.push_back(to_string(row.joint->ligament) + " " + row.joint->repair);
  EXPECT_EQ(seen, (std::vector<std::string>{"intact none", "torn none", "torn levelling", "torn wedge", "torn suture",
                                            "torn advancement"}));
}

// Requirements of the sweep and its tables (contract: design.md "Results in DIR").
#include "models/joint/tables.h"
#include "tests/models/joint/support.h"
#include <gtest/gtest.h>
#include <sstream>

using namespace stifle;

namespace
{
Scenario small_study(int dimension = 3)
{
  Scenario s = test::in_dimension(dimension);
  s.activities = {"walk"};
  s.study.stance_percent = {50};
  s.study.sweep_plateau_deg = {0, 30, 15};
  s.levelling.plateau_angles_deg = {6};
  s.loads.set = {"stance", "axial"};
  return s;
}
std::vector<JointRow> small_rows(const Scenario &s = small_study()) { return joint_rows(s, {test::activity("walk")}); }

std::string first_line(const std::string &text) { return text.substr(0, text.find('\n')); }
} // namespace

// Requirement: the header of joint.csv begins with the columns of the contract, in its order.
TEST(JointTables, CarryTheColumnsOfTheContract)
{
  const std::string keys = "plateau_angle_deg,plateau_angle_target_deg,ligament,repair,load_set,activity,stance_percent,";
  const std::string rest =
      "stifle_angle_deg,ground_force_n,quadriceps_n,patellar_tendon_n,gastrocnemius_n,hamstrings_n,hock_force_n,joint_force_n,"
      "thrust_n,thrust_low_n,thrust_high_n,normal_n,cruciate_cranial_n,cruciate_caudal_n,collateral_medial_n,"
      "collateral_lateral_n,repair_load_n,contact_medial_n,contact_lateral_n,peak_pressure_mpa,translation_cranial_mm,"
      "rotation_internal_deg,tendon_angle_deg,iterations,converged";
  EXPECT_EQ(first_line(joint_table({}).csv()).rfind(keys + rest, 0), 0u);
  EXPECT_EQ(first_line(joint_pose_table({}).csv()), keys + "point,x_mm,y_mm,z_mm,fx_n,fy_n,fz_n,mx_nmm,my_nmm,mz_nmm");
}

// Requirement: every combination once, plateau angle outermost and rising. Hand count: native 0, 15, 25, 30 and levelled 0, 6,
// 15 are 7 bones; 2 ligament states; 1 stance instant and 1 axial load: 28 rows.
TEST(JointRows, HoldEveryCombinationInOrder)
{
  const std::vector<JointRow> rows = small_rows();
  ASSERT_EQ(rows.size(), 28u);
  for (std::size_t i = 1; i < rows.size(); ++i)
    EXPECT_GE(rows[i].plateau_angle_target_deg, rows[i - 1].plateau_angle_target_deg);
  EXPECT_EQ(rows[0].ligament, LigamentState::intact);
  EXPECT_EQ(rows[0].repair, "none");
  EXPECT_EQ(rows[1].set, LoadSet::axial);
  EXPECT_TRUE(rows[1].activity.empty());
  EXPECT_FALSE(rows[1].percent);
  EXPECT_EQ(rows[2].repair, "levelling");
  EXPECT_EQ(rows[4].ligament, LigamentState::torn);
}

// Requirement: translation is counted from the intact unoperated joint at the same instant.
TEST(JointRows, CountTranslationFromTheIntactUnoperatedJoint)
{
  int found = 0;
  for (const JointRow &row : small_rows())
    if (row.repair == "none" && row.plateau_angle_target_deg == 25 && row.ligament == LigamentState::intact)
    {
      EXPECT_NEAR(row.state.translation_cranial_mm, 0, 1e-12);
      ++found;
    }
  EXPECT_EQ(found, 2);
}

// Requirement: a left limb gives the same tables (design.md "Frames").
TEST(JointRows, AreEqualForBothLimbs)
{
  Scenario left = small_study();
  left.dog.limb = "left";
  EXPECT_EQ(joint_table(small_rows()).csv(), joint_table(small_rows(left)).csv());
  EXPECT_EQ(joint_pose_table(small_rows()).csv(), joint_pose_table(small_rows(left)).csv());
}

// Requirement: a row that did not converge stays, says so and shows no number that was not computed.
TEST(JointTables, KeepARowThatDidNotConverge)
{
  std::vector<JointRow> rows = {small_rows().front()};
  rows[0].state = JointState();
  const std::string csv = joint_table(rows).csv();
  const std::string line = csv.substr(csv.find('\n') + 1);
  EXPECT_NE(line.find(",false,"), std::string::npos);
  EXPECT_NE(line.find(",,,,,,,,,,"), std::string::npos);
  EXPECT_EQ(joint_pose_table(rows).n_rows(), 0u);
}

// Requirement: the pose table shows contact centres, tendon ends, insertions that pull, centre of pressure and hock, in both models.
TEST(JointTables, PoseNamesItsPoints)
{
  for (const int dimension : {2, 3})
    for (const JointRow &row : small_rows(small_study(dimension)))
      if (row.repair == "none" && row.plateau_angle_target_deg == 25 && row.ligament == LigamentState::intact &&
          row.set == LoadSet::stance)
      {
        const std::string csv = joint_pose_table({row}).csv();
        for (const std::string point :
             {"contact_medial", "contact_lateral", "patellar_tendon", "patella", "cruciate_cranial", "calcanean_share", "crus_weight",
              "femur_origin", "centre_of_pressure", "hock", dimension == 2 ? "secondary" : "patella"})
          EXPECT_NE(csv.find("," + point + ","), std::string::npos) << point << ' ' << dimension;
      }
}

// Requirement: the columns of one model alone are empty for the other; no cell of a converged row is missing else.
TEST(JointTables, FillTheColumnsOfTheirModel)
{
  for (const int dimension : {2, 3})
  {
    const JointRow row = small_rows(small_study(dimension)).front();
    ASSERT_TRUE(row.state.converged);
    EXPECT_EQ(row.spatial, dimension == 3);
    std::map<std::string, std::string> cells;
    std::istringstream csv(joint_table({row}).csv());
    std::string names, values;
    std::getline(csv, names);
    std::getline(csv, values);
    std::istringstream name_stream(names), value_stream(values);
    for (std::string name, value; std::getline(name_stream, name, ',') && std::getline(value_stream, value, ',');)
      cells[name] = value;
    for (const std::string spatial : {"collateral_medial_n", "collateral_lateral_n", "capsule_n", "meniscus_medial_n",
                                      "contact_area_lateral_mm2", "varus_deg", "rotation_internal_deg"})
      EXPECT_EQ(cells.at(spatial).empty(), dimension == 2) << spatial;
    EXPECT_EQ(cells.at("secondary_n").empty(), dimension == 3);
    for (const std::string common : {"thrust_n", "patellar_tendon_n", "cruciate_cranial_n", "contact_medial_n", "joint_force_n"})
      EXPECT_FALSE(cells.at(common).empty()) << common;
  }
}

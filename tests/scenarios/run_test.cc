// The whole chain through the program itself, on a coarse mesh: files, columns, balance, what the tables say.
#include "tests/scenarios/finished_run.h"
#include "tests/support/plain_stiffness.h"
#include "viz/vtu.h"
#include <algorithm>
#include <cmath>

TEST(Run, LeavesEveryFileOfTheContract)
{
  for (const char *name : {"scenario.yaml", "joint.csv", "joint_pose.csv", "construct.csv", "cut.csv", "cut_map.csv", "screws.csv",
                           "margins.csv", "summary.json", "fields.pvd", "log.txt", "passive.csv", "wear.csv", "opposite.csv",
                           "posture.csv", "posture_pose.csv", "repairs.csv"})
    EXPECT_TRUE(fs::exists(finished_run() + "/" + name)) << name;
}

TEST(Run, NamesTheColumnsOfTheContract)
{
  // Source: design.md, table "Results in DIR".
  const std::vector<std::pair<std::string, std::vector<std::string>>> contract = {
      {"joint.csv",
       {"plateau_angle_deg", "plateau_angle_target_deg", "ligament", "repair", "load_set", "activity", "stance_percent",
        "stifle_angle_deg", "ground_force_n", "quadriceps_n", "patellar_tendon_n", "gastrocnemius_n", "hamstrings_n",
        "hock_force_n", "joint_force_n", "thrust_n", "thrust_low_n", "thrust_high_n", "normal_n", "cruciate_cranial_n",
        "cruciate_caudal_n", "collateral_medial_n", "collateral_lateral_n", "repair_load_n", "contact_medial_n",
        "contact_lateral_n", "peak_pressure_mpa", "translation_cranial_mm", "rotation_internal_deg", "tendon_angle_deg",
        "iterations", "converged"}},
      {"joint_pose.csv", {"point", "x_mm", "y_mm", "z_mm", "fx_n", "fy_n", "fz_n"}},
      {"construct.csv",
       {"plateau_angle_deg", "week", "activity", "stance_percent", "part", "peak_von_mises_mpa", "x_mm", "y_mm", "z_mm",
        "error_estimate_percent", "excluded", "peak_principal_strain", "volume_above_yield_mm3"}},
      {"cut.csv",
       {"plateau_angle_deg", "week", "activity", "stance_percent", "contact_percent", "gap_opening_max_mm", "slip_max_mm",
        "plateau_drift_deg", "load_through_bone_percent"}},
      {"screws.csv",
       {"plateau_angle_deg", "week", "activity", "stance_percent", "screw", "axial_n", "shear_n", "bending_nmm"}},
      {"margins.csv",
       {"plateau_angle_deg", "week", "activity", "stance_percent", "part", "mode", "demand", "capacity", "unit", "margin",
        "low", "high", "verdict", "x_mm", "y_mm", "z_mm", "source"}}};
  for (const auto &[file, columns] : contract)
  {
    const stifle::ReadTable table = stifle::read_table(finished_run() + "/" + file);
    EXPECT_FALSE(table.rows.empty()) << file;
    for (const std::string &column : columns)
      EXPECT_NO_THROW(table.column(column)) << file << " " << column;
  }
}

TEST(Run, SupportGivesBackTheHockForceOfTheLimb)
{
  // Source: design.md "Construct": the reaction of the finite element model equals the hock force of the limb within 1 %,
  // its moment about the hock axis vanishes. The limb's value comes from joint.csv, the reaction from the construct's file.
  const stifle::ReadTable joint = stifle::read_table(finished_run() + "/joint.csv");
  const auto              cell  = [&](const auto &row, const char *name) { return row[joint.column(name)]; };
  unsigned                compared = 0;
  for (const auto &file : fs::directory_iterator(finished_run() + "/cases"))
  {
    if (file.path().extension() != ".json")
      continue;
    std::ifstream stream(file.path());
    const json    slope = json::parse(stream)["slope"];
    for (const json &state : slope["states"])
      for (const auto &row : joint.rows)
        if (cell(row, "load_set") == "stance" && cell(row, "ligament") == "torn" &&
            cell(row, "repair") == (slope["operated"] ? "levelling" : "none") &&
            std::abs(std::stod(cell(row, "plateau_angle_deg")) - slope["achieved_deg"].get<double>()) < 1e-6 &&
            cell(row, "activity") == state["activity"].get<std::string>() &&
            std::stod(cell(row, "stance_percent")) == state["percent"].get<double>())
        {
          const json &f    = state["state"]["reaction_force_n"];
          const double size = std::hypot(f[0].get<double>(), f[1].get<double>(), f[2].get<double>());
          const double hock = std::stod(cell(row, "hock_force_n"));
          EXPECT_NEAR(size, hock, 0.01 * hock);
          EXPECT_LT(std::abs(state["state"]["reaction_moment_nmm"][1].get<double>()), 0.01 * hock * 30); // of a 30 mm tendon arm
          ++compared;
        }
  }
  EXPECT_EQ(compared, 8u); // two slopes, two activities, two instants
  const json closure = summary_of(finished_run())["closure"];
  EXPECT_LT(closure["force_percent"].get<double>(), 1.0);
  EXPECT_LT(closure["moment_percent"].get<double>(), 1.0);
}

TEST(Run, FieldFilesBalanceFromTheFileAlone)
{
  unsigned files = 0;
  for (const fs::path &file : field_files(finished_run()))
  {
    ++files;
    // K u = f at every node, K assembled by the test from the file; relative to the largest nodal force.
    EXPECT_LT(worst_unbalanced(stifle::viz::read_vtu(file.string())), 1e-6) << file;
  }
  EXPECT_EQ(files, 2u); // the unoperated bone and one levelled slope
}

TEST(Run, NeutralSlopeOfAnAxialForceIsZero)
{
  // Requirement: a force along the functional axis leaves no thrust on a level plateau only (J3: thrust = F sin(slope)).
  EXPECT_NEAR(summary_of(finished_run())["neutral_plateau_angle_deg"]["axial"].get<double>(), 0.0, 1e-6);
}

TEST(Run, ThrustFallsWithTheSlope)
{
  // Requirement: levelling lowers the thrust of every activity (joint.md section 2: P, G, R unchanged, both angles fall).
  const stifle::ReadTable table = stifle::read_table(finished_run() + "/joint.csv");
  const int slope = table.column("plateau_angle_deg"), thrust = table.column("thrust_n"), repair = table.column("repair"),
            ligament = table.column("ligament"), activity = table.column("activity"), percent = table.column("stance_percent");
  double last_slope = -1e9, last_thrust = -1e9;
  unsigned compared = 0;
  std::vector<std::pair<double, double>> curve;
  for (const auto &row : table.rows)
    if (row[repair] == "levelling" && row[ligament] == "torn" && row[activity] == "walk" && std::stod(row[percent]) == 50)
      curve.emplace_back(std::stod(row[slope]), std::stod(row[thrust]));
  std::sort(curve.begin(), curve.end());
  for (const auto &[s, t] : curve)
  {
    if (s > last_slope + 1e-6)
    {
      EXPECT_GT(t, last_thrust) << "slope " << s;
      ++compared;
    }
    last_slope = s;
    last_thrust = t;
  }
  EXPECT_GE(compared, 5u);
}

TEST(Run, MapsTheCutAsTheTableSaysIt)
{
  // Requirement: the area that touches in cut_map.csv is that of the same state in cut.csv (one state a week and levelled slope).
  const stifle::ReadTable map = stifle::read_table(finished_run() + "/cut_map.csv"), cut = stifle::read_table(finished_run() + "/cut.csv");
  ASSERT_FALSE(map.rows.empty());
  const auto cell = [](const stifle::ReadTable &t, const std::vector<std::string> &row, const char *name) { return row[t.column(name)]; };
  double area = 0, touching = 0;
  for (const auto &row : map.rows)
  {
    const double one = std::stod(cell(map, row, "area_mm2"));
    area += one;
    touching += one * std::stod(cell(map, row, "contact_percent"));
    for (const char *key : {"week", "activity", "stance_percent"})
      EXPECT_EQ(cell(map, row, key), cell(map, map.rows.front(), key));
  }
  int compared = 0;
  for (const auto &row : cut.rows)
    if (cell(cut, row, "activity") == cell(map, map.rows.front(), "activity") &&
        cell(cut, row, "stance_percent") == cell(map, map.rows.front(), "stance_percent"))
    {
      EXPECT_NEAR(touching / area, std::stod(cell(cut, row, "contact_percent")), 1e-3);
      ++compared;
    }
  EXPECT_EQ(compared, 1);
}

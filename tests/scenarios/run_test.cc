// The whole chain through the program itself, on a coarse mesh: files, columns, balance, taking up, interruption.
#include "models/core/files.h"
#include "tests/support/plain_stiffness.h"
#include "tests/support/program.h"
#include "viz/vtu.h"
#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <map>
#include <nlohmann/json.hpp>
#include <thread>

namespace fs = std::filesystem;
using nlohmann::json;

namespace
{
const std::string small_dog = std::string(STIFLE_SOURCE_DIR) + "/tests/scenarios/small_dog.yaml";

/// One run shared by the tests that only read.
const std::string &finished_run()
{
  static const std::string folder = [] {
    const std::string out = fresh_folder("run");
    const ProgramRun  run = run_program("run " + small_dog + " --out " + out + " --threads 2");
    if (run.exit_code != 0)
      throw std::runtime_error("exit code " + std::to_string(run.exit_code) + "\n" + run.output);
    EXPECT_EQ(wide_lines(run.output), ""); // the closing text fits 80 columns
    return out;
  }();
  return folder;
}

json summary_of(const std::string &folder)
{
  std::ifstream file(folder + "/summary.json");
  return json::parse(file);
}

/// The field files of a run; beside them lie the names of their blocks (.vtm).
std::vector<fs::path> field_files(const std::string &folder)
{
  std::vector<fs::path> files;
  for (const auto &entry : fs::directory_iterator(folder + "/fields"))
    if (entry.path().extension() == ".vtu")
      files.push_back(entry.path());
  return files;
}

/// Reads every file of the folder; throws on a torn one.
void read_everything(const std::string &folder)
{
  for (const auto &entry : fs::recursive_directory_iterator(folder))
  {
    const std::string kind = entry.path().extension().string();
    if (kind == ".csv")
      stifle::read_table(entry.path().string());
    if (kind == ".json")
    {
      std::ifstream file(entry.path());
      if (!json::accept(file))
        throw std::runtime_error("torn " + entry.path().string());
    }
    if (kind == ".vtu")
      stifle::viz::read_vtu(entry.path().string());
  }
}
} // namespace

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

TEST(Run, TakesUpWhatAnEarlierRunFinished)
{
  const std::string out   = fresh_folder("take_up");
  fs::copy(finished_run(), out, fs::copy_options::recursive);
  const std::string before = stifle::read_file(out + "/construct.csv"), log = stifle::read_file(out + "/log.txt");
  const ProgramRun  again  = run_program("run " + small_dog + " --out " + out);
  EXPECT_EQ(again.exit_code, 0) << again.output;
  EXPECT_NE(again.output.find("finished by an earlier run"), std::string::npos);
  EXPECT_NE(log.find("tetrahedra, worst"), std::string::npos);
  EXPECT_EQ(stifle::read_file(out + "/log.txt").substr(log.size()).find("tetrahedra, worst"), std::string::npos) << "meshed again";
  EXPECT_EQ(stifle::read_file(out + "/construct.csv"), before);
}

TEST(Run, SurvivesInterruptAndKill)
{
  for (const auto &[number, code] : {std::pair(SIGINT, 130), std::pair(SIGKILL, 128 + SIGKILL)})
    for (const double seconds : {1.5, 5.0})
    {
      const std::string out = fresh_folder("stopped");
      const ProgramRun  run = run_and_signal({"run", small_dog, "--out", out}, number, seconds);
      EXPECT_EQ(run.exit_code, code);
      EXPECT_NO_THROW(read_everything(out));
      fs::remove_all(out);
    }
}

TEST(Run, StopsBetweenTwoStatesWhateverThreadsTheLibrariesStart)
{
  setenv("OPENBLAS_NUM_THREADS", "4", 1); // they are there before main and hold no signal back
  const std::string out   = fresh_folder("stopped");
  const pid_t       child = start_program({"run", small_dog, "--out", out});
  unsetenv("OPENBLAS_NUM_THREADS");
  for (int i = 0; i < 1000 && !fs::exists(out + "/log.txt"); ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
  kill(child, SIGTERM);
  EXPECT_EQ(wait_for(child), 130);
  EXPECT_NE(stifle::read_file(out + "/log.txt").find("interrupted; finished slopes are kept"), std::string::npos);
  fs::remove_all(out);
}

TEST(Run, FinishesWhatAKilledRunLeft)
{
  // One of the two slopes of a finished run is taken away, a torn copy lies beside: as after kill -9 between two slopes.
  const std::string out = fresh_folder("killed");
  fs::copy(finished_run(), out, fs::copy_options::recursive);
  const std::string levelled = out + "/cases/levelled_+06.00.json";
  ASSERT_TRUE(fs::exists(levelled));
  const std::string whole = stifle::read_file(levelled);
  stifle::write_file(levelled, whole.substr(0, whole.size() / 2));
  for (const char *name : {"construct.csv", "cut.csv", "screws.csv", "margins.csv", "summary.json"})
    fs::remove(out + "/" + name);
  const std::string log = stifle::read_file(out + "/log.txt");
  const ProgramRun again = run_program("run " + small_dog + " --out " + out);
  EXPECT_EQ(again.exit_code, 0) << again.output;
  EXPECT_NE(again.output.find("finished by an earlier run"), std::string::npos);
  EXPECT_NE(stifle::read_file(out + "/log.txt").substr(log.size()).find("levelled to 6.0 deg: "), std::string::npos);
  for (const char *name : {"construct.csv", "cut.csv", "cut_map.csv", "screws.csv", "margins.csv"})
    EXPECT_EQ(stifle::read_file(out + "/" + name), stifle::read_file(finished_run() + "/" + name)) << name;
}

TEST(Run, ThreadCountChangesNoDigit)
{
  const std::string out = fresh_folder("one_thread");
  const ProgramRun  run = run_program("run " + small_dog + " --out " + out + " --threads 1");
  ASSERT_EQ(run.exit_code, 0) << run.output;
  for (const char *name : {"joint.csv", "construct.csv", "cut.csv", "screws.csv", "margins.csv", "passive.csv", "wear.csv",
                           "opposite.csv", "posture.csv", "posture_pose.csv", "repairs.csv"})
    EXPECT_EQ(stifle::read_file(out + "/" + name), stifle::read_file(finished_run() + "/" + name)) << name;
}

TEST(Run, DrawsBandsWhenAskedAndNoSpaceInThePlane)
{
  // Requirement (design.md "Truth", "Results"): with study.samples the bands are written beside thrust and neutral slope; files of
  // the 3-D joint are absent in the plane and the log says so.
  const std::string out = fresh_folder("bands");
  stifle::write_file(out + "/few.yaml", "joint: {dimension: 2}\nactivities: [walk]\nlevelling: {plateau_angles_deg: [6]}\n"
                                        "study: {stance_percent: [50], sweep_plateau_deg: [20, 30, 10], samples: 8}\n"
                                        "output: {pictures: false}\n");
  const ProgramRun run = run_program("run " + out + "/few.yaml --only joint --out " + out + "/results");
  ASSERT_EQ(run.exit_code, 0) << run.output;
  for (const char *name : {"bands.csv", "sensitivity.csv", "uncertain_inputs.csv"})
    EXPECT_FALSE(stifle::read_table(out + "/results/" + name).rows.empty()) << name;
  const json band = summary_of(out + "/results")["neutral_band"]["walk"];
  EXPECT_EQ(band["samples"], 8);
  EXPECT_LT(band["low"].get<double>(), band["high"].get<double>());
  EXPECT_FALSE(fs::exists(out + "/results/passive.csv"));
  EXPECT_FALSE(fs::exists(out + "/results/wear.csv"));
  EXPECT_NE(stifle::read_file(out + "/results/log.txt").find("passive.csv and wear.csv need joint.dimension 3"), std::string::npos);
}

TEST(Run, LeftLimbGivesTheSameTablesAndAMirroredField)
{
  // Requirement: a left limb is computed mirrored; tables are anatomical and equal, fields mirrored (design.md "Frames").
  const std::string out      = fresh_folder("left");
  std::string       scenario = stifle::read_file(small_dog);
  scenario.replace(scenario.find("limb: right"), 11, "limb: left");
  stifle::write_file(out + "/left.yaml", scenario);
  const ProgramRun run = run_program("run " + out + "/left.yaml --out " + out + "/results");
  ASSERT_EQ(run.exit_code, 0) << run.output;
  for (const char *name : {"joint.csv", "construct.csv", "cut_map.csv", "screws.csv", "margins.csv"})
    EXPECT_EQ(stifle::read_file(out + "/results/" + name), stifle::read_file(finished_run() + "/" + name)) << name;
  for (const fs::path &file : field_files(finished_run()))
  {
    const auto right = stifle::viz::read_vtu(file.string());
    const auto left  = stifle::viz::read_vtu(out + "/results/fields/" + file.filename().string());
    ASSERT_EQ(left.points_mm.size(), right.points_mm.size());
    for (std::size_t i = 0; i < left.points_mm.size(); i += 97)
    {
      EXPECT_EQ(left.points_mm[i].y(), -right.points_mm[i].y());
      EXPECT_EQ(left.displacement_mm[i].y(), -right.displacement_mm[i].y());
      EXPECT_EQ(left.von_mises_mpa[i], right.von_mises_mpa[i]);
    }
  }
}

TEST(Run, HealsAnOpenCutOverTheWeeks)
{
  // Requirement (issue 6): with a cut that stands open the plate carries at first and callus later; every failure mode has its rows,
  // fatigue runs over the weeks; an activity of one instant and a bone without a cut are not solved twice.
  const std::string out = fresh_folder("heals");
  stifle::write_file(out + "/gap.yaml", "levelling: {plateau_angles_deg: [6]}\nactivities: [walk, stand]\n"
                                        "healing: {cut: gap, gap_mm: 1, weeks: [0, 4, 8]}\n"
                                        "study: {stance_percent: [25, 50], sweep_plateau_deg: [0, 30, 10]}\n"
                                        "mesh: {bone_size_mm: 5, detail_size_mm: 1.2}\n");
  const ProgramRun run = run_program("run " + out + "/gap.yaml --out " + out + "/results");
  ASSERT_EQ(run.exit_code, 0) << run.output;
  EXPECT_NE(run.output.find("week by week"), std::string::npos) << run.output;
  EXPECT_EQ(wide_lines(run.output), "");
  std::map<std::string, double> plate, through; // by week, walk at 50 %
  const auto read = [&](const char *file, const char *value, std::map<std::string, double> &into)
  {
    const stifle::ReadTable table = stifle::read_table(out + "/results/" + file);
    const auto column = [&](const std::string &name) { return table.column(name); };
    for (const auto &row : table.rows)
      if (row[column("activity")] == "walk" && row[column("stance_percent")] == "50" && row[column("plateau_angle_target_deg")] == "6" &&
          (value[0] == 'l' || (row[column("part")] == "plate" && row[column("excluded")] == "0")))
        into[row[column("week")]] = std::stod(row[column(value)]);
  };
  read("construct.csv", "peak_von_mises_mpa", plate);
  read("cut.csv", "load_through_bone_percent", through);
  ASSERT_EQ(plate.size(), 3u);
  EXPECT_GT(plate["0"], 3 * plate["4"]);
  EXPECT_LT(through["0"], 50);
  EXPECT_GT(through["8"], 70);
  const stifle::ReadTable margins = stifle::read_table(out + "/results/margins.csv");
  const int mode = margins.column("mode");
  std::map<std::string, int> rows;
  for (const auto &row : margins.rows)
    ++rows[row[mode]];
  for (const char *name : {"yield", "fatigue", "bone_strain", "pull_out", "push_out", "tendon_pull", "opening", "drift", "strength",
                           "whole_bone"})
    EXPECT_GT(rows[name], 0) << name;
  for (const char *picture : {"margin_yield_metal.png", "margin_all.png", "load_share.png", "margin_parts_+06.00.png", "cut_map_+06.00.png"})
    EXPECT_TRUE(fs::exists(out + "/results/pictures/" + picture)) << run.output;
}

// Requirement (issue 6): a push to collapse that a construct does not allow (plain heads) ends that case only: exit code 1 as documented,
// one sentence in log and summary, no margin made up, every row of the states and of the rig stays.
TEST(Run, KeepsTheStatesWhereNothingCanBePushedToCollapse)
{
  const std::string plain = "screws: {holes: [locking, locking, locking, plain, locking, locking]}\nlevelling: {plateau_angles_deg: [6]}\n"
                            "mesh: {bone_size_mm: 5, detail_size_mm: 1.2}\n";
  const auto rows = [](const std::string &file) { return stifle::read_table(file).rows.size(); };
  for (const bool rig : {false, true})
  {
    const std::string out = fresh_folder("no_push"), results = out + "/results";
    stifle::write_file(out + "/case.yaml", plain + (rig ? "rig: {kind: axial, collapse: true}\noutput: {pictures: false}\n"
                                                        : "activities: [walk]\nstudy: {stance_percent: [50], sweep_plateau_deg: [0, 30, 10]}\n"
                                                          "output: {collapse: worst, pictures: false}\n"));
    const ProgramRun run = run_program("run " + out + "/case.yaml --out " + results);
    EXPECT_EQ(run.exit_code, 1) << run.output;
    const json errors = summary_of(results)["errors"];
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_NEAR(errors[0]["plateau_angle_deg"], 6, 1e-9);
    const std::string words = errors[0]["message"];
    EXPECT_NE(words.find("neither plain heads"), std::string::npos) << words;
    EXPECT_NE(stifle::read_file(results + "/log.txt").find(words), std::string::npos);
    EXPECT_EQ(rows(results + "/screws.csv"), 6u);
    EXPECT_GT(rows(results + "/" + (rig ? "rig.csv" : "cut.csv")), 0u);
    for (const char *mode : {",first_yield,", ",collapse,"})
      EXPECT_EQ(stifle::read_file(results + "/margins.csv").find(mode), std::string::npos) << mode;
  }
}

TEST(Run, ShippedScenariosPassTheCheck)
{
  // Requirement: every scenario of the folder that users are told to run is valid.
  int found = 0;
  for (const auto &entry : fs::directory_iterator(std::string(STIFLE_SOURCE_DIR) + "/scenarios"))
    if (entry.path().extension() == ".yaml")
    {
      const ProgramRun run = run_program("check " + entry.path().string());
      EXPECT_EQ(run.exit_code, 0) << run.output;
      ++found;
    }
  EXPECT_GE(found, 4);
}

// Other scenarios through the program itself: bands, left limb, healing, no push to collapse, and those shipped.
#include "tests/scenarios/finished_run.h"
#include "viz/vtu.h"
#include <map>

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

#include "models/limb/activities.h"

#include "models/core/error.h"

#include <array>
#include <fstream>
#include <gtest/gtest.h>
#include <map>
#include <unistd.h>

using namespace stifle;

namespace
{
const std::string header = "activities:\n  hop:\n    label: assumption\n    source: test\n    rows:\n";

std::string row(const std::string &percent, const std::string &tail = "centre_of_pressure_mm: 4")
{
  return "      - {percent: " + percent +
         ", tibia_tilt_deg: 20, metatarsus_tilt_deg: 10, femur_tilt_deg: 30, force_up_bw: 0.4, force_cranial_bw: 0, " + tail +
         "}\n";
}

std::string file_with(const std::string &content)
{
  const std::string path = ::testing::TempDir() + "activities_test_" + std::to_string(getpid()) + ".yaml";
  std::ofstream(path) << content;
  return path;
}

std::vector<InputProblem> problems_of(const std::string &content)
{
  try
  {
    read_activities(file_with(content));
  }
  catch (const InputError &error)
  {
    return error.problems();
  }
  return {};
}

} // namespace

// Requirement: between two rows every column is linear in percent; a quarter of the way is a quarter of the change.
TEST(Activity, InterpolatesLinearly)
{
  Activity activity;
  activity.rows = {{20, 0, 10, 20, 0.1, -0.1, 0}, {40, 40, 20, 0, 0.5, 0.1, 8}};
  const ActivityRow at = activity.at(25);
  EXPECT_DOUBLE_EQ(at.percent, 25);
  EXPECT_DOUBLE_EQ(at.tibia_tilt_deg, 10);
  EXPECT_DOUBLE_EQ(at.metatarsus_tilt_deg, 12.5);
  EXPECT_DOUBLE_EQ(at.femur_tilt_deg, 15);
  EXPECT_DOUBLE_EQ(at.force_up_bw, 0.2);
  EXPECT_DOUBLE_EQ(at.force_cranial_bw, -0.05);
  EXPECT_DOUBLE_EQ(at.centre_of_pressure_mm, 2);
}

// Requirement: at a row its own values come back, before the first and after the last the nearest row holds.
TEST(Activity, HoldsTheEndRowsOutsideTheTable)
{
  Activity activity;
  activity.rows = {{20, 0, 10, 20, 0.1, -0.1, 0}, {40, 40, 20, 0, 0.5, 0.1, 8}};
  EXPECT_EQ(activity.at(0).force_up_bw, 0.1);
  EXPECT_EQ(activity.at(20).force_up_bw, 0.1);
  EXPECT_EQ(activity.at(40).force_up_bw, 0.5);
  EXPECT_EQ(activity.at(100).force_up_bw, 0.5);
  EXPECT_EQ(activity.at(100).percent, 100);
}

// Requirement: between two rows the medial columns are linear as well: a quarter of the way is a quarter of the change.
TEST(Activity, InterpolatesTheMedialColumns)
{
  Activity activity;
  activity.rows = {{20, 0, 10, 20, 0.1, -0.1, 0, 0.02, 4}, {40, 40, 20, 0, 0.5, 0.1, 8, 0.06, -4}};
  EXPECT_DOUBLE_EQ(activity.at(25).force_medial_bw, 0.03);
  EXPECT_DOUBLE_EQ(activity.at(25).centre_of_pressure_medial_mm, 2);
}

// Requirement: the shipped tables give the printed joint angles (joint.md section 6b; alternatives.md section 1c).
TEST(Activities, GiveThePrintedJointAngles)
{
  const std::map<std::string, std::vector<std::array<double, 3>>> printed = {{"stand", {{{50, 145, 144}}}},
                                                                             {"stand_one_leg", {{{50, 140, 142}}}},
                                                                             {"sit_to_stand_start", {{{50, 60, 66}}}},
                                                                             {"sit_to_stand_middle", {{{50, 90, 98}}}},
                                                                             {"stairs_up_deep", {{{50, 95, 115}}}},
                                                                             {"stairs_up_push", {{{50, 120, 134}}}},
                                                                             {"stairs_down", {{{50, 108, 119}}}},
                                                                             {"turning_trot", {{{50, 129, 135}}}},
                                                                             {"gallop", {{{50, 125, 136}}}},
                                                                             {"sprint_start", {{{50, 105, 125}}}},
                                                                             {"jump_up", {{{50, 105, 125}}}},
                                                                             {"jump_down", {{{50, 110, 120}}}},
                                                                             {"walk",
                                                                              {{{5, 145, 140}},
                                                                               {{15, 142, 140}},
                                                                               {{25, 140, 141}},
                                                                               {{40, 138, 140}},
                                                                               {{50, 136, 139}},
                                                                               {{60, 136, 141}},
                                                                               {{75, 136, 145}},
                                                                               {{90, 136, 152}}}},
                                                                             {"trot",
                                                                              {{{5, 144, 140}},
                                                                               {{15, 138, 139}},
                                                                               {{25, 133, 138}},
                                                                               {{40, 129, 136}},
                                                                               {{50, 129, 135}},
                                                                               {{60, 130, 138}},
                                                                               {{75, 131, 144}},
                                                                               {{90, 133, 153}}}}};
  EXPECT_EQ(default_activities().size(), printed.size());
  for (const auto &[name, table] : printed)
  {
    const Activity activity = activity_named(name);
    ASSERT_EQ(activity.rows.size(), table.size()) << name;
    for (std::size_t i = 0; i < table.size(); ++i)
    {
      const ActivityRow &r = activity.rows[i];
      EXPECT_DOUBLE_EQ(r.percent, table[i][0]);
      EXPECT_DOUBLE_EQ(180 - r.tibia_tilt_deg - r.femur_tilt_deg, table[i][1]) << name << r.percent;
      EXPECT_DOUBLE_EQ(180 - r.tibia_tilt_deg - r.metatarsus_tilt_deg, table[i][2]) << name << r.percent;
    }
    EXPECT_FALSE(activity.label.empty());
    EXPECT_FALSE(activity.source.empty());
  }
}

// Requirement: the tables hold the printed force, tilt and centre of pressure (alternatives.md section 1c: tau, Rv, Rx, CoP).
TEST(Activities, HoldThePrintedLoadCases)
{
  const std::map<std::string, std::array<double, 4>> printed = {{"stand", {18, 0.20, 0, 5}},
                                                                {"stand_one_leg", {20, 0.40, 0, 5}},
                                                                {"sit_to_stand_start", {52, 0.25, 0, -10}},
                                                                {"sit_to_stand_middle", {42, 0.30, 0.02, 5}},
                                                                {"stairs_up_deep", {40, 0.45, 0.03, 8}},
                                                                {"stairs_up_push", {38, 0.55, 0.05, 13}},
                                                                {"stairs_down", {36, 0.35, -0.06, 5}},
                                                                {"turning_trot", {30, 0.70, 0, 12}},
                                                                {"gallop", {32, 1.30, 0, 10}},
                                                                {"sprint_start", {45, 1.30, 0.35, 15}},
                                                                {"jump_up", {40, 1.60, 0.15, 12}},
                                                                {"jump_down", {35, 1.00, -0.10, 8}}};
  for (const auto &[name, row] : printed)
  {
    const ActivityRow r = activity_named(name).at(50);
    EXPECT_EQ((std::array<double, 4>{r.tibia_tilt_deg, r.force_up_bw, r.force_cranial_bw, r.centre_of_pressure_mm}), row) << name;
  }
}

// Requirement: side force 1-3 % of body weight in the walk, 3-6 % in the trot at their peaks (alternatives.md 1a, memory);
// turning trot at 2 m/s and 1.5 m: 4/(9.80665*1.5) = 0.272 of the vertical 0.70 = 0.190 (1b). All medial.
TEST(Activities, CarryTheSideForceOfTheSheet)
{
  const auto range = [](const std::string &name)
  {
    double low = 1, high = -1;
    for (const ActivityRow &row : activity_named(name).rows)
      low = std::min(low, row.force_medial_bw), high = std::max(high, row.force_medial_bw);
    return std::pair(low, high);
  };
  for (const std::string name : {"walk", "trot"})
  {
    const auto [low, high] = range(name);
    EXPECT_GT(low, 0) << name;
    EXPECT_GE(high, name == "walk" ? 0.01 : 0.03) << name;
    EXPECT_LE(high, name == "walk" ? 0.03 : 0.06) << name;
  }
  EXPECT_NEAR(activity_named("turning_trot").at(50).force_medial_bw, 0.70 * 4 / (9.80665 * 1.5), 5e-4);
}

// Requirement: the medial columns may be left out (0) or given; a misspelt one is refused with the nearest key.
TEST(Activities, ReadTheMedialColumnsOrLeaveThemZero)
{
  const auto activities = read_activities(file_with(
      header + row("10") + row("60", "centre_of_pressure_mm: 4, force_medial_bw: -0.02, centre_of_pressure_medial_mm: 3")));
  EXPECT_EQ(activities[0].rows[0].force_medial_bw, 0);
  EXPECT_EQ(activities[0].rows[0].centre_of_pressure_medial_mm, 0);
  EXPECT_EQ(activities[0].rows[1].force_medial_bw, -0.02);
  EXPECT_EQ(activities[0].rows[1].centre_of_pressure_medial_mm, 3);
  const auto problems = problems_of(header + row("10", "centre_of_pressure_mm: 4, force_medal_bw: 0.02"));
  ASSERT_EQ(problems.size(), 1u);
  EXPECT_EQ(problems[0].nearest, "force_medial_bw");
  EXPECT_EQ(problems_of(header + row("10", "centre_of_pressure_mm: 4, force_medial_bw: .nan")).size(), 1u);
}

// Requirement: a user's table of the same shape is read.
TEST(Activities, ReadAUserTable)
{
  const auto activities = read_activities(file_with(header + row("10") + row("60")));
  ASSERT_EQ(activities.size(), 1u);
  EXPECT_EQ(activities[0].name, "hop");
  EXPECT_EQ(activities[0].rows[1].percent, 60);
  EXPECT_EQ(activities[0].rows[1].centre_of_pressure_mm, 4);
}

// Requirement: percent must rise; the problem stands at the row that breaks it (line 7, behind "      - {percent: ").
TEST(Activities, RefuseAPercentThatDoesNotRise)
{
  const auto problems = problems_of(header + row("30") + row("30"));
  ASSERT_EQ(problems.size(), 1u);
  EXPECT_EQ(problems[0].line, 7);
  EXPECT_EQ(problems[0].column, 19);
  EXPECT_NE(problems[0].message.find("activities.hop.rows[1].percent must rise"), std::string::npos);
  EXPECT_EQ(problems[0].found, "30");
  EXPECT_EQ(problems[0].allowed, "above 30 (the row before)");
}

TEST(Activities, RefuseAnEmptyTable)
{
  EXPECT_EQ(problems_of("activities:\n  hop: {label: memory, source: test, rows: []}\n").size(), 1u);
  EXPECT_EQ(problems_of("activities: {}\n").size(), 1u);
}

TEST(Activities, RefuseANumberThatIsNotFinite)
{
  const auto problems = problems_of(header + row(".nan") + row("60", "centre_of_pressure_mm: .inf"));
  ASSERT_EQ(problems.size(), 2u);
  EXPECT_EQ(problems[0].found, ".nan");
  EXPECT_EQ(problems[1].line, 7);
}

TEST(Activities, NameTheNearestKeyOfAMistypedOne)
{
  const auto problems = problems_of(header + row("10", "centre_of_presure_mm: 4"));
  ASSERT_EQ(problems.size(), 2u); // unknown and, for the same slip, missing
  EXPECT_EQ(problems[0].nearest, "centre_of_pressure_mm");
}

TEST(Activities, RefuseRepeatedKeysAndNames)
{
  EXPECT_EQ(problems_of(header + row("10", "centre_of_pressure_mm: 4, percent: 20")).size(), 1u);
  EXPECT_EQ(problems_of(header + row("10") + "  hop: {label: memory, source: test, rows: []}\n").size(), 2u);
}

// Requirement: a posture outside the range of the joint (stifle 40 to 160, alternatives.md section 6) is refused by name.
TEST(Activities, RefuseAPostureTheJointCannotTake)
{
  std::string straight = row("10");
  straight.replace(straight.find("femur_tilt_deg: 30"), 18, "femur_tilt_deg: -5"); // stifle 180 - 20 + 5 = 165
  const auto problems = problems_of(header + straight);
  ASSERT_EQ(problems.size(), 1u);
  EXPECT_NE(problems[0].message.find("stifle angle"), std::string::npos);
  EXPECT_EQ(problems[0].found, "165");
}

// Requirement: the name of an activity goes into tables and file names, so it is one plain word.
TEST(Activities, RefuseANameThatIsNoPlainWord)
{
  for (const std::string name : {"../x", "a b", "Hop", "7up", "\"\""})
    EXPECT_EQ(problems_of("activities:\n  " + name + ":\n    label: memory\n    source: test\n    rows:\n" + row("10")).size(),
              1u)
        << name;
}

TEST(Activities, ReportEveryProblemAtOnce)
{
  const auto problems = problems_of(header + row("ten") + row("20", "centre_of_pressure_mm: 400") + row("15"));
  ASSERT_EQ(problems.size(), 2u); // the second row is dropped, so 15 has nothing before it to compare with
  EXPECT_EQ(problems[0].line, 6);
  EXPECT_EQ(problems[1].line, 7);
}

TEST(Activities, RefuseAMissingFile) { EXPECT_THROW(read_activities("/nowhere/activities.yaml"), InputError); }

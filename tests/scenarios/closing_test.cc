// The closing table, the margins and the file that lets a run be taken up: plain values in, text out.
#include "models/parts/suture.h"
#include "scenarios/app/closing.h"
#include "scenarios/app/state_margins.h"
#include "tests/support/program.h"
#include <algorithm>
#include <gtest/gtest.h>
#include <map>
#include <set>
#include <sstream>

using namespace stifle;
using namespace stifle::app;

namespace
{
/// One levelled slope with two states: plate 100 and 230 MPa, screw_2 at 345 MPa, an excluded plate peak of 9000 MPa.
SlopeResult two_states()
{
  SlopeResult slope;
  slope.operated     = true;
  slope.target_deg   = 6;
  slope.achieved_deg = 6.011;
  for (const double plate_mpa : {100.0, 230.0})
  {
    StateRow row;
    row.activity = "walk";
    row.percent  = plate_mpa < 200 ? 25 : 50;
    row.state.peaks = {{"plate", plate_mpa, Vector3(1, 2, 3), 5, false, 0.001, 0},
                       {"plate", 9000, Vector3(1, 2, 3), 5, true, 0.001, 0},
                       {"screw_2", 1.5 * plate_mpa, Vector3(0, 0, 0), 5, false, 0.001, 0},
                       {"cortex_distal", 11.2, Vector3(0, 0, 0), 5, false, 0.001, 0}};
    slope.states.push_back(row);
  }
  return slope;
}
} // namespace

TEST(Margins, KeepTheInstantWithTheLeastMarginAndLeaveExcludedPeaksOut)
{
  auto rows = margin_rows(Scenario(), two_states());
  const auto other = [](const MarginRow &row) { return row.mode != "yield"; };
  rows.erase(std::remove_if(rows.begin(), rows.end(), other), rows.end());
  ASSERT_EQ(rows.size(), 3u); // plate, screw_2, cortex_distal: one row each for week x activity x part
  // Hand calculation: cold-worked 316L yields at 690 MPa (construct.md section 6); 690 / 230 = 3.
  EXPECT_EQ(rows[0].part, "plate");
  EXPECT_EQ(rows[0].percent, 50);
  EXPECT_NEAR(*rows[0].margin, 3.0, 1e-12);
  // 690 / (1.5 * 230) = 2.
  EXPECT_EQ(rows[1].part, "screw_2");
  EXPECT_NEAR(*rows[1].margin, 2.0, 1e-12);
}

// Requirement (issue 6): every failure mode that a state can judge has its row; hand calculations beside the numbers.
TEST(Margins, JudgeEveryModeOfAState)
{
  SlopeResult slope         = two_states();
  slope.tuberosity_width_mm = 7.2;
  slope.holds               = {{"screw_2", 2, 0}};
  StateRow &state           = slope.states[1];
  state.limb                = {400, 0, 120, 900};
  state.state.screws        = {{"screw_2", -50, 80, 100}};
  state.state.cut           = {80, 0.1, 0, -0.3, 90, true};
  state.state.peaks[3].compression_strain = 0.002;
  std::map<std::string, MarginRow> worst;
  for (const MarginRow &row : margin_rows(Scenario(), slope))
    if (!worst.count(row.mode) || (row.margin && (!worst[row.mode].margin || *row.margin < *worst[row.mode].margin)))
      worst[row.mode] = row;
  for (const char *mode : {"yield", "bone_strain", "pull_out", "push_out", "tendon_pull", "opening", "drift", "strength", "whole_bone"})
    EXPECT_TRUE(worst.count(mode)) << mode;
  EXPECT_NEAR(*worst["bone_strain"].margin, 5, 1e-12);                            // 10 000 / 2000 microstrain
  EXPECT_FALSE(worst["pull_out"].margin);                                         // it is pushed in
  EXPECT_NEAR(worst["push_out"].demand, 50, 1e-12);
  EXPECT_NEAR(*worst["tendon_pull"].margin, 2093 * (7.2 * 7.2) / (10.8 * 10.8) / 400, 1e-9);
  EXPECT_NEAR(worst["opening"].demand, 10, 1e-12);                                // 0.1 of 1 mm
  EXPECT_FALSE(worst["drift"].margin);                                            // the plateau falls
  EXPECT_NEAR(*worst["whole_bone"].margin, 8193.0 / 900, 1e-9);
  EXPECT_FALSE(worst.count("fatigue")); // one week is no race
}

// Requirement: the race runs over the weeks with the loadings of the diary. Hand: a trot of 1848 loadings a day at a constant
// stress for 2 weeks is 14 * 1848 loadings; usage = that over the life, and lower stress in the second week uses less.
TEST(Margins, RaceFatigueOverTheWeeks)
{
  SlopeResult slope;
  slope.operated = true;
  for (const double week : {0.0, 2.0})
  {
    StateRow row;
    row.week        = week;
    row.activity    = "trot";
    row.state.peaks = {{"plate", 300, Vector3(1, 2, 3), 5, false, 0.001, 0}};
    row.state.peaks[0].principal_mpa = 400;
    slope.states.push_back(row);
  }
  const auto usage = [&]
  {
    for (const MarginRow &row : margin_rows(Scenario(), slope))
      if (row.mode == "fatigue")
        return row.demand;
    return -1.0;
  };
  const double steady = usage(), life = metal_life(find_material("steel_316l_cold_worked"))(400);
  EXPECT_NEAR(steady, 14 * 1848 / life, 1e-9 * steady);
  slope.states[1].state.peaks[0].principal_mpa = 200;
  EXPECT_LT(usage(), steady);
  EXPECT_GT(usage(), 0);
}

TEST(Margins, FieldIsWrittenForTheStateWithTheLeastMarginOfTheMetal)
{
  EXPECT_EQ(least_margin_state(Scenario(), two_states().states).state, 1u);
}

TEST(Closing, FitsEightyColumnsAndNamesTheScrew)
{
  NeutralAngles neutral;
  neutral.by_load_set = {{"axial", 0.0}, {"tendon", 12.63}, {"press", std::nullopt}, {"stance", 11.8}};
  neutral.by_activity = {{"walk", 11.8}};
  const std::string text = closing_text({}, neutral, judge(Scenario(), {two_states()}));
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);)
    EXPECT_LE(line.size(), 80u) << line;
  EXPECT_NE(text.find("2 screw_2"), std::string::npos) << text; // the least margin of the metal, with its part
  EXPECT_NE(text.find("none found"), std::string::npos) << text;
}

TEST(Closing, PrintsTheBandBesideTheNeutralSlope)
{
  // Requirement (design.md "Results"): the band stands beside the number; a band that is not known is said to be missing.
  NeutralAngles neutral;
  neutral.by_load_set = {{"press", 7.04}, {"stance", 11.8}};
  neutral.by_activity = {{"walk", 11.8}, {"trot", 12.5}};
  NeutralBand stance, walk, trot;
  stance.line        = "stance";
  stance.angle.low   = -1.26;
  stance.angle.high  = 17.31;
  stance.angle.failed = 12;
  walk.line          = "walk";
  walk.angle.low     = 8.26;
  walk.angle.high    = 15.31;
  trot.line          = "trot";
  trot.angle.failed  = 64;
  for (NeutralBand *band : {&stance, &walk, &trot})
    band->angle.samples = 64;
  neutral.bands = {stance, walk, trot};
  const std::string text = closing_text({}, neutral, {});
  EXPECT_NE(text.find("11.8 deg (8.3 to 15.3)"), std::string::npos) << text;
  EXPECT_NE(text.find("12.5 deg (no band)"), std::string::npos) << text;
  EXPECT_NE(text.find("7.0 deg\n"), std::string::npos) << text;
  EXPECT_NE(text.find("11.8 deg (-1.3 to 17.3; 12 none)"), std::string::npos) << text; // dogs without a neutral slope are counted
  EXPECT_NE(text.find("of 64 drawn dogs"), std::string::npos) << text;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);)
    EXPECT_LE(line.size(), 80u) << line;
}

TEST(Assumptions, NameEachKeyOnceAndEveryPartOfTheJoint)
{
  // Requirement (design.md "Truth"): every default carries a label and its source, also those of the 3-D joint and the suture.
  Scenario scenario;
  scenario.repair.kind = {"suture"};
  std::set<std::string> keys;
  for (const AssumptionRow &row : all_assumptions(scenario))
  {
    EXPECT_TRUE(keys.insert(row.key).second) << row.key;
    EXPECT_FALSE(row.label.empty() || row.source.empty()) << row.key;
  }
  for (const auto &list : {joint_part_sources(scenario), suture_sources(), anatomy_sources(), list_assumptions(scenario)})
    for (const AssumptionRow &row : list)
      EXPECT_TRUE(keys.count(row.key)) << row.key;
}

TEST(TakingUp, ReturnsTheSameSlopeAndRefusesAnotherScenario)
{
  const SlopeResult slope = two_states();
  const std::string text  = slope_text(slope, "abc");
  SlopeResult       read;
  ASSERT_TRUE(read_slope_text(text, "abc", read));
  EXPECT_EQ(slope_text(read, "abc"), text);
  EXPECT_EQ(read.states[1].state.peaks[0].von_mises_mpa, 230.0);
  EXPECT_FALSE(read_slope_text(text, "another", read));
  EXPECT_FALSE(read_slope_text(text.substr(0, text.size() / 2), "abc", read)); // torn by a kill
}

TEST(TakingUp, DoesASlopeAgainThatFailed)
{
  SlopeResult slope = two_states();
  slope.error       = "the cut contact did not converge";
  SlopeResult read;
  EXPECT_FALSE(read_slope_text(slope_text(slope, "abc"), "abc", read));
}

// Requirement (issue 6): the closing text says for each week and activity what comes nearest to its limit; a run of one week has
// no such table.
TEST(Closing, TellsWeekByWeekWhatComesNearestToItsLimit)
{
  SlopeResult slope = two_states();
  JudgedSlopes judged = judge(Scenario(), {slope});
  EXPECT_EQ(closing_text({}, {}, judged).find("week by week"), std::string::npos);
  for (StateRow &state : slope.states)
    state.week = 4;
  SlopeResult both = two_states();
  both.states.insert(both.states.end(), slope.states.begin(), slope.states.end());
  for (StateRow &state : both.states)
    if (state.week == 4)
      state.state.peaks[2].von_mises_mpa *= 2; // screw_2: 690 / (2 * 1.5 * 230) = 1, 690 / (1.5 * 230) = 2 before
  judged = judge(Scenario(), {both});
  const std::string text = closing_text({}, {}, judged), table = text.substr(text.find("week by week"));
  std::vector<std::string> lines;
  std::istringstream stream(table.substr(table.find("Week Activity")));
  for (std::string line; std::getline(stream, line) && !line.empty();)
    lines.push_back(line);
  ASSERT_EQ(lines.size(), 3u) << table;
  EXPECT_NE(lines[1].find("0 walk                 2  adequate   screw_2"), std::string::npos) << lines[1];
  EXPECT_NE(lines[2].find("4 walk                 1  marginal   screw_2"), std::string::npos) << lines[2];
  for (const std::string &line : lines)
    EXPECT_LE(line.size(), 80u);
}

// Requirement: activities that no muscle can do are named where their margins are read.
TEST(Closing, NamesActivitiesBeyondTheMuscle)
{
  JointRow jump, walk;
  jump.activity = "jump_down", jump.beyond_muscle_cap = true;
  walk.activity = "walk";
  const std::string text = closing_text({walk, jump, jump}, {}, {});
  EXPECT_NE(text.find("upper bounds: jump_down."), std::string::npos) << text;
  EXPECT_EQ(closing_text({walk}, {}, {}).find("upper bounds"), std::string::npos);
}

// Requirement: a race over all weeks is not printed as if it belonged to the last one.
TEST(Closing, PrintsNoSingleWeekForTheRaceOfFatigue)
{
  MarginRow race, state;
  race.operated = state.operated = true;
  race.mode = "fatigue", race.part = "plate", race.verdict = "overloaded", race.activity = "normal", race.week = 8, race.margin = 0.5;
  state = race;
  state.mode = "yield", state.activity = "walk", state.percent = 50;
  JudgedSlopes judged;
  judged.slopes  = {two_states()};
  judged.margins = {race, state};
  const std::string text = closing_text({}, {}, judged);
  EXPECT_NE(text.find("  all normal\n"), std::string::npos) << text;
  EXPECT_NE(text.find("    8 walk\n"), std::string::npos) << text;
}

// Requirement (issue 7): the closing text fits 80 columns with the longest words and numbers that can stand in it.
TEST(Closing, FitsEightyColumnsWithItsLongestWords)
{
  SlopeResult slope = two_states(), failed;
  slope.achieved_deg = slope.target_deg = -10;
  slope.states[1].week     = 10.333333;
  slope.states[1].activity = "größter_sprung_hinab_vom_dach";
  slope.states[1].state.peaks[0].von_mises_mpa = 12345;
  slope.states[1].state.peaks[2].part          = "screw_12";
  slope.states[1].state.peaks[3].part          = "cancellous_proximal";
  failed.operated = true;
  failed.error    = "plate: misses the bone: 3.4 mm of gap at its proximal end (x = 12.3, z = -4.5 mm), at most 1.5 mm; plate.seating moves it";
  JudgedSlopes judged = judge(Scenario(), {slope, failed});
  for (const double margin : {0.98, 123.4, 1e7}) // two digits, more than the column is for, nothing to speak of
    for (const char *part : {"screw_12", "cancellous_proximal"})
    {
      MarginRow row;
      row.operated = true, row.plateau_angle_deg = row.plateau_angle_target_deg = -10, row.week = 10.333333, row.percent = 50;
      row.activity = "größter_sprung_hinab_vom_dach", row.part = part, row.mode = "yield", row.verdict = "overloaded", row.margin = margin;
      judged.margins = {row};
      JointRow joint;
      joint.activity = row.activity, joint.beyond_muscle_cap = true;
      std::vector<JointRow> beyond(1, joint);
      for (const char *more : {"a_second_long_activity", "a_third_long_activity", "a_fourth_long_activity"})
        joint.activity = more, beyond.push_back(joint);
      NeutralAngles neutral;
      neutral.by_activity = {{row.activity, -11.8}};
      EXPECT_EQ(wide_lines(closing_text(beyond, neutral, judged)), "");
    }
}

TEST(Closing, OfARigFitsEightyColumns)
{
  Scenario scenario;
  scenario.rig.kind = "pull_out";
  SlopeResult slope;
  slope.rig = {{6, "first yield of a screw shaft at the bone", 123456.789, "N m/rad", "cancellous_proximal", {}},
               {6, "push: load reached", 1828, "N", "still standing", {}}};
  slope.error = "the cut contact did not converge: levelled to 6.0 deg, week 0, trot, 50 % of stance, residual 1.00e-03";
  const std::string text = rig_text(scenario, {{slope}, {}});
  EXPECT_EQ(wide_lines(text), "") << text;
  EXPECT_NE(text.find("first yield of a screw shaft at the bone 1.2346e+05 N m/rad cancellous_proximal"), std::string::npos) << text;
}

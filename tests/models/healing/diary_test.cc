#include "models/healing/diary.h"

#include "models/core/error.h"
#include "models/core/files.h"
#include "models/limb/activities.h"

#include <cmath>
#include <fstream>
#include <gtest/gtest.h>
#include <unistd.h>

using namespace stifle;

namespace
{
DiaryFile shipped() { return read_diaries(data_file("models/healing/diary.yaml")); }

std::string file_with(const std::string &content)
{
  const std::string path = ::testing::TempDir() + "diary_test_" + std::to_string(getpid()) + ".yaml";
  std::ofstream(path) << content;
  return path;
}

std::vector<InputProblem> problems_of(const std::string &content, const std::vector<std::string> &activities = {})
{
  try
  {
    read_diaries(file_with(content), activities);
  }
  catch (const InputError &error)
  {
    return error.problems();
  }
  return {};
}

Scenario with(const std::string &diary, const std::string &limb_use)
{
  Scenario scenario;
  scenario.healing.diary = diary;
  scenario.healing.limb_use = limb_use;
  return scenario;
}

double strides(const Diary &diary) { return diary.loadings_per_day("walk", 0) + diary.loadings_per_day("trot", 0); }
} // namespace

// Requirement: strides per day and in 8 weeks lie in the ranges of alternatives.md 1d: normal life 4700-7500 and 2.6e5-4.2e5,
// restricted 2500-3000 and 1.4e5-1.7e5.
TEST(Diary, CountsTheStridesOfTheSheet)
{
  const double normal = strides(diary_of(with("normal", "full"))), restricted = strides(diary_of(with("restricted", "full")));
  EXPECT_TRUE(normal > 4700 && normal < 7500 && 56 * normal > 2.6e5 && 56 * normal < 4.2e5) << normal;
  EXPECT_TRUE(restricted > 2500 && restricted < 3000 && 56 * restricted > 1.4e5 && 56 * restricted < 1.7e5) << restricted;
}

// Requirement: hand calculation: trot 14 min x 60 x 2.2/s = 1848; walk 2.4 h x 3600 x 0.45 x 1.1/s = 4276.8.
TEST(Diary, DerivesWalkAndTrotFromTheTimes)
{
  EXPECT_NEAR(diary_of(with("normal", "full")).loadings_per_day("walk", 3), 4276.8, 0.5);
  EXPECT_NEAR(diary_of(with("normal", "full")).loadings_per_day("trot", 3), 1848, 0.5);
}

// Requirement: both diaries count every shipped activity, each with a label and a source; jumps only in normal life.
TEST(Diary, CountsEveryShippedActivity)
{
  for (const Diary &diary : shipped().diaries)
    for (const Activity &activity : default_activities())
    {
      const ActivityCount *count = diary.find(activity.name);
      ASSERT_NE(count, nullptr) << diary.name << " " << activity.name;
      EXPECT_FALSE(count->label.empty() || count->source.empty()) << diary.name << " " << activity.name;
    }
  EXPECT_EQ(diary_of(with("restricted", "full")).loadings_per_day("jump_up", 1), 0);
  EXPECT_GT(diary_of(with("normal", "full")).loadings_per_day("jump_up", 1), 0);
}

// Requirement: normal life and full use are the defaults, because dogs do not slow down by themselves.
TEST(Diary, DefaultsToNormalLifeAndFullUse)
{
  EXPECT_EQ(diary_of(Scenario()).name, "normal");
  EXPECT_EQ(limb_use_of(Scenario()).share.at(0), 1);
  EXPECT_EQ(limb_use_of(Scenario()).share.at(30), 1);
}

// Requirement: the recovery table of alternatives.md section 3: 0.40, 0.65, 0.80, 0.92, 0.96 at 2, 4, 8, 16, 26 weeks; linear
// between (week 6: 0.725), held before and after.
TEST(LimbUse, FollowsTheRecoveryTable)
{
  const WeekTable share = limb_use_of(with("normal", "recovery")).share;
  for (const auto &[week, value] : std::vector<std::pair<double, double>>{
           {0, 0.40}, {2, 0.40}, {3, 0.525}, {4, 0.65}, {6, 0.725}, {8, 0.80}, {16, 0.92}, {26, 0.96}, {52, 0.96}})
    EXPECT_NEAR(share.at(week), value, 1e-12) << week;
  EXPECT_THROW(share.at(-1), Error);
  EXPECT_THROW(share.at(NAN), Error);
}

// Requirement: an own file may leave limb_use out, then full is known; an activity without a row is never counted.
TEST(Diary, TakesAnOwnTable)
{
  const DiaryFile own = read_diaries(file_with("diaries:\n  quiet:\n    walk:\n      label: assumption\n      source: mine\n"
                                               "      rows: [{week: 0, per_day: 100}, {week: 10, per_day: 300}]\n"),
                                     {"walk", "trot"});
  EXPECT_EQ(own.diary_names(), std::vector<std::string>{"quiet"});
  EXPECT_EQ(own.limb_use_names(), std::vector<std::string>{"full"});
  EXPECT_DOUBLE_EQ(own.diaries[0].loadings_per_day("walk", 5), 200);
  EXPECT_EQ(own.diaries[0].loadings_per_day("trot", 5), 0);
}

// Requirement: every slip is told with its line, key and nearest word: unknown activity, weeks that do not rise, a share above 2.
TEST(Diary, ReportsEveryProblemOfATable)
{
  const auto problems =
      problems_of("diaries:\n  own:\n    wlak: {}\n    trot:\n      label: assumption\n      source: mine\n      rows:\n"
                  "        - {week: 4, per_day: 1}\n        - {week: 2, per_day: 1}\nlimb_use:\n  half:\n"
                  "    label: assumption\n    source: mine\n    rows: [{week: 0, share: 50}]\n",
                  {"walk", "trot"});
  bool activity = false, weeks = false, share = false;
  for (const InputProblem &p : problems)
  {
    activity |= p.line == 3 && p.nearest == "walk";
    weeks |= p.line == 9 && p.message.find("diaries.own.trot.rows[1].week must rise") == 0;
    share |= p.line == 14 && p.message.find("limb_use.half.rows[0].share") != std::string::npos;
  }
  EXPECT_TRUE(activity && weeks && share);
}

TEST(Diary, RefusesAFileWithoutATable)
{
  EXPECT_FALSE(problems_of("limb_use: {}\n").empty());
  EXPECT_FALSE(problems_of("diaries: {}\n").empty());
  EXPECT_FALSE(problems_of("diaries: [1]\n").empty());
}

// What is said of a stage while it works: fraction, elapsed and time left.
#include "models/core/text_width.h"
#include "scenarios/app/stage_lines.h"
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

using namespace stifle;
using namespace stifle::app;

namespace
{
StageView half_done()
{
  StageView stage;
  stage.name      = "construct";
  stage.message   = "levelled to 6.0 deg: states";
  stage.total     = 40;
  stage.done      = 20;
  stage.elapsed_s = 30;
  return stage;
}
} // namespace

TEST(StageLine, TellsTheTimeLeftFromTheMeasuredRate)
{
  StageView stage = half_done();
  EXPECT_DOUBLE_EQ(stage.fraction(), 0.5);
  EXPECT_DOUBLE_EQ(*stage.left_s(), 30); // 20 of 40 units took 30 s
  stage.skipped = 15;                    // finished by an earlier run: 5 units took the 30 s
  EXPECT_DOUBLE_EQ(*stage.left_s(), 120);
  stage.skipped = 20;
  EXPECT_FALSE(stage.left_s()); // nothing was worked on: nothing is measured
  stage.done = 40;
  EXPECT_DOUBLE_EQ(*stage.left_s(), 0);
}

TEST(StageLine, NeverSaysHundredBeforeTheWorkIsDone)
{
  StageView stage = half_done();
  stage.total     = 1000;
  stage.done      = 999.9;
  EXPECT_NE(live_line(stage, 80).find(" 99 %"), std::string::npos) << live_line(stage, 80);
  stage.done = 1000;
  EXPECT_NE(live_line(stage, 80).find("100 %"), std::string::npos);
}

TEST(StageLine, FitsTheTerminalAndTheEndLineEightyColumns)
{
  StageView stage = half_done();
  EXPECT_NE(live_line(stage, 79).find(" 50 %         30 s  about 30 s left"), std::string::npos) << live_line(stage, 79);
  stage.message   = std::string(200, 'x') + " größer 犬";
  stage.elapsed_s = 40000;
  for (const int columns : {20, 40, 79, 200})
    EXPECT_LE(display_width(live_line(stage, columns)), columns);
  EXPECT_LE(display_width(end_line(stage)), 80);
  EXPECT_EQ(end_line(stage).find_first_of("\r\x1b\n"), std::string::npos);
}

TEST(StageLine, WritesDurationsForPeople)
{
  EXPECT_EQ(duration_text(3.21), "3.2 s");
  EXPECT_EQ(duration_text(45.4), "45 s");
  EXPECT_EQ(duration_text(59.7), "1 min 00 s");
  EXPECT_EQ(duration_text(65), "1 min 05 s");
  EXPECT_EQ(duration_text(7380), "2 h 03 min");
}

TEST(StageEvent, HasTheSixFieldsOfTheSchema)
{
  const auto event = stage_event("progress", half_done());
  EXPECT_EQ(event["event"], "progress");
  EXPECT_EQ(event["stage"], "construct");
  EXPECT_EQ(event["fraction"], 0.5);
  EXPECT_EQ(event["elapsed_s"], 30.0);
  EXPECT_EQ(event["left_s"], 30.0);
  EXPECT_EQ(event["message"], "levelled to 6.0 deg: states");
  const auto run = run_event("warning", "text");
  EXPECT_EQ(run.size(), 6u);
  EXPECT_TRUE(run["stage"].is_null() && run["fraction"].is_null() && run["left_s"].is_null());
}

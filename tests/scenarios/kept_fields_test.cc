// Requirements of output.fields: which states leave a field file, and under which name. States and choices by hand.
#include "scenarios/app/kept_fields.h"
#include <gtest/gtest.h>

using namespace stifle::app;
using Indices = std::vector<std::size_t>;

namespace
{
StateRow state(double week, const char *activity, double percent, double hock_n)
{
  StateRow row;
  row.week = week;
  row.activity = activity;
  row.percent = percent;
  row.limb.hock_force_n = hock_n;
  return row;
}

/// Stand and trot over three weeks; the limb takes more load from week to week.
std::vector<StateRow> three_weeks()
{
  std::vector<StateRow> states;
  for (const double week : {0.0, 4.0, 8.0})
  {
    states.push_back(state(week, "stand", 50, 100 + 10 * week));
    states.push_back(state(week, "trot", 25, 200 + 10 * week));
    states.push_back(state(week, "trot", 50, 500 + 10 * week));
  }
  return states;
}
} // namespace

// Requirement: one week keeps the state of least margin and nothing else.
TEST(KeptFields, OneWeekKeepsTheLeastMargin)
{
  const std::vector<StateRow> week = {state(2, "stand", 50, 100), state(2, "trot", 50, 500)};
  EXPECT_EQ(kept_fields("least_margin", week, 0), Indices({0}));
}

// Requirement: with several weeks the instant of the largest hock force is kept in each, beside the least margin.
TEST(KeptFields, SeveralWeeksKeepOneInstantInEach)
{
  EXPECT_EQ(kept_fields("least_margin", three_weeks(), 4), Indices({2, 4, 5, 8}));
  EXPECT_EQ(kept_fields("least_margin", three_weeks(), 5), Indices({2, 5, 8}));
}

// Requirement: the instant is one for all weeks, also when another one bears more in some of them, and a week without it keeps none.
TEST(KeptFields, TheInstantIsTheSameInAllWeeks)
{
  std::vector<StateRow> states = three_weeks();
  states[3].limb.hock_force_n = 570; // standing above trot in week 4, below trot of week 8
  EXPECT_EQ(kept_fields("least_margin", states, 8), Indices({2, 5, 8}));
  states.erase(states.begin() + 5);
  EXPECT_EQ(kept_fields("least_margin", states, 7), Indices({2, 7}));
}

TEST(KeptFields, AllKeepsEveryStateAndNoneNone)
{
  EXPECT_EQ(kept_fields("all", three_weeks(), 4).size(), 9u);
  EXPECT_TRUE(kept_fields("none", three_weeks(), 4).empty());
  EXPECT_TRUE(kept_fields("least_margin", {}, 0).empty());
}

// Requirement: names are those of whole weeks as ever, and weeks between them do not share a name.
TEST(KeptFields, NoTwoStatesShareAName)
{
  SlopeResult slope;
  slope.target_deg = 6;
  slope.operated = true;
  EXPECT_EQ(field_path(slope, state(2, "trot", 50, 0)), "fields/levelled_+06.00_week_02_trot_050.vtu");
  EXPECT_EQ(field_path(slope, state(1.5, "trot", 50, 0)), "fields/levelled_+06.00_week_01.50_trot_050.vtu");
}

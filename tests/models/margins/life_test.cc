#include "models/margins/life.h"

#include "models/core/error.h"

#include <cmath>
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
const LifeLaw thousand = [](double) { return 1000.0; };
Material steel() { return find_material("steel_316l_cold_worked"); }
} // namespace

// Requirement: hand calculation: 100 loadings a day for 2 weeks at a life of 1000 are 1400 loadings, usage 1.4, life 1000 =
// decade 3, and the sum reaches 1 after 10 days = 1.428571 weeks.
TEST(Life, AddsUpAConstantLoading)
{
  const FatigueUse use = fatigue_use({0, 2}, {{"walk", {5, 5}, {100, 100}}}, thousand);
  EXPECT_NEAR(use.usage, 1.4, 1e-12);
  EXPECT_NEAR(use.loadings, 1400, 1e-9);
  EXPECT_EQ(use.decade.value(), 3);
  EXPECT_NEAR(use.failure_week.value(), 10.0 / 7, 1e-12);
  EXPECT_EQ(use.worst_activity, "walk");
  EXPECT_EQ(use.shortest_life, 1000);
}

// Requirement: trapezoid by hand: damage a day 0.1, 0.02, 0 in weeks 0, 1, 3: 7 (0.06) + 14 (0.01) = 0.56.
TEST(Life, TakesDamageLinearBetweenWeeks)
{
  const LifeLaw law = [](double value) { return value; };
  const FatigueUse use = fatigue_use({0, 1, 3}, {{"walk", {1000, 5000, 1000}, {100, 100, 0}}}, law);
  EXPECT_NEAR(use.usage, 0.56, 1e-12);
  EXPECT_FALSE(use.failure_week.has_value());
  EXPECT_EQ(use.shortest_life, 1000);
}

// Requirement: the week of failure with a falling rate: 0.3 - 0.3 t/7 a day over one week; the integral 0.3 t - 0.15 t^2/7 is 1
// at t = 7 - sqrt(49 - 140/3) = 5.472475 days.
TEST(Life, FindsTheWeekOfFailure)
{
  const FatigueUse use = fatigue_use({0, 1}, {{"walk", {1, 1}, {300, 0}}}, thousand);
  EXPECT_NEAR(use.usage, 1.05, 1e-12);
  EXPECT_NEAR(use.failure_week.value() * 7, 7 - std::sqrt(49 - 140.0 / 3), 1e-9);
}

// Requirement (law): activities add up, and the one of the larger part is named.
TEST(Life, AddsUpActivities)
{
  const ActivityHistory walk{"walk", {200, 150}, {4000, 4000}}, jump{"jump_up", {500, 400}, {6, 6}};
  const LifeLaw law = metal_life(steel());
  const double both = fatigue_use({0, 4}, {walk, jump}, law).usage;
  const double first = fatigue_use({0, 4}, {walk}, law).usage, second = fatigue_use({0, 4}, {jump}, law).usage;
  EXPECT_NEAR(both, first + second, 1e-12 * both);
  EXPECT_EQ(fatigue_use({0, 4}, {walk, jump}, law).worst_activity, first > second ? "walk" : "jump_up");
}

// Requirement: hand calculation for cold-worked steel (Su 860, limit 350 at 1e7): b = log10(350/774)/4 = -0.0861682,
// A = 774 x 1000^0.0861682. Largest 300 MPa: x 1.45 = 435, half 217.5, Goodman 217.5/(1 - 217.5/860) = 291.1284 MPa, so
// N = 1e7 (291.1284/350)^(1/b) = 8.476655e7 (evaluated apart, Python).
TEST(Life, OfMetalFollowsGoodmanAndBasquin)
{
  const Basquin law = metal_law(steel());
  EXPECT_NEAR(law.exponent, -0.0861682, 1e-7);
  EXPECT_NEAR(basquin_life(law, 350), 1e7, 1);
  EXPECT_NEAR(basquin_life(law, 774), 1e3, 1e-4);
  EXPECT_NEAR(metal_life(steel())(300), 8.476655e7, 100);
  EXPECT_NEAR(law.life_decades_sd, std::log10(1.15) / 0.0861682, 1e-5);
}

// Requirement: the factor on stress is never below 1.45, a stress at the ultimate strength breaks at once, and a part in
// compression is not used up.
TEST(Life, OfMetalKeepsTheRuleForClaims)
{
  EXPECT_THROW(metal_life(steel(), 0, 1.0), Error);
  EXPECT_EQ(metal_life(steel())(860), 1);
  EXPECT_EQ(metal_life(steel())(5000), 1);
  EXPECT_TRUE(std::isinf(metal_life(steel())(-100)));
  EXPECT_LT(metal_life(steel(), -2)(300), metal_life(steel())(300));
  EXPECT_THROW(metal_law(find_material("cortical_bone")), Error);
}

// Requirement (law): usage falls when the limb is loaded less: 0.9 of the stress lengthens the life.
TEST(Life, GrowsWhenTheStressFalls)
{
  const LifeLaw law = metal_life(steel());
  EXPECT_LT(fatigue_use({0, 2, 4}, {{"walk", {400, 200, 100}, {10, 10, 10}}}, law).usage,
            fatigue_use({0, 2, 4}, {{"walk", {400, 400, 400}, {10, 10, 10}}}, law).usage);
  EXPECT_FALSE(fatigue_use({0, 2}, {{"walk", {-5, 0}, {10, 10}}}, law).decade.has_value());
  EXPECT_EQ(fatigue_use({0, 2}, {}, law).usage, 0);
}

TEST(Life, RefusesNumbersThatMeanNothing)
{
  EXPECT_THROW(fatigue_use({0}, {}, thousand), Error);
  EXPECT_THROW(fatigue_use({2, 1}, {}, thousand), Error);
  EXPECT_THROW(fatigue_use({0, 1}, {{"walk", {1}, {1, 1}}}, thousand), Error);
  EXPECT_THROW(fatigue_use({0, 1}, {{"walk", {1, NAN}, {1, 1}}}, thousand), Error);
  EXPECT_THROW(fatigue_use({0, 1}, {{"walk", {1, 1}, {1, -1}}}, thousand), Error);
}

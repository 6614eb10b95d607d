#include "models/margins/yield.h"

#include "models/core/error.h"

#include <cmath>
#include <gtest/gtest.h>

using namespace stifle;

// Requirement: margin = capacity / demand (design.md "Results"). Hand calculation: 690 / 230 = 3.
TEST(YieldMargin, IsCapacityOverDemand) { EXPECT_DOUBLE_EQ(yield_margin(690, 230).value(), 3); }

TEST(YieldMargin, IsEmptyWithoutDemand) { EXPECT_FALSE(yield_margin(690, 0).has_value()); }

// Requirement: doubling the load halves the margin (law: linear stress).
TEST(YieldMargin, HalvesWhenTheLoadDoubles) { EXPECT_DOUBLE_EQ(*yield_margin(690, 200), 2 * *yield_margin(690, 400)); }

TEST(YieldMargin, RefusesNumbersThatMeanNothing)
{
  EXPECT_THROW(yield_margin(0, 10), Error); // strength not given
  EXPECT_THROW(yield_margin(690, -1), Error);
  EXPECT_THROW(yield_margin(690, NAN), Error);
  EXPECT_THROW(yield_margin(INFINITY, 10), Error);
}

// Requirement: the three words change exactly at 1.5 and 1.0 (README).
TEST(Verdict, ChangesAtItsLimits)
{
  EXPECT_EQ(verdict(1.5), "adequate");
  EXPECT_EQ(verdict(std::nextafter(1.5, 0)), "marginal");
  EXPECT_EQ(verdict(1.0), "marginal");
  EXPECT_EQ(verdict(std::nextafter(1.0, 0)), "overloaded");
  EXPECT_EQ(verdict(0), "overloaded");
  EXPECT_THROW(verdict(NAN), Error);
}

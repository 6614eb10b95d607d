#include "models/healing/callus.h"

#include "models/core/error.h"

#include <cmath>
#include <gtest/gtest.h>

using namespace stifle;

// Requirement: a fresh cut has no callus: exactly 0 in week 0.
TEST(Callus, IsAbsentInWeekZero) { EXPECT_EQ(callus_modulus_mpa(0), 0); }

// Requirement: the law stays inside every bracket of construct.md section 6 (0-2 w 0.2-2, 4 w 10-100, 6 w 500-1000,
// 8 w 2000-6000 MPa). The numbers are typed again here.
TEST(Callus, StaysInsideEveryBracket)
{
  const auto inside = [](double week, double low, double high)
  { return callus_modulus_mpa(week) >= low && callus_modulus_mpa(week) <= high; };
  EXPECT_TRUE(inside(0.01, 0.2, 2));
  EXPECT_TRUE(inside(1, 0.2, 2));
  EXPECT_TRUE(inside(2, 0.2, 2));
  EXPECT_TRUE(inside(4, 10, 100));
  EXPECT_TRUE(inside(6, 500, 1000));
  EXPECT_TRUE(inside(8, 2000, 6000));
}

// Requirement: geometric means sqrt(10*100) = 31.623 and sqrt(2000*6000) = 3464.10 MPa are met in weeks 4 and 8.
TEST(Callus, MeetsTheGeometricMeansOfWeeksFourAndEight)
{
  EXPECT_NEAR(callus_modulus_mpa(4), 31.6228, 1e-3);
  EXPECT_NEAR(callus_modulus_mpa(8), 3464.10, 1e-1);
}

// Requirement: log modulus is logistic between 0.2 and 6000 MPa, so its logit is a straight line in the week. Hand calculation:
// shares of the log range 0.49116 (w 4) and 0.94672 (w 8), logits -0.0354 and 2.8774; week 6: 1.4210, share 0.80549, 807.8 MPa.
TEST(Callus, IsLogisticInLogModulus)
{
  EXPECT_NEAR(callus_modulus_mpa(6), 807.8, 0.5);
  const auto logit = [](double week)
  {
    const double share = std::log(callus_modulus_mpa(week) / 0.2) / std::log(6000 / 0.2);
    return std::log(share / (1 - share));
  };
  EXPECT_NEAR(logit(6) - logit(4), logit(12) - logit(10), 1e-9);
}

TEST(Callus, OnlyStiffensAndStaysBelowMatureBone)
{
  for (double week = 0; week < 30; week += 0.5)
    EXPECT_LT(callus_modulus_mpa(week), callus_modulus_mpa(week + 0.5));
  EXPECT_LE(callus_modulus_mpa(30), 6000);
}

TEST(Callus, RefusesAWeekThatCannotBe)
{
  EXPECT_THROW(callus_modulus_mpa(-1), Error);
  EXPECT_THROW(callus_modulus_mpa(NAN), Error);
}

// Spread of strengths: the law of the draws and which strength a margin rests on.
#include "models/core/error.h"
#include "models/margins/strength_draw.h"
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
const Material steel = find_material("steel_316l_cold_worked"), bone = find_material("cortical_bone");
Margin         plate() { return yield_mode("plate", 100, steel); }
} // namespace

// Requirement: the middle of every draw is the capacity itself, to the last digit.
TEST(StrengthDraw, LeavesTheMiddleAlone) { EXPECT_EQ(drawn_capacity(plate(), {}), 690.0); }

// Requirement: log-normal about the median. Its coefficient of variation is the stated one (law of the log-normal: mean and
// variance integrated over the normal by 20 000 equal slices).
TEST(StrengthDraw, HasTheStatedCoefficientOfVariation)
{
  for (const double cv : {0.05, 0.2, 0.4})
  {
    const boost::math::normal standard;
    double                    sum = 0, squares = 0;
    const int                 n = 20000;
    for (int i = 0; i < n; ++i)
    {
      const double f = log_normal_factor(cv, boost::math::quantile(standard, (i + 0.5) / n));
      sum += f / n;
      squares += f * f / n;
    }
    EXPECT_NEAR(std::sqrt(squares - sum * sum) / sum, cv, 2e-3 * cv);
  }
  EXPECT_NEAR(log_normal_factor(0.4, 2) * log_normal_factor(0.4, -2), 1, 1e-12);
}

// Requirement: one number for all that breaks by the same material, none for limits by definition.
TEST(StrengthDraw, BelongsToWhatBreaks)
{
  StrengthDraw z;
  z.plate = 1;
  EXPECT_NEAR(drawn_capacity(plate(), z), 690 * std::exp(std::sqrt(std::log(1.0025))), 1e-9); // 5 %
  Margin screw = yield_mode("screw_2", 100, steel);
  EXPECT_EQ(drawn_capacity(screw, z), 690.0);
  z.screws   = -1;
  screw.mode = "shaft_yield";
  EXPECT_LT(drawn_capacity(screw, z), 690.0);
  z.bone = 2;
  EXPECT_NEAR(drawn_capacity(yield_mode("cortex_distal", 10, bone), z), 112 * std::exp(2 * std::sqrt(std::log(1.04))), 1e-9);
  EXPECT_GT(drawn_capacity(bone_strain_mode("cortex_distal", 10, 10), z), 7000);
  z = StrengthDraw();
  z.tuberosity = z.whole_bone = z.soft_tissue = 1;
  EXPECT_NEAR(drawn_capacity(tuberosity_mode(100, 10.8), z), 2093 * std::exp(std::sqrt(std::log(1.16))), 1e-6); // 40 %
  EXPECT_GT(drawn_capacity(whole_bone_mode(100), z), 8193);
  EXPECT_GT(drawn_capacity(tendon_mode(100, 30), z), tendon_mode(100, 30).capacity);
  z.plate = z.screws = z.bone = 2;
  EXPECT_EQ(drawn_capacity(plateau_drift_mode(1), z), 2.0);
  EXPECT_EQ(drawn_capacity(cut_opening_mode(0.1, 1, 0), z), 100.0);
}

TEST(StrengthDraw, RefusesWhatIsNoSpread)
{
  EXPECT_THROW(log_normal_factor(-0.1, 0), Error);
  EXPECT_THROW(log_normal_factor(0.1, NAN), Error);
}

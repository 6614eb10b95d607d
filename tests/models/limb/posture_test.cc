#include "models/limb/posture.h"

#include "models/core/error.h"
#include "tests/models/limb/sheet_anatomy.h"

#include <gtest/gtest.h>

using namespace stifle;

namespace
{
/// 0.4 body weights straight up, metatarsus tilted 14 deg, centre of pressure 12 mm in front of the toe joint.
ActivityRow base() { return posture(27, 14, 17, 0.4, 0, 12).rows[0]; }
} // namespace

// Requirement: the stifle angles are those asked for, in rising order, and percent runs from 0 to 100.
TEST(PostureSweep, HasTheAskedStifleAngles)
{
  const Activity activity = posture_activity(sheet_anatomy(), base(), {110, 170, 10});
  ASSERT_EQ(activity.rows.size(), 7u);
  for (std::size_t i = 0; i < 7; ++i)
  {
    const ActivityRow &row = activity.rows[i];
    EXPECT_NEAR(180 - row.tibia_tilt_deg - row.femur_tilt_deg, 110 + 10.0 * double(i), 1e-9);
    EXPECT_NEAR(row.percent, 100.0 * double(i) / 6, 1e-9);
    EXPECT_EQ(row.metatarsus_tilt_deg, 14);
    EXPECT_EQ(row.force_up_bw, 0.4);
  }
}

// Requirement: the paw stays under the hip in every posture, also of a dog of other proportions and with a hock off the axis.
// Hand: the hip lies L_t sin tau - L_f sin phi in front of the hock, the hock 12 k + 125 k sin 14 behind the pressure centre.
TEST(PostureSweep, KeepsThePawUnderTheHip)
{
  for (const double femur_mm : {170.0, 195.0, 220.0})
  {
    Anatomy anatomy = sheet_anatomy();
    anatomy.femur_length_mm = femur_mm;
    for (const ActivityRow &row : posture_activity(anatomy, base()).rows)
      EXPECT_NEAR(200 * std::sin(radians(row.tibia_tilt_deg)) - femur_mm * std::sin(radians(row.femur_tilt_deg)),
                  12 + 125 * std::sin(radians(14)), 1e-6)
          << femur_mm << " " << row.percent;
  }
  Anatomy offset = sheet_anatomy();
  offset.hock_centre.x() = 6;
  for (const StanceLoad &load : posture_loads(Scenario(), offset, base()))
    EXPECT_NEAR(hip_ahead_of_paw_mm(load, offset), 0, 1e-6);
}

// Requirement: a given distance instead of zero is met. Hand, walk 50 %: hip at 3.545 mm, pressure at 12 mm: -8.455 mm; with it
// the sweep goes through the posture of the walk itself (tau 27, phi 17 at stifle 136).
TEST(PostureSweep, GoesThroughItsBaseWhenItKeepsItsDistance)
{
  const Activity walk = posture(27, 14, 17, 0.36, 0.01, 12);
  const double ahead_mm = hip_ahead_of_paw_mm(stance_load(Scenario(), sheet_anatomy(), walk, 50), sheet_anatomy());
  EXPECT_NEAR(ahead_mm, -8.455, 1e-3);
  const Activity swept = posture_activity(sheet_anatomy(), walk.rows[0], {116, 156, 20, ahead_mm});
  EXPECT_NEAR(swept.rows[1].tibia_tilt_deg, 27, 1e-6);
  EXPECT_NEAR(swept.rows[1].femur_tilt_deg, 17, 1e-6);
}

// Requirement: tilts and stifle moment follow from the rule by hand. 200 sin tau - 195 sin(f - tau) = 42.2402 mm, f = 180 -
// stifle, so tau = d + asin(42.2402/r), r and d size and angle of (200 + 195 cos f, 195 sin f). Stifle 120: r 342.090, d 29.5817
// deg, tau 36.6741, phi 23.3259; stifle 150: r 381.543, d 14.8057, tau 21.1619, phi 8.8381 deg. The force 0.4 * 294.2 = 117.68 N
// passes under the hip, 195 sin phi behind the stifle: 9086.3 and 3525.8 N mm.
TEST(PostureSweep, GivesTheHandCalculatedStifleMoment)
{
  const std::vector<StanceLoad> loads = posture_loads(Scenario(), sheet_anatomy(), base(), {120, 150, 30});
  ASSERT_EQ(loads.size(), 2u);
  EXPECT_NEAR(degrees(loads[0].tibia_tilt_rad), 36.6741, 1e-3);
  EXPECT_NEAR(degrees(loads[1].tibia_tilt_rad), 21.1619, 1e-3);
  EXPECT_NEAR(net_moments(loads[0], sheet_anatomy(), false).stifle_nmm, 9086.3, 0.2);
  EXPECT_NEAR(net_moments(loads[1], sheet_anatomy(), false).stifle_nmm, 3525.8, 0.2);
  EXPECT_NEAR(net_moments(loads[0], sheet_anatomy(), false).hip_nmm, 0, 1e-3); // the force passes through the hip
}

// Requirement: a crouched limb needs more from its extensors than a straight one (law: the arm 195 sin phi shrinks).
TEST(PostureSweep, LoadsACrouchedStifleMore)
{
  double before = 1e9;
  for (const StanceLoad &load : posture_loads(Scenario(), sheet_anatomy(), base()))
  {
    const double now = net_moments(load, sheet_anatomy(), false).stifle_nmm;
    EXPECT_LT(now, before);
    before = now;
  }
}

TEST(PostureSweep, RefusesAnEmptyRangeAndAnImpossibleRule)
{
  EXPECT_THROW(posture_activity(sheet_anatomy(), base(), {150, 110, 5}), Error);
  EXPECT_THROW(posture_activity(sheet_anatomy(), base(), {110, 170, 0}), Error);
  EXPECT_THROW(posture_activity(sheet_anatomy(), base(), {110, 170, 5, 900}), Error);
  EXPECT_THROW(posture_activity(sheet_anatomy(), base(), {110, std::nan(""), 5}), Error);
}

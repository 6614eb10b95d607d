// Requirements of tuberosity advancement. Expected values: L sin(PTA - 90) and table of alternatives.md section 2b; circles.
#include "models/core/error.h"
#include "models/parts/repair.h"
#include <gtest/gtest.h>

using namespace stifle;

// Requirement A6: L 40, PTA 106.9 / 99.1 need 11.63 / 6.33 mm (0.05); the table of section 2b to 0.06 mm.
TEST(Advancement, FollowsTheClosedForm)
{
  const auto needed = [](double length, double pta) { return advancement_mm(length, radians(pta)); };
  EXPECT_NEAR(needed(40, 106.9), 11.63, 0.01);
  EXPECT_NEAR(needed(40, 99.1), 6.33, 0.01);
  const double length[] = {35, 40, 45};
  const double at_106_9[] = {10.2, 11.6, 13.1}, at_103[] = {7.9, 9.0, 10.1}, at_99_1[] = {5.5, 6.3, 7.1};
  for (int i = 0; i < 3; ++i)
  {
    EXPECT_NEAR(needed(length[i], 106.9), at_106_9[i], 0.06);
    EXPECT_NEAR(needed(length[i], 103), at_103[i], 0.06);
    EXPECT_NEAR(needed(length[i], 99.1), at_99_1[i], 0.06);
  }
  // Shift of the sheet: 0.4 to 1.9 mm over that table. 35 (1 - cos 9.1) = 0.441; 45 (1 - cos 16.9) = 1.944.
  EXPECT_NEAR(patella_shift_mm(35, radians(99.1)), 0.441, 1e-3);
  EXPECT_NEAR(patella_shift_mm(45, radians(106.9)), 1.944, 1e-3);
}

// Requirement: with the patella held (insertion distal by L (1 - cos)) the tendon is square to the plateau, exactly.
TEST(Advancement, PatellaHeldMakesTheTendonSquare)
{
  const Scenario plain;
  const Anatomy a = make_anatomy(plain);
  const double pta = reduced_tendon_angle_rad(a, radians(135));
  ASSERT_GT(degrees(pta), 92);
  Scenario s;
  s.advancement.proximal_shift_mm = -patella_shift_mm(a.tendon_length_mm, pta);
  const Advancement plan = plan_advancement(s, a);
  EXPECT_NEAR(plan.advancement_mm, a.tendon_length_mm * std::sin(pta - pi / 2), 1e-12);
  EXPECT_NEAR(degrees(plan.tendon_angle_before_rad), degrees(pta), 1e-12);
  EXPECT_NEAR(degrees(plan.tendon_angle_after_rad), 90, 1e-9);
}

// Requirement: along the plateau alone the angle misses 90 by a little only. Bound by hand: the new insertion sees the old
// patella along the normal at L cos(theta); the patella has to climb L (1 - cos(theta)) and does so along the groove, which leans
// by beta from the normal: the tendon tilts by (1 - cos(theta)) tan(beta), to first order, with tan(beta) below 2 (groove under
// 63 deg).
TEST(Advancement, AlongThePlateauComesNearSquare)
{
  const Advancement plan = plan_advancement(Scenario(), make_anatomy(Scenario()));
  const double climb = 1 - std::cos(plan.tendon_angle_before_rad - pi / 2);
  EXPECT_NEAR(plan.tendon_angle_after_rad, pi / 2, 2 * climb);
  EXPECT_LT(plan.tendon_angle_after_rad, plan.tendon_angle_before_rad);
}

// Requirement: the insertion moves by the stated vector in plateau directions; nothing else moves.
TEST(Advancement, MovesTheInsertionOnly)
{
  Scenario s;
  s.advancement.advancement_mm = 9;
  s.advancement.proximal_shift_mm = 2;
  const Anatomy a = make_anatomy(s);
  const OperatedAnatomy bone = repaired(s, a, RepairKind::advancement);
  const Vector3 moved = bone.anatomy.tendon_insertion - a.tendon_insertion;
  // Hand: 9 (cos 25, sin 25) + 2 (-sin 25, cos 25) = (7.3115, 5.6162).
  EXPECT_NEAR(moved.x(), 7.3115, 1e-4);
  EXPECT_NEAR(moved.z(), 5.6162, 1e-4);
  EXPECT_FALSE(bone.levelling.cut);
  EXPECT_EQ(bone.levelling.achieved_angle_rad, a.plateau_angle_rad);
  EXPECT_EQ(bone.plateau_origin.norm(), 0);
  EXPECT_EQ((bone.anatomy.cranial_cruciate_tibia - a.cranial_cruciate_tibia).norm(), 0);
  EXPECT_EQ((bone.anatomy.hamstrings_tibia - a.hamstrings_tibia).norm(), 0);
  EXPECT_EQ(bone.anatomy.plateau_angle_rad, a.plateau_angle_rad);
}

// Requirement: the tendon angle is that of two circles; a larger tibia of the same shape has the same angle.
TEST(Advancement, TendonAngleIsFreeOfScale)
{
  Scenario s;
  s.tibia.length_mm = 120;
  EXPECT_NEAR(reduced_tendon_angle_rad(make_anatomy(s), radians(135)),
              reduced_tendon_angle_rad(make_anatomy(Scenario()), radians(135)), 1e-12);
  EXPECT_NEAR(plan_advancement(s, make_anatomy(s)).advancement_mm,
              0.6 * plan_advancement(Scenario(), make_anatomy(Scenario())).advancement_mm, 1e-12);
}

// Requirement: a spacer gives 15.5 % less than its size; the smallest sufficient one is named.
TEST(Advancement, SpacersLoseTheirPart)
{
  EXPECT_NEAR(advancement_of_spacer_mm(12), 10.14, 1e-12);
  EXPECT_EQ(spacer_for_mm(10.14), 12); // 12 * 0.845 exactly
  EXPECT_EQ(spacer_for_mm(10.2), 13.5);
  EXPECT_EQ(spacer_for_mm(12.6), 15);
  EXPECT_EQ(spacer_for_mm(12.7), std::nullopt); // 15 * 0.845 = 12.675
  Scenario s;
  s.advancement.spacer_mm = 9;
  EXPECT_NEAR(plan_advancement(s, make_anatomy(s)).advancement_mm, 7.605, 1e-12);
}

// Requirement: a tendon that does not pull cranially needs no advancement: refused, not a negative one.
TEST(Advancement, RefusesWhenThereIsNothingToAdvance)
{
  Scenario s;
  s.tibia.plateau_angle_deg = 0; // the tendon angle falls with the slope
  const Anatomy a = make_anatomy(s);
  ASSERT_LT(degrees(reduced_tendon_angle_rad(a, radians(135))), 90);
  EXPECT_THROW(plan_advancement(s, a), Error);
}

// Requirements of the arc cut. Expected values: c = 2 R sin(phi/2) and plane geometry (joint.md section 1).
#include "models/core/error.h"
#include "models/parts/levelling.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
Levelling plan(Scenario s, double target_deg) { return plan_levelling(s, make_anatomy(s), radians(target_deg)); }
Scenario with_offset(double offset_mm)
{
  Scenario s;
  s.tibia.tuberosity_width_mm.reset();
  s.levelling.centre_offset_mm = offset_mm;
  return s;
}
} // namespace

// Requirement J1: the chord follows 2 R sin(phi/2).
TEST(Levelling, ChordFollowsTheArithmetic)
{
  const Anatomy a = make_anatomy(Scenario());
  // 2 * 30 * sin(10.5 deg) = 10.934 mm; 2 * 24 * sin(10 deg) = 8.335 mm.
  EXPECT_NEAR(levelling_about(a, Vector3::Zero(), 30, radians(21)).chord_mm, 10.934, 1e-3);
  EXPECT_NEAR(levelling_about(a, Vector3::Zero(), 24, radians(20)).chord_mm, 8.335, 1e-3);
}

// Requirement J2: a centred arc gives the planned angle.
TEST(Levelling, CentredArcGivesThePlannedAngle) { EXPECT_NEAR(degrees(plan(with_offset(0), 5).achieved_angle_rad), 5.0, 1e-12); }

// Requirement J2: the axis tilts by 2 e sin(phi/2) / length at most; a distal centre comes near that bound.
TEST(Levelling, OffCentreArcTiltsTheAxis)
{
  const Anatomy a = make_anatomy(Scenario());
  const Levelling low = levelling_about(a, Vector3(0, 0, -10), 24, radians(20));
  // Hand calculation: the intercondylar point goes to (10 sin 20, 10 cos 20 - 10) = (3.420, -0.603);
  // tilt = atan(3.420 / 199.397) = 0.9827 deg, so 5.983 deg; bound 5 + 0.99.
  EXPECT_NEAR(degrees(low.achieved_angle_rad), 5.9827, 1e-3);
  EXPECT_LT(degrees(low.achieved_angle_rad), 5.995);
}

// Requirement: a given tuberosity width moves the centre and is met; an offset is kept and the width measured.
TEST(Levelling, MeetsTheTuberosityWidthOrMeasuresIt)
{
  const Levelling met = plan(Scenario(), 6);
  EXPECT_NEAR(met.tuberosity_width_mm, 10.8, 1e-12);
  // Hand calculation: 31 - 10.8 - sqrt(24^2 - 14^2) = 20.2 - 19.4936 = 0.7064 mm.
  EXPECT_NEAR(met.centre.x(), 0.7064, 1e-4);
  EXPECT_NEAR(plan(with_offset(2), 6).tuberosity_width_mm, 31 - 2 - 19.4936, 1e-4);
}

// Requirement: the proximal segment turns as a rigid body, the distal segment and the tendon stay.
TEST(Levelling, MovesExactlyTheProximalSegment)
{
  const Anatomy a = make_anatomy(Scenario());
  const OperatedAnatomy op = operate(a, plan(Scenario(), 5));
  EXPECT_EQ((op.anatomy.tendon_insertion - a.tendon_insertion).norm(), 0);
  EXPECT_EQ((op.anatomy.calcanean_origin - a.calcanean_origin).norm(), 0);
  EXPECT_EQ((op.anatomy.hamstrings_tibia - a.hamstrings_tibia).norm(), 0);
  EXPECT_GT((op.anatomy.cranial_cruciate_tibia - a.cranial_cruciate_tibia).norm(), 1);
  EXPECT_NEAR((op.anatomy.cranial_cruciate_tibia - op.plateau_origin).norm(), a.cranial_cruciate_tibia.norm(), 1e-12);
  EXPECT_NEAR(degrees(op.anatomy.plateau_angle_rad), 5, 1e-12);
  // The turned chord is the chord of the new angle.
  EXPECT_NEAR((op.levelling.turned(plateau_chord(a)) - plateau_chord(op.anatomy)).norm(), 0, 1e-12);
}

// Requirement: without a cut everything is identity.
TEST(Levelling, IsIdentityWithoutACut)
{
  const Anatomy a = make_anatomy(Scenario());
  const OperatedAnatomy op = operate(a, no_levelling(a));
  EXPECT_EQ(op.plateau_origin.norm(), 0);
  EXPECT_EQ(op.anatomy.plateau_angle_rad, a.plateau_angle_rad);
  EXPECT_EQ((op.anatomy.cranial_cruciate_tibia - a.cranial_cruciate_tibia).norm(), 0);
}

// Requirement: at the safe rotation the cranial edge of the segment lies level with the tendon insertion.
TEST(Levelling, SafeRotationBringsTheEdgeToTheInsertion)
{
  const Anatomy a = make_anatomy(Scenario());
  Levelling cut = plan(Scenario(), 5);
  // The edge: on the arc, at the height of the cranial end of the joint surface
  // 14.5 (cos 25, sin 25) - 14.5^2 / 52 (-sin 25, cos 25): z = 6.128 - 3.664 = 2.464 mm.
  const double z = 14.5 * std::sin(radians(25)) - 14.5 * 14.5 / 52 * std::cos(radians(25));
  const Vector3 edge(cut.centre.x() + std::sqrt(24 * 24 - z * z), 0, z);
  cut.rotation_rad = cut.safe_rotation_rad;
  EXPECT_NEAR(cut.moved(edge).z(), a.tendon_insertion.z(), 1e-9);
}

// Requirement: an arc that cannot be is refused with its numbers.
TEST(Levelling, RefusesAnImpossibleArc)
{
  Scenario small;
  small.levelling.saw_radius_mm = 12; // does not reach 14 mm down
  EXPECT_THROW(plan(small, 5), Error);
  EXPECT_THROW(plan(with_offset(15), 5), Error); // passes cranial of the insertion
  Scenario wide;
  wide.tibia.tuberosity_width_mm = 24; // would need the arc 12.5 mm caudal: it cuts the joint surface
  EXPECT_THROW(plan(wide, 5), Error);
}

// Requirements of the landmarks: frames, scaling, ligament lengths, labels.
#include "models/parts/anatomy.h"
#include <gtest/gtest.h>
#include <set>

using namespace stifle;

namespace
{
Anatomy anatomy_of(double length_mm, double plateau_deg)
{
  Scenario s;
  s.tibia.length_mm = length_mm;
  s.tibia.plateau_angle_deg = plateau_deg;
  return make_anatomy(s);
}
} // namespace

// Requirement: the plateau of an unoperated bone falls caudally by its angle.
TEST(Anatomy, PlateauFallsCaudallyByItsAngle)
{
  const Anatomy a = anatomy_of(200, 30);
  // Hand calculation: cos 30 = 0.8660, sin 30 = 0.5; the cranial end is the higher one.
  EXPECT_NEAR(plateau_chord(a).x(), 0.8660254, 1e-7);
  EXPECT_NEAR(plateau_chord(a).z(), 0.5, 1e-12);
  EXPECT_NEAR(plateau_chord(a).dot(plateau_normal(a)), 0, 1e-15);
  EXPECT_GT(plateau_normal(a).z(), 0);
}

// Requirement: at 90 degrees of stifle the femur axis points caudally from the top of the tibia (hip behind the stifle).
TEST(Anatomy, FlexionTurnsTheFemurCaudally)
{
  const Vector3 axis = femur_rotation(radians(90)) * Vector3::UnitZ();
  EXPECT_NEAR((axis - Vector3(-1, 0, 0)).norm(), 0, 1e-12);
  EXPECT_NEAR((femur_rotation(pi) - Matrix3::Identity()).norm(), 0, 1e-12);
}

// Requirement: lengths scale with the tibia, masses with body mass (header of anatomy.h).
TEST(Anatomy, LengthsScaleWithTheTibiaAndMassesWithTheBody)
{
  const Anatomy a = anatomy_of(200, 25), b = anatomy_of(100, 25);
  EXPECT_NEAR((b.tendon_insertion - 0.5 * a.tendon_insertion).norm(), 0, 1e-12);
  EXPECT_NEAR(b.cranial_cruciate_rest_mm, 0.5 * a.cranial_cruciate_rest_mm, 1e-12);
  EXPECT_NEAR(b.calcaneus_tip.norm(), 0.5 * a.calcaneus_tip.norm(), 1e-12);
  EXPECT_NEAR(b.body_weight_n, 30 * 9.80665, 1e-9);
  Scenario heavy;
  heavy.dog.mass_kg = 60;
  EXPECT_NEAR(make_anatomy(heavy).thigh_mass_kg, 0.0605 * 60, 1e-12);
}

// Requirement: another native plateau angle turns the plateau and its landmarks about the intercondylar point; the
// tuberosity stays.
TEST(Anatomy, AnotherNativeAngleTurnsOnlyThePlateau)
{
  const Anatomy a = anatomy_of(200, 25), b = anatomy_of(200, 5);
  EXPECT_NEAR((a.tendon_insertion - b.tendon_insertion).norm(), 0, 1e-12);
  EXPECT_NEAR(a.cranial_cruciate_tibia.dot(plateau_chord(a)), b.cranial_cruciate_tibia.dot(plateau_chord(b)), 1e-12);
  EXPECT_NEAR(a.caudal_cruciate_tibia.dot(plateau_normal(a)), b.caudal_cruciate_tibia.dot(plateau_normal(b)), 1e-12);
}

// Requirement: published ranges hold: cranial cruciate 15-20 mm, calcaneus tip to toe joint 160 mm and calcanean lever
// 32-45 mm at hock 140 (joint.md sections 4 and 6c).
TEST(Anatomy, StaysInThePublishedRanges)
{
  const Anatomy a = anatomy_of(200, 25);
  EXPECT_GT(a.cranial_cruciate_rest_mm, 15);
  EXPECT_LT(a.cranial_cruciate_rest_mm, 20);
  EXPECT_NEAR((a.calcaneus_tip - Vector3(0, 0, -a.foot_length_mm)).norm(), 160, 3);
  // Tendon parallel to the tibia, which leans 40 degrees forward in the foot frame: lever = |tip x (sin 40, cos 40)|.
  const double lever = std::abs(a.calcaneus_tip.x() * std::cos(radians(40)) - a.calcaneus_tip.z() * std::sin(radians(40)));
  EXPECT_GT(lever, 32);
  EXPECT_LT(lever, 45);
}

// Requirement: every number names a label of the project and a source, once.
TEST(Anatomy, EveryNumberNamesItsSource)
{
  const std::set<std::string> labels = {"read", "abstract", "second-hand", "memory", "derived", "assumption", "common practice"};
  std::set<std::string> keys;
  for (const AssumptionRow &row : anatomy_sources())
  {
    EXPECT_TRUE(labels.count(row.label)) << row.key;
    EXPECT_GT(row.source.size(), 5u) << row.key;
    EXPECT_TRUE(keys.insert(row.key).second) << row.key;
  }
}

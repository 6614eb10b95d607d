// Requirements of one dog out of the study: true and measured angles, neutral slopes.
#include "models/core/error.h"
#include "models/study/design_points.h"
#include "tests/models/study/support.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
SampledDog misread(double error_deg, double native_deg = 25)
{
  SampledDog dog = nominal_dog(test::flat(), default_activities());
  const auto inputs = uncertain_inputs(dog.scenario);
  test::input(inputs, "native_plateau_angle").apply(dog, native_deg);
  test::input(inputs, "observer_error").apply(dog, error_deg);
  return dog;
}
} // namespace

// Requirement: an observer who reads 2 deg too much believes in 25 where there are 23, and turns for 25 - 6 = 19 deg: 4 are left.
TEST(SampledJoint, ObserverErrorGoesIntoTheBone)
{
  const SampledDog dog = misread(2);
  EXPECT_NEAR(degrees(unoperated_bone(dog).bone.anatomy.plateau_angle_rad), 23, 1e-9);
  const OperatedAnatomy levelled = sampled_bone(dog, "levelling", 6).bone;
  EXPECT_NEAR(degrees(levelled.levelling.rotation_rad), 19, 1e-9);
  EXPECT_NEAR(degrees(levelled.anatomy.plateau_angle_rad), 4, 1e-9);
}

// Requirement: a row without repair is a dog read as the key, whatever native angle was drawn.
TEST(SampledJoint, KeyIsTheNativeAngleWithoutRepair)
{
  EXPECT_NEAR(degrees(sampled_bone(misread(0.5, 31), "none", 12).bone.anatomy.plateau_angle_rad), 11.5, 1e-9);
}

// Requirement: without errors the bones are those of joint_rows: same thrust.
TEST(SampledJoint, NominalDogIsTheDogOfTheSweep)
{
  const Scenario s = test::small_study(0);
  for (const JointRow &row : joint_rows(s, test::walk()))
  {
    const SampledDog dog = nominal_dog(s, test::walk());
    const JointState state = solve_sampled(dog, sampled_bone(dog, row.repair, row.plateau_angle_target_deg), row.ligament,
                                           {row.set, row.activity, row.percent.value_or(0)});
    EXPECT_EQ(state.thrust_n, row.state.thrust_n);
    EXPECT_EQ(state.cruciate_cranial_n, row.state.cruciate_cranial_n);
  }
}

// Requirement: a word that is no repair is refused by name.
TEST(SampledJoint, RefusesUnknownRepairs) { EXPECT_THROW(sampled_bone(misread(0), "glue", 25), Error); }

// Requirement: an observer who reads 2 deg too much closes a wedge for a plateau 2 deg steeper than it is: aimed at 5, it is 3.
TEST(SampledJoint, ObserverErrorGoesIntoTheWedge)
{
  const OperatedAnatomy wedge = sampled_bone(misread(2), "wedge", 5).bone;
  EXPECT_EQ(wedge.levelling.shape, CutShape::wedge);
  EXPECT_NEAR(degrees(wedge.levelling.achieved_angle_rad), 3, 1e-6);
}

// Requirement: reading the plateau 2 deg too steep reads the tendon angle 2 deg too large: A = L sin(PTA + 2 - 90), hand formula
// of alternatives.md section 2b; the plateau itself is 2 deg flatter than the key.
TEST(SampledJoint, ObserverErrorGoesIntoTheAdvancement)
{
  const SampledBone bone = sampled_bone(misread(2), "advancement", 25);
  const Anatomy before = unoperated_bone(misread(2)).bone.anatomy;
  EXPECT_NEAR(degrees(bone.bone.anatomy.plateau_angle_rad), 23, 1e-9);
  const double angle = reduced_tendon_angle_rad(before, radians(135));
  EXPECT_NEAR((bone.bone.anatomy.tendon_insertion - before.tendon_insertion).norm(),
              before.tendon_length_mm * std::sin(angle + radians(2) - pi / 2), 1e-9);
}

// Requirement: the short search finds what the full scan finds, for drawn dogs, every load set, stand, walk and trot: two
// methods, one answer.
TEST(SampledJoint, NeutralSlopeAgreesWithTheFullScan)
{
  const auto inputs = uncertain_inputs(test::flat());
  const SampledDog nominal = nominal_dog(test::flat(), default_activities());
  int checked = 0, other = 0;
  const std::vector<Activity> gaits = {test::activity("stand"), test::activity("walk"), test::activity("trot")};
  for (const NeutralLine &line : neutral_lines(gaits))
    for (const auto &point : design_points(Design::sobol, 16, inputs.size(), 5))
    {
      const SampledDog dog = sampled_dog(nominal, inputs, point);
      const auto quick = sampled_neutral_deg(dog, line.instant, 12), full = scanned_neutral_deg(dog, line.instant);
      ASSERT_EQ(quick.has_value(), full.has_value());
      ++checked;
      other += quick && std::abs(*quick - *full) > 1e-6;
    }
  EXPECT_EQ(checked, 7 * 16);
  EXPECT_LE(other, 1); // two roots further apart than the search looks
}

// Requirement: under a force along the axis the true neutral slope is 0, whoever reads the film (law).
TEST(SampledJoint, AxialNeutralIsZero)
{
  EXPECT_NEAR(sampled_neutral_deg(misread(1.5), {LoadSet::axial, "", 0}, 12).value(), 0, 1e-6);
}

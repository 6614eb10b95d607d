// Requirements of the closing wedge. Expected values: closed form and table of alternatives.md section 2c; plane geometry.
#include "models/core/error.h"
#include "models/parts/repair.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
const WedgeMeasures large{radians(25), 200, 75, 10};

Scenario wedge_scenario(double wedge_deg)
{
  Scenario s;
  s.repair.kind = {"wedge"};
  s.wedge.wedge_deg = wedge_deg;
  return s;
}

std::vector<Vector3> proximal_points(const OperatedAnatomy &bone)
{
  const Anatomy &a = bone.anatomy;
  return {bone.plateau_origin,     a.tendon_insertion, a.cranial_cruciate_tibia,
          a.caudal_cruciate_tibia, a.secondary_tibia,  a.hamstrings_tibia};
}
} // namespace

// Requirement A10: TPA 25, D 75, L 200, a 10, w 30 / 32.5 give 6.07 / 4.45 deg (0.05).
TEST(Wedge, AchievedAngleFollowsTheClosedForm)
{
  // Hand: 75 * 0.5 + 10 (0.866025 - 1) = 36.1603; 200 - 75 * 0.133975 - 10 * 0.5 = 184.9519; atan = 11.0624; 25 - 30 + 11.0624.
  EXPECT_NEAR(degrees(wedge_achieved_rad(large, radians(30))), 6.0624, 1e-3);
  EXPECT_NEAR(degrees(wedge_achieved_rad(large, radians(30))), 6.07, 0.05);
  EXPECT_NEAR(degrees(wedge_achieved_rad(large, radians(32.5))), 4.45, 0.05);
}

// Requirement: the table of section 2c, printed to 0.1 deg.
TEST(Wedge, AchievedAngleFollowsTheTable)
{
  const double wedge_deg[] = {20, 25, 30, 32.5}, hinge_mm[] = {40, 55, 75};
  const double expected_deg[3][4] = {{8.9, 4.8, 0.6, -1.5}, {10.4, 6.7, 2.9, 1.1}, {12.4, 9.3, 6.1, 4.5}};
  for (int i = 0; i < 3; ++i)
    for (int j = 0; j < 4; ++j)
      EXPECT_NEAR(degrees(wedge_achieved_rad({radians(25), 200, hinge_mm[i], 10}, radians(wedge_deg[j]))), expected_deg[i][j],
                  0.06)
          << hinge_mm[i] << " " << wedge_deg[j];
}

// Requirement: the rigid motion of the bone has the achieved angle of the closed form, for any hinge and wedge.
TEST(Wedge, RigidMotionAgreesWithTheClosedForm)
{
  const Anatomy a = make_anatomy(Scenario());
  for (const double hinge : {40.0, 75.0, 110.0})
    for (const double axis : {0.0, 10.0, 15.0})
      for (const double w : {5.0, 20.0, 32.5, 45.0})
        EXPECT_NEAR(wedge_about(a, Vector3(-axis, 0, -hinge), radians(w)).achieved_angle_rad,
                    wedge_achieved_rad({a.plateau_angle_rad, a.tibia_length_mm, hinge, axis}, radians(w)), 1e-12);
}

// Requirement: with the angle left out, the wedge meets its target.
TEST(Wedge, MeetsTheTarget)
{
  Scenario s;
  for (const double target : {-3.0, 5.0, 12.0})
  {
    const Levelling cut = plan_wedge(s, make_anatomy(s), radians(target));
    EXPECT_NEAR(degrees(cut.achieved_angle_rad), target, 1e-9);
    // First-order rule of the sheet: w = (TPA - target) / (1 - D/L), good to 3 deg here.
    EXPECT_NEAR(degrees(cut.rotation_rad), (25 - target) / (1 - 75.0 / 200), 3.0);
  }
  s.wedge.target_deg = 7;
  EXPECT_NEAR(degrees(plan_wedge(s, make_anatomy(s)).achieved_angle_rad), 7, 1e-9);
}

// Requirement: everything proximal of the wedge moves as one body, the tuberosity with it; the rest stays.
TEST(Wedge, PreservesDistancesOfTheProximalPart)
{
  const Scenario s = wedge_scenario(30);
  const Anatomy a = make_anatomy(s);
  const OperatedAnatomy whole = operate(a, no_levelling(a)), bone = repaired(s, a, RepairKind::wedge);
  const auto before = proximal_points(whole), after = proximal_points(bone);
  for (std::size_t i = 0; i < before.size(); ++i)
  {
    EXPECT_GT((after[i] - before[i]).norm(), 10) << i;
    for (std::size_t j = 0; j < i; ++j)
      EXPECT_NEAR((after[i] - after[j]).norm(), (before[i] - before[j]).norm(), 1e-12);
  }
  EXPECT_EQ((bone.anatomy.hock_centre - a.hock_centre).norm(), 0);
  EXPECT_NEAR((bone.levelling.turned(plateau_chord(a)) - plateau_chord(bone.anatomy)).norm(), 0, 1e-12);
}

// Requirement: what lies below the hinge stays; what moved is still told from what stayed (joint: PointForce::proximal).
TEST(Wedge, TellsMovedFromUnmovedLandmarks)
{
  Scenario s = wedge_scenario(25);
  s.wedge.hinge_distance_mm = 55; // between the hamstrings (45 mm down) and the flexors (60 mm down)
  const Anatomy a = make_anatomy(s);
  s.wedge.wedge_deg = 10; // 15 tan 10 = 2.6 mm high at the hamstrings: they are 10 mm above the hinge
  const OperatedAnatomy bone = repaired(s, a, RepairKind::wedge);
  EXPECT_EQ((bone.anatomy.calcanean_origin - a.calcanean_origin).norm(), 0);
  EXPECT_GT((bone.anatomy.hamstrings_tibia - a.hamstrings_tibia).norm(), 1);
  EXPECT_TRUE(bone.levelling.proximal(bone.anatomy.hamstrings_tibia));
  EXPECT_TRUE(bone.levelling.proximal(bone.anatomy.tendon_insertion));
  EXPECT_FALSE(bone.levelling.proximal(bone.anatomy.calcanean_origin));
}

// Requirement: closing the wedge lays its proximal face on its distal face (square to the axis, through the hinge).
TEST(Wedge, FacesMeetWhenClosed)
{
  const Levelling cut = wedge_about(make_anatomy(Scenario()), Vector3(-10, 0, -75), radians(30));
  for (const double x : {-10.0, 0.0, 12.0})
    EXPECT_NEAR(cut.moved(Vector3(x, 0, -75 + wedge_height_mm(cut, x))).z(), -75, 1e-12);
  EXPECT_NEAR(wedge_height_mm(cut, 10), 20 * std::tan(radians(30)), 1e-12);
}

// Requirement: hinge and axis distance scale with the tibia unless given.
TEST(Wedge, MeasuresScaleWithTheTibia)
{
  Scenario s;
  s.tibia.length_mm = 120;
  const WedgeMeasures small = wedge_measures(s, make_anatomy(s));
  EXPECT_NEAR(small.hinge_distance_mm, 45, 1e-12);
  EXPECT_NEAR(small.axis_distance_mm, 6, 1e-12);
  s.wedge.hinge_distance_mm = 50;
  EXPECT_EQ(wedge_measures(s, make_anatomy(s)).hinge_distance_mm, 50);
  // Similar bones, same wedge: the same angle.
  EXPECT_NEAR(wedge_achieved_rad(small, radians(30)), wedge_achieved_rad(large, radians(30)), 1e-12);
}

// Requirement: a wedge that cuts out an insertion, or a target that no wedge meets, is refused by name.
TEST(Wedge, RefusesAnImpossibleWedge)
{
  Scenario through = wedge_scenario(40); // (5 + 10) tan 40 = 12.6 mm: the wedge from -55 to -42.4 holds the hamstrings at -45
  through.wedge.hinge_distance_mm = 55;
  try
  {
    plan_wedge(through, make_anatomy(through));
    ADD_FAILURE() << "not refused";
  }
  catch (const Error &error)
  {
    EXPECT_NE(std::string(error.what()).find("hamstrings"), std::string::npos) << error.what();
  }
  Scenario high = wedge_scenario(5);
  high.wedge.hinge_distance_mm = 10; // above the tuberosity, 14 mm down
  EXPECT_THROW(plan_wedge(high, make_anatomy(high)), Error);
  EXPECT_THROW(wedge_for_target_rad({radians(25), 200, 180, 10}, radians(0)), Error); // the axis follows the hinge
  EXPECT_THROW(wedge_for_target_rad(large, radians(30)), Error);                      // steeper than before
}

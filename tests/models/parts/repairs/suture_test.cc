// Requirements of the lateral suture. Expected values: springs in series, the stated law, numbers of alternatives.md section 2a.
#include "models/core/error.h"
#include "models/joint/suture_tension.h"
#include "models/parts/repair.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
SutureLine simple_line()
{
  SutureLine line;
  line.rest_mm = 50;
  line.stiffness_n_per_mm = 20;
  line.toe_mm = 0.5;
  return line;
}

double tension_in_reduced_joint(const SutureLine &line, const Anatomy &a, double stifle_deg)
{
  return suture_tension_n(line, reduced_suture_length_mm(line, a, radians(stifle_deg)));
}
} // namespace

// Requirement: slack carries nothing; the toe is quadratic; then the line is straight.
TEST(Suture, TensionFollowsTheLaw)
{
  const SutureLine line = simple_line();
  EXPECT_EQ(suture_tension_n(line, 49.0), 0);
  EXPECT_EQ(suture_tension_n(line, 50.0), 0);
  EXPECT_NEAR(suture_tension_n(line, 50.25), 20 * 0.0625 / 1, 1e-12); // k e^2 / (2 toe)
  EXPECT_NEAR(suture_tension_n(line, 53.0), 20 * (3 - 0.25), 1e-12);
}

// Requirement: differentiated numbers carry the slope of the law, and value and slope do not jump.
TEST(Suture, SlopeIsExactAndContinuous)
{
  const SutureLine line = simple_line();
  const auto slope = [&](double length) { return suture_tension_n(line, Dual::unknown(length, 1)).slope[1]; };
  EXPECT_EQ(slope(49), 0);
  EXPECT_NEAR(slope(50.2), 20 * 0.2 / 0.5, 1e-12);
  EXPECT_NEAR(slope(52), 20, 1e-12);
  for (const double corner : {50.0, 50.5})
  {
    EXPECT_NEAR(slope(corner - 1e-7), slope(corner + 1e-7), 1e-4);
    EXPECT_NEAR(suture_tension_n(line, corner - 1e-7), suture_tension_n(line, corner + 1e-7), 1e-4);
  }
}

// Requirement: the stretch is the law read backwards.
TEST(Suture, StretchInvertsTheLaw)
{
  const SutureLine line = simple_line();
  for (const double tension : {0.0, 0.3, 5.0, 5.1, 40.0, 200.0})
    EXPECT_NEAR(suture_tension_n(line, 50 + suture_stretch_mm(tension, 20, 0.5)), tension, 1e-10);
}

// Requirement: springs in series; limits of a rigid and of a very soft anchor.
TEST(Suture, LineAndAnchorAreInSeries)
{
  EXPECT_NEAR(series_stiffness(30, 60), 20, 1e-12);
  EXPECT_NEAR(series_stiffness(125.7, 1e9), 125.7, 1e-4);
  EXPECT_NEAR(series_stiffness(125.7, 0.1), 0.1, 1e-3);
}

// Requirement: the default anchor is the one that gives 72 N at 5 mm of cranial shift with nylon at 40 deg to the plateau.
TEST(Suture, AnchorComesFromTheJointLevelSecant)
{
  // Hand: 14.4 / cos^2 40 = 14.4 / 0.58682 = 24.539; 1 / 24.539 - 1 / 125.7 = 0.040752 - 0.007955 = 0.032796; 1 / that = 30.49.
  EXPECT_NEAR(anchor_for_secant(14.4, radians(40), 125.7), 30.49, 0.01);
  EXPECT_NEAR(SutureParameters().anchor_stiffness_n_per_mm, 30.49, 0.05);
  const double along = series_stiffness(125.7, SutureParameters().anchor_stiffness_n_per_mm);
  EXPECT_NEAR(along * std::pow(std::cos(radians(40)), 2) * 5, 72, 0.1);
  EXPECT_THROW(anchor_for_secant(80, radians(40), 125.7), Error); // 136 N/mm along the line: the line alone is softer
}

// Requirement: where it was fixed, in the reduced joint, a fresh line pulls with what is left of the pre-tension:
// 75.5 % (nylon), 68.7 % (braid) of 40 N.
TEST(Suture, HoldsItsPreTensionWhereItWasFixed)
{
  Scenario s;
  const Anatomy a = make_anatomy(s);
  for (const double angle : {70.0, 140.0})
  {
    s.suture.fixed_at_deg = angle;
    s.suture.line = "nylon_leader_45kg";
    EXPECT_NEAR(tension_in_reduced_joint(plan_suture(s, a), a, angle), 30.2, 1e-9);
    s.suture.line = "braided_polyethylene";
    EXPECT_NEAR(tension_in_reduced_joint(plan_suture(s, a), a, angle), 27.48, 1e-9);
  }
}

// Requirement: slack and creep lengthen the line by themselves and lower its tension; no cycles, no creep.
TEST(Suture, SlackAndCreepLengthenTheLine)
{
  Scenario s;
  const Anatomy a = make_anatomy(s);
  const SutureLine fresh = plan_suture(s, a);
  EXPECT_EQ(fresh.creep_mm, 0);
  s.suture.slack_mm = 2;
  EXPECT_NEAR(plan_suture(s, a).rest_mm - fresh.rest_mm, 2, 1e-12);
  EXPECT_EQ(tension_in_reduced_joint(plan_suture(s, a), a, 140), 0); // 30.2 N stretch the loop by 30.2/24.5 + 0.25 = 1.48 mm
  s.suture.slack_mm = 0;
  s.suture.cycles = 999; // log10(1000) = 3 decades, 0.5 % each
  const SutureLine used = plan_suture(s, a);
  EXPECT_NEAR(used.creep_mm, 0.015 * used.fixed_length_mm, 1e-12);
  EXPECT_NEAR(used.rest_mm - fresh.rest_mm, used.creep_mm, 1e-12);
  EXPECT_LT(tension_in_reduced_joint(used, a, 140), tension_in_reduced_joint(fresh, a, 140));
}

// Requirement: the ends scale with the tibia; the line itself does not.
TEST(Suture, EndsScaleWithTheTibia)
{
  Scenario s;
  const SutureLine large = plan_suture(s, make_anatomy(s));
  s.tibia.length_mm = 100;
  const SutureLine small = plan_suture(s, make_anatomy(s));
  EXPECT_NEAR((2 * small.tibia - large.tibia).norm(), 0, 1e-12);
  EXPECT_NEAR((2 * small.femur - large.femur).norm(), 0, 1e-12);
  EXPECT_NEAR(2 * small.fixed_length_mm, large.fixed_length_mm, 1e-12);
  EXPECT_EQ(small.stiffness_n_per_mm, large.stiffness_n_per_mm);
  EXPECT_LT(large.tibia.y(), 0); // lateral
  EXPECT_LT(large.femur.y(), 0);
}

// Requirement A2 (part): with the bare line the force for 5 mm of cranial shift at 135 lies in the bench's 0 to 160 N, and the
// work of the line equals its energy (the law is conservative).
TEST(Suture, ResistsCranialShiftWithinTheBenchRange)
{
  Scenario s;
  s.suture.pre_tension_n = 0;
  const Anatomy a = make_anatomy(s);
  const SutureLine line = plan_suture(s, a);
  const Matrix3 turn = femur_rotation(radians(135));
  const auto length = [&](double shift) // the tibia goes cranially: the femur goes caudally
  { return suture_length_mm(line, a.condyle_radius_mm * plateau_normal(a) - shift * plateau_chord(a), turn); };
  const auto energy = [&](double stretch) // integral of the law
  {
    return stretch <= 0
               ? 0
               : line.stiffness_n_per_mm * (stretch * stretch / 2 - line.toe_mm * stretch / 2 + line.toe_mm * line.toe_mm / 6);
  };
  const double h = 1e-4;
  const double slope = (length(5 + h) - length(5 - h)) / (2 * h), force = suture_tension_n(line, length(5)) * slope;
  EXPECT_NEAR((energy(length(5 + h) - line.rest_mm) - energy(length(5 - h) - line.rest_mm)) / (2 * h), force, 1e-5 * force);
  EXPECT_GT(force, 20);
  EXPECT_LT(force, 160);
}

// Requirement: every word of suture.line is a row of the table, and an unknown one is an error.
TEST(Suture, TableHoldsTheTwoMeasuredLines)
{
  EXPECT_EQ(suture_material_names(), (std::vector<std::string>{"nylon_leader_45kg", "braided_polyethylene"}));
  const SutureMaterial &nylon = find_suture_material("nylon_leader_45kg"), &braid = find_suture_material("braided_polyethylene");
  EXPECT_EQ(nylon.stiffness_n_per_mm, 125.7);
  EXPECT_EQ(nylon.elongation_mm, 19.1);
  EXPECT_EQ(braid.stiffness_n_per_mm, 234.6);
  EXPECT_EQ(braid.elongation_mm, 5.2);
  EXPECT_THROW(find_suture_material("string"), Error);
}

// Requirement: the suture rides on the operated bone, where the solver sees it; bone and landmarks stay as they were.
TEST(Suture, RidesOnTheUnoperatedBone)
{
  const Scenario s;
  const Anatomy a = make_anatomy(s);
  const OperatedAnatomy bone = repaired(s, a, RepairKind::suture);
  ASSERT_TRUE(bone.suture);
  EXPECT_FALSE(bone.levelling.cut);
  EXPECT_FALSE(repaired(s, a, RepairKind::none).suture);
  EXPECT_FALSE(repaired(s, a, RepairKind::levelling, radians(6)).suture);
  EXPECT_THROW(repaired(s, a, RepairKind::levelling), Error);
  for (const std::string name : {"none", "levelling", "wedge", "suture", "advancement"})
    EXPECT_EQ(to_string(repair_kind(name)), name);
  EXPECT_THROW(repair_kind("brace"), Error);
}

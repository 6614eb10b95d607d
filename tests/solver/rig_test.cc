// Bench rigs: closed forms and laws; the published tests are rows of `stifle validate`.
#include "models/core/error.h"
#include "scenarios/checks/rig_cases.h"
#include "solver/construct_results.h"
#include "solver/rig.h"
#include <algorithm>
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
Scenario scenario_of(const std::string &kind, double bone_size_mm)
{
  Scenario s;
  s.mesh.bone_size_mm = bone_size_mm, s.mesh.detail_size_mm = 1.2;
  s.rig = RigParameters();
  s.rig.kind = kind;
  return s;
}

struct Tested
{
  RigBench bench;
  RigAnswer answer;
};

Tested tested(const Scenario &s)
{
  const Anatomy anatomy = make_anatomy(s);
  const bool tibia = s.rig.used_specimen() == "tibia";
  Tested t{make_bench(s, tibia ? plan_levelling(s, anatomy, radians(6)) : no_levelling(anatomy)), {}};
  ConstructModel model(t.bench.specimen.construct, t.bench.specimen.anatomy, t.bench.specimen.levelling, t.bench.materials);
  t.answer = solve_rig(t.bench, model);
  return t;
}

double bending_stiffness(const Tested &t)
{
  return f382_bending_stiffness(t.answer.stiffness(), t.bench.rig.span_mm, t.bench.rig.centre_span_mm) / 1e6;
}

Scenario plated_gap()
{
  Scenario s = scenario_of("torsion", 5);
  s.plate.stand_off_mm = 1;
  s.rig.tube_modulus_mpa = 200000;
  return s;
}
} // namespace

// Requirement: the rule of F382 gives the bending stiffness back. Hand (construct.md 1.1): K 1702.99667 N/mm, h 20, k 24 mm is
// 1702.99667 * 400 * 112 / 12 = 6.357854e6 N mm2.
TEST(Rig, RuleOfFourPointBendingGivesTheStiffnessBack)
{
  EXPECT_NEAR(f382_bending_stiffness(1702.99667, 20, 24), 6.357854e6, 10);
}

// Requirement: a plain bar between rollers bends as beam theory says: EI 6.357854 N m2 (construct.md 1.1), within the 2 % allowed to
// solids; nothing holds it. The stress between the rollers, away from them, is M t / 2I = 450.79 MPa at 900 N (rollers raise it locally).
TEST(Rig, PlainBarBendsAsABeam)
{
  Scenario s = scenario_of("four_point_bending", 4);
  s.rig.screws_mm = {}, s.rig.open_holes_mm = {}, s.rig.force_n = 900;
  const Tested t = tested(s);
  EXPECT_NEAR(bending_stiffness(t), 6.357854, 0.02 * 6.357854);
  EXPECT_LT(t.answer.state.reaction_force_n.norm(), 1e-9 * 900);
  EXPECT_LT(t.answer.state.reaction_moment_nmm.norm(), 1e-9 * 900 * 44);
  EXPECT_GT(t.answer.state.peaks.at(0).von_mises_mpa, 0.97 * 450.7889);
  std::printf("  bending stiffness %.4f N m2 (6.3579 by hand), peak %.1f MPa (450.8 between the rollers)\n", bending_stiffness(t),
              t.answer.state.peaks.at(0).von_mises_mpa);
}

// Requirement: open holes soften the plate as the periodic solution says: 0.855 of the solid one for d 3.5 at pitch 13 mm (construct.md
// 1.17, 0.3 %); spans that hold five pitches: 3 %.
TEST(Rig, HolesSoftenThePlate)
{
  const Tested t = tested(scenario_of("four_point_bending", 4));
  EXPECT_NEAR(bending_stiffness(t) / 6.357854, 0.855, 0.03 * 0.855);
  std::printf("  plate with holes over solid: %.4f (0.855)\n", bending_stiffness(t) / 6.357854);
}

// Requirement: a plated gap in torsion is a chain, all of it under the same couple (construct.md 1.11, 1.2), N m/rad:
//   plate    65 mm between the inner screws: GJ 7.9935e6 N mm2 / 65 = 123.0 solid; 98.6 when over each of the four holes of 3.5 mm only
//            the two strips beside it twist (J = bt^3/3 - ... of 3.3 and the width left, integrated along the hole)
//   screw    EI / s = 670.1 over the stand-off of 1 mm and the end of a beam in the thread layer k_f = 200000/0.3 x pi 2.9, L = 1.2269/mm,
//            M/theta = k_f / 4 L^3 = 822.1: together 369.2; clamped half a core deep in the tube instead 273.5
//   group    three of them, 13 mm of plate (615) between: 673; 538 when clamped deeper
// 1 / (1/plate + 2/group), with the tubes (12 371 each), lies between 71.3 and 88.8. Tubes of bone are softer; stiff ones turn as one.
TEST(Rig, PlatedGapTwistsAsAChain)
{
  Scenario s = plated_gap();
  const Tested stiff = tested(s);
  s.rig.tube_modulus_mpa = 16000;
  const Tested soft = tested(s);
  EXPECT_GT(stiff.answer.stiffness() / 1000, 71.3);
  EXPECT_LT(stiff.answer.stiffness() / 1000, 88.8);
  EXPECT_LT(soft.answer.stiffness(), stiff.answer.stiffness());
  EXPECT_GT(soft.answer.stiffness(), 0);
  EXPECT_NEAR(stiff.answer.turn_rad.z(), stiff.answer.displacement, 0.05 * stiff.answer.displacement);
  std::printf("  torsion %.1f N m/rad on stiff tubes, %.1f on tubes of bone\n", stiff.answer.stiffness() / 1000, soft.answer.stiffness() / 1000);
}

// Requirement (C24): the drift of the plateau is the turn about y, > 0 where a force caudal of the axis (couple about -y) presses the
// caudal end down. Hand, the plate bending in its plane, rad per N mm:
//   span     65 mm, I = 3.3 x 11^3 / 12 = 366.0 mm4 (354.2 over the four holes): 9.27e-7
//   end      beam on three supports 13 mm apart, turned at its end, with shear (13 mm long, 11 deep), by least energy. A support gives
//            5.36e-6 mm/N: shaft of 1 mm (bending 0.50, shear 2.25) on the end of a beam in the thread layer (2.61; k_f and L as above).
//            Bending 6.134 (1 + m + 2 m2), shear 3.40 (1 - 2 m + 2 m2), supports 3.164 (2 - 6 m + 6 m2), least at m = 0.258: 1.33e-7
// Together 1.193e-6 (1.168e-6 when the head does not tilt); within 10 %.
TEST(Rig, DriftIsTheTurnOfThePlateInItsPlane)
{
  const Scenario s = plated_gap();
  RigBench bench = make_bench(s, no_levelling(make_anatomy(s)));
  bench.unit = {{"plateau", Vector3::Zero(), Vector3::Zero(), true, -Vector3::UnitY()}};
  ConstructModel model(bench.specimen.construct, bench.specimen.anatomy, bench.specimen.levelling, bench.materials);
  const RigAnswer answer = solve_rig(bench, model);
  const double hand = 1.193e-6 * bench.size(), drift = SegmentTurn(model.elasticity()).plateau_drift_deg(model.displacement());
  EXPECT_NEAR(radians(drift), hand, 0.1 * hand);
  EXPECT_GT(answer.displacement, radians(drift)); // the ends of the tubes: these bend along
  std::printf("  turn in the plane of the plate %.4g rad (%.4g by hand)\n", radians(drift), hand);
}

// Requirement: a closed cut scales with the load (contact and friction do), so both loads give one stiffness; the talar end takes
// the whole force and no moment about the hock, because the force runs through it. The stiffness lies between two chains by hand:
// the shaft alone, 1 / integral of dz / EA = 10 050 N/mm (sections of mesh/bone_shape.cc, integrated apart in Python), and with the
// patches on the plateau in it, 2 x 7980 N/mm: a circle of 5 mm on 2 mm of cortex (a plate, D = 11 722 N mm) on a half-space of
// cancellous bone, 0.67 of F l^2 / (3 sqrt(3) D) with l^3 = 2 D (1 - nu^2) / E in the mean (Hankel integral, apart): 6165 N/mm.
TEST(Rig, AxialConstructScalesAndBalances)
{
  const Tested t = tested(scenario_of("axial", 5.5));
  EXPECT_NEAR(t.answer.low_displacement / 50, t.answer.displacement / 1000, 1e-6 * t.answer.displacement / 1000);
  EXPECT_NEAR(t.answer.state.reaction_force_n.norm(), 1000, 1e-6);
  EXPECT_LT(t.answer.state.reaction_moment_nmm.norm(), 1e-6 * 1000);
  EXPECT_GT(t.answer.stiffness(), 6165);
  EXPECT_LT(t.answer.stiffness(), 10050);
  EXPECT_GT(t.answer.bone_limit_size, t.answer.damage.front().size); // a share of the bone passes later than its worst place
  std::printf("  axial stiffness %.0f N/mm, first damage %s at %.0f N, bone limit %.0f N\n", t.answer.stiffness(),
              t.answer.damage.front().part.c_str(), t.answer.damage.front().size, t.answer.bone_limit_size);
}

// Requirement: free body of a screw that nothing but its thread holds: the pulled one carries the pull, the others nothing.
TEST(Rig, PulledScrewCarriesThePullAlone)
{
  Scenario s = scenario_of("pull_out", 5.5);
  s.rig.screw = 2, s.rig.force_n = 300;
  const Tested t = tested(s);
  ASSERT_EQ(t.answer.state.screws.size(), 6u);
  for (const ScrewResult &screw : t.answer.state.screws)
    EXPECT_NEAR(screw.axial_n, screw.screw == "screw_2" ? 300 : 0, 0.01) << screw.screw;
  EXPECT_LT(t.answer.state.reaction_force_n.norm(), 1e-6);
  EXPECT_GT(t.answer.stiffness(), 0);
}

// Requirement: what cannot be put on the bench is refused by name.
TEST(Rig, RefusesSpecimensThatCannotBe)
{
  Scenario s = scenario_of("torsion", 5);
  s.rig.screws_mm = {24, -32};
  EXPECT_THROW(mesh::check_straight_specimen(s), Error); // its thread meets the gap at 23.5 mm
  s = scenario_of("four_point_bending", 5);
  s.rig.specimen = "tubes";
  EXPECT_THROW(mesh::check_straight_specimen(s), Error); // rollers 24 mm apart over a gap of 47 mm
  s = scenario_of("four_point_bending", 5);
  s.plate.width_mm = 5;
  EXPECT_THROW(mesh::check_straight_specimen(s), Error); // 0.75 mm beside a hole of 3.5 mm
}

// Requirement (J23, C22): the step test follows S12. Hand: at a life of 40 250 loadings under any load, 30 000 use 0.745342 and each
// step 500 / 40 250, so the 21st passes 1: 40 500 loadings, 1000 + 21 * 75 = 2575 N. The sheet's own check (construct.md section 4):
// loadings = 30 000 + 500 (F - 1000) / 75. A limb that lasts no loading of the first block fails at 1000 N, before any step.
TEST(Rig, StepTestFollowsItsSource)
{
  const checks::StepTest test = checks::step_test([](double) { return 40250.0; });
  EXPECT_NEAR(test.usage_before_steps, 30000.0 / 40250, 1e-12);
  EXPECT_EQ(test.loadings, 40500);
  EXPECT_EQ(test.load_n, 2575);
  EXPECT_EQ(checks::step_test([](double) { return 20000.0; }).load_n, 1000);
  // Endless below 3050 N, less than a step from there on: fails in the first step beyond, 1000 + 28 * 75 N.
  EXPECT_EQ(checks::step_test([](double scale) { return scale < 3.05 ? 1e12 : 100.0; }).load_n, 3100);
}

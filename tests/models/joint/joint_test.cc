// Requirements of a solved joint in two and in three dimensions: closed free body, load sets, ligament states, neutral slopes.
#include "models/core/error.h"
#include "tests/models/joint/support.h"
#include <gtest/gtest.h>

using namespace stifle;
using test::solve;

namespace
{
/// Laws that hold in both models.
class Joint : public testing::TestWithParam<int>
{
protected:
  Scenario scenario = test::in_dimension(GetParam());
};
class Neutral : public Joint
{
};
INSTANTIATE_TEST_SUITE_P(Dimension, Joint, testing::Values(2, 3));
INSTANTIATE_TEST_SUITE_P(Dimension, Neutral, testing::Values(2, 3));

/// Largest unbalanced force and moment about the medial axis through the hock (the moment over the tibia's length), relative to the
/// hock force. About the other axes the foot passes moments on: spatial_joint_test.cc.
double unbalanced(const JointState &state, const Vector3 &hock, bool with_moment = true)
{
  const Vector6 sum = test::free_body(state, hock, hock);
  return std::max(sum.head<3>().norm(), with_moment ? std::abs(sum(4)) / 200 : 0.0) / state.hock_on_tibia.norm();
}
} // namespace

// Requirement: the free body of the tibia closes in force and moment to 1e-8 of the load, for every activity, ligament state,
// slope and several instants (law: static equilibrium).
TEST_P(Joint, FreeBodyOfTheTibiaCloses)
{
  Scenario s = scenario;
  for (const std::string name : {"stand", "walk", "trot"})
    for (const double slope : {25.0, 15.0, 10.0, 6.0, 0.0, -5.0})
      for (const LigamentState ligament : test::ligament_states)
        for (const double percent : {25.0, 50.0, 75.0})
        {
          const JointState state = solve(s, slope, ligament, LoadSet::stance, name, percent);
          ASSERT_TRUE(state.converged) << name << ' ' << slope << ' ' << to_string(ligament) << ' ' << percent << ": " << state.reason;
          EXPECT_FALSE(state.quadriceps_clipped);
          EXPECT_LT(unbalanced(state, make_anatomy(s).hock_centre), 1e-8) << name << ' ' << slope << ' ' << percent;
        }
}

// Requirement: the same with hamstrings, an offset tendon, unequal condyles and in the sets press and tendon.
TEST_P(Joint, FreeBodyClosesWithEveryForce)
{
  Scenario s = scenario;
  s.limb.hamstrings_n = 60;
  s.joint.contact_medial_share = 0.6;
  s.joint.tendon_offset_medial_mm = 2;
  EXPECT_LT(unbalanced(solve(s, 25, LigamentState::torn, LoadSet::stance), make_anatomy(s).hock_centre), 1e-8);
  for (const LoadSet set : {LoadSet::press, LoadSet::tendon})
    for (const LigamentState ligament : test::ligament_states)
      EXPECT_LT(unbalanced(solve(s, 10, ligament, set), make_anatomy(s).hock_centre), 1e-8) << to_string(set);
}

// Requirement, in the plane: the hock force is that of the foot's own balance in the pose: ground force + foot weight + calcanean force.
TEST(JointInThePlane, HockForceIsThatOfTheFoot)
{
  Scenario s = test::in_dimension(2);
  const OperatedAnatomy bone = test::bone_at(s, 25);
  const Activity walk = test::activity("walk");
  const StanceLoad load = sagittal(stance_load(s, bone.anatomy, walk, 50));
  const JointState state = solve_joint({s, bone, LigamentState::torn, LoadSet::stance, load});
  const Vector3 fabella = state.femur_origin + femur_rotation(load.stifle_angle_rad) * bone.anatomy.gastrocnemius_origin;
  const FootBalance foot = foot_balance(load, fabella, bone.anatomy.calcanean_origin);
  EXPECT_NEAR((foot.hock_on_tibia - state.hock_on_tibia).norm(), 0, 1e-9);
  EXPECT_NEAR(foot.gastrocnemius_n, state.gastrocnemius_n, 1e-9);
}

// Requirement J3: a force along the functional axis gives thrust F sin(slope) and compression F cos(slope).
TEST_P(Joint, AxialForceFollowsTheSlopeRule)
{
  Scenario s = scenario;
  s.loads.axial_force_n = 100;
  for (const double slope : {25.0, 6.5})
    for (const LigamentState ligament : test::ligament_states)
    {
      const double achieved = test::bone_at(s, slope).levelling.achieved_angle_rad;
      const JointState state = solve(s, slope, ligament, LoadSet::axial);
      EXPECT_NEAR(state.thrust_n, 100 * std::sin(achieved), 1e-9);
      EXPECT_NEAR(state.normal_n, 100 * std::cos(achieved), 1e-9);
      EXPECT_EQ(state.patellar_tendon_n, 0);
      EXPECT_LT(unbalanced(state, Vector3(0, 0, -200), false), 1e-8); // the rig holds the moment
    }
}

// Requirement: thrust is posed with intact ligaments, so it is equal for intact and torn (design.md "Joint").
TEST_P(Joint, ThrustIsEqualForIntactAndTorn)
{
  for (const std::string name : {"stand", "walk", "trot"})
    EXPECT_EQ(solve(scenario, 25, LigamentState::intact, LoadSet::stance, name).thrust_n,
              solve(scenario, 25, LigamentState::torn, LoadSet::stance, name).thrust_n);
}

// Requirement: a torn ligament carries nothing and, under cranial thrust, the tibia goes cranially.
TEST_P(Joint, TornLigamentLetsTheTibiaGoCranially)
{
  const JointState intact = solve(scenario, 25, LigamentState::intact, LoadSet::stance);
  const JointState torn = solve(scenario, 25, LigamentState::torn, LoadSet::stance);
  EXPECT_GT(intact.thrust_n, 0);
  EXPECT_GT(intact.cruciate_cranial_n, 0);
  EXPECT_EQ(torn.cruciate_cranial_n, 0);
  EXPECT_GT(torn.translation_cranial_mm, intact.translation_cranial_mm + 1);
}

// Requirement: the groove is free of friction: tendon at the lower and quadriceps at the upper pole of the patella turn it about the
// centre of the trochlea alike, and they differ.
TEST(JointInThePlane, QuadricepsBalancesTheTendonAboutTheTrochlea)
{
  const Scenario s = test::in_dimension(2);
  const JointState state = solve(s, 25, LigamentState::intact, LoadSet::stance);
  const Anatomy a = make_anatomy(s);
  const Matrix3 turn = femur_rotation(stance_load(s, a, test::activity("walk"), 50).stifle_angle_rad);
  const Vector3 centre = state.femur_origin + turn * a.trochlea_centre, lower = state.patella - centre;
  const Vector3 upper = rotation_about_y(a.joint.patella_length_mm / a.trochlea_radius_mm) * lower;
  Vector3 pull = (state.femur_origin + turn * a.quadriceps_origin - centre - upper).normalized();
  if (pull.dot(upper) < 0) // the straight line cuts the circle: it wraps along the tangent
    pull = upper.normalized().cross(Vector3::UnitY());
  const Vector3 tendon = (a.tendon_insertion - state.patella).normalized();
  const double turning = (state.patellar_tendon_n * lower.cross(tendon) + state.quadriceps_n * upper.cross(pull)).y();
  EXPECT_NEAR(turning, 0, 1e-9 * state.quadriceps_n * lower.norm());
  EXPECT_NEAR((state.patella - a.tendon_insertion).norm(), a.tendon_length_mm, 1e-9);
  EXPECT_GT(std::abs(state.quadriceps_n - state.patellar_tendon_n), 0.1);
}

// Requirement: a load that straightens the stifle asks for no quadriceps: set to 0 and named, forces still balance.
TEST_P(Joint, NamesAQuadricepsNeedBelowZero)
{
  Scenario s = scenario;
  const OperatedAnatomy bone = test::bone_at(s, 25);
  StanceLoad load = stance_load(s, bone.anatomy, test::activity("stand"), 50);
  load.has_muscle = false;
  load.ground_force = Vector3(0, 0, 200);
  load.centre_of_pressure = Vector3(60, 0, -300); // cranial of the stifle: straightens it
  const JointState state = solve_joint({s, bone, LigamentState::intact, LoadSet::stance, load});
  ASSERT_TRUE(state.converged);
  EXPECT_TRUE(state.quadriceps_clipped);
  EXPECT_EQ(state.patellar_tendon_n, 0);
  EXPECT_LT(unbalanced(state, bone.anatomy.hock_centre, false), 1e-8);
}

// Requirement: a ground force caudal of the hock would need a pushing calcanean tendon: set to 0 and named, forces still balance.
TEST_P(Joint, NamesACalcaneanNeedBelowZero)
{
  const OperatedAnatomy bone = test::bone_at(scenario, 25);
  StanceLoad load = sagittal(stance_load(scenario, bone.anatomy, test::activity("stand"), 50));
  load.foot_weight.setZero();
  load.centre_of_pressure = load.hock_centre - 10 * load.ground_force.normalized(); // through the hock: no moment
  load.centre_of_pressure.x() -= 10;                                                 // and behind it
  const JointState state = solve_joint({scenario, bone, LigamentState::intact, LoadSet::stance, load});
  ASSERT_TRUE(state.converged) << state.reason;
  EXPECT_TRUE(state.calcanean_clipped);
  EXPECT_EQ(state.gastrocnemius_n, 0);
  EXPECT_LT(unbalanced(state, bone.anatomy.hock_centre, false), 1e-8);
  EXPECT_FALSE(solve(scenario, 25, LigamentState::intact, LoadSet::stance).calcanean_clipped);
}

// Requirement: hamstrings lower the thrust (joint.md 6b: co-contraction lowers S).
TEST_P(Joint, HamstringsLowerTheThrust)
{
  Scenario with = scenario;
  with.limb.hamstrings_n = 50;
  EXPECT_LT(solve(with, 25, LigamentState::intact, LoadSet::stance).thrust_n,
            solve(scenario, 25, LigamentState::intact, LoadSet::stance).thrust_n - 10);
}

// Requirement: a joint that slides off its plateau is reported, never a silent number.
TEST(JointInThePlane, SaysWhenItDoesNotConverge)
{
  Scenario s = test::in_dimension(2);
  s.tibia.plateau_angle_deg = 35;
  s.joint.secondary_stiffness_n_per_mm = 1; // nothing holds a torn joint
  const JointState state = solve(s, 35, LigamentState::torn, LoadSet::stance, "trot");
  EXPECT_FALSE(state.converged);
  EXPECT_TRUE(state.on_tibia.empty());
}

// Requirement: axial neutral at 0 exactly (design.md "Load sets").
TEST_P(Neutral, AxialForceIsNeutralOnALevelPlateau)
{
  Scenario s = scenario;
  const auto angle = neutral_plateau_angle(s, make_anatomy(s), LoadSet::axial, nullptr, 0);
  ASSERT_TRUE(angle);
  EXPECT_LT(std::abs(degrees(*angle)), 1e-6);
}

// Requirement: in the set tendon the neutral slope is plateau angle - (tendon angle - 90), the tendon angle taken between the
// unoperated plateau line and the tendon as it stands at that slope (identity of design.md, 0.1 deg).
TEST_P(Neutral, TendonSetFollowsItsIdentity)
{
  Scenario s = scenario;
  const Anatomy a = make_anatomy(s);
  const auto angle = neutral_plateau_angle(s, a, LoadSet::tendon, nullptr, 0);
  ASSERT_TRUE(angle);
  const JointState state = solve(s, degrees(*angle), LigamentState::intact, LoadSet::tendon);
  const Vector3 tendon = (state.patella - a.tendon_insertion).normalized();
  const double tendon_angle = 180 - degrees(std::acos(tendon.dot(plateau_chord(a))));
  EXPECT_NEAR(degrees(*angle), 25 - (tendon_angle - 90), 0.1);
}

// Requirement: thrust vanishes at the neutral slope of a stance.
TEST_P(Neutral, ThrustVanishesThere)
{
  Scenario s = scenario;
  const Activity walk = test::activity("walk");
  const auto angle = neutral_plateau_angle(s, make_anatomy(s), LoadSet::stance, &walk, 50);
  ASSERT_TRUE(angle);
  EXPECT_NEAR(solve(s,
                    degrees(*angle) - degrees(test::bone_at(s, degrees(*angle)).levelling.achieved_angle_rad) + degrees(*angle),
                    LigamentState::intact, LoadSet::stance)
                  .thrust_n,
              0, 1e-2);
}

// Requirement: where thrust is not monotone in the slope, the neutral slope is the one that levelling meets first. Expected: a scan
// down from 25 deg in steps of 0.05, the first angle at which thrust is no longer cranial.
TEST_P(Neutral, IsTheFirstThatLevellingMeetsAtTrot)
{
  Scenario s = scenario;
  const Activity trot = test::activity("trot");
  const auto angle = neutral_plateau_angle(s, make_anatomy(s), LoadSet::stance, &trot, 50);
  ASSERT_TRUE(angle);
  double target = 25;
  const double step = 0.05;
  while (target > -10 && test::solve(s, target, LigamentState::intact, LoadSet::stance, "trot").thrust_n > 0)
    target -= step;
  EXPECT_NEAR(degrees(*angle), degrees(test::bone_at(s, target).levelling.achieved_angle_rad), 0.051);
}

// Requirement: an unknown word is refused.
TEST(JointWords, RefusesUnknownWords)
{
  EXPECT_THROW(ligament_state("ruptured"), Error);
  EXPECT_THROW(load_set("drop"), Error);
  for (const LoadSet set : {LoadSet::stance, LoadSet::press, LoadSet::axial, LoadSet::tendon})
    EXPECT_EQ(load_set(to_string(set)), set);
}

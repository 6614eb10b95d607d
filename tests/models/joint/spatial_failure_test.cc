// Requirements of a joint that cannot be: `converged` false, a reason, and no number that is not finite - never a crash.
#include "models/joint/tables.h"
#include "tests/models/joint/support.h"
#include <gtest/gtest.h>
#include <limits>

using namespace stifle;

namespace
{
JointCase walk_case(LigamentState ligament = LigamentState::intact) { return test::stance_case(Scenario(), 25, ligament); }

/// Either solved or refused with a reason; a row of it can always be written.
void expect_honest(const JointCase &c, const std::string &what)
{
  const JointState state = solve_joint(c);
  JointRow row;
  row.load.stifle_angle_rad = radians(140);
  row.load.ground_force = Vector3(0, 0, 100);
  row.state = state;
  row.spatial = row.reference_converged = true;
  std::string csv;
  ASSERT_NO_THROW(csv = joint_table({row}).csv()) << what; // Table refuses NaN and infinity
  ASSERT_NO_THROW(joint_pose_table({row}).csv()) << what;
  if (state.converged)
  {
    EXPECT_TRUE(state.reason.empty()) << what;
    EXPECT_LT(state.residual_n, 1e-6 * (1 + c.load.ground_force.norm())) << what;
    return;
  }
  EXPECT_FALSE(state.reason.empty()) << what;
  EXPECT_TRUE(state.on_tibia.empty()) << what;
  EXPECT_EQ(state.thrust_n, 0) << what;
  EXPECT_NE(csv.find(",false,"), std::string::npos) << what;
}
void expect_refused(const JointCase &c, const std::string &what)
{
  EXPECT_FALSE(solve_joint(c).converged) << what;
  expect_honest(c, what);
}
} // namespace

// Requirement: a flexion at which the tendon cannot reach the trochlea is refused by name. Hand: the tendon of 40 mm and the
// circle of 22 mm span 62 mm at most; a trochlea moved 80 mm further away is out of reach at any flexion.
TEST(SpatialFailure, FlexionOutOfReachIsNamed)
{
  JointCase c = walk_case();
  c.bone.anatomy.trochlea_centre.z() += 80;
  expect_refused(c, "trochlea far away");
  EXPECT_NE(solve_joint(c).reason.find("tendon"), std::string::npos);
  EXPECT_FALSE(solve_joint(c).dislocates); // the case cannot be: no joint has slipped
}

// Requirement: any stifle angle, also an impossible one, is answered honestly.
TEST(SpatialFailure, AnyFlexionIsAnsweredHonestly)
{
  for (const LigamentState ligament : test::ligament_states)
    for (const double angle : {0.0, 20.0, 60.0, 100.0, 175.0, 200.0, 260.0, 359.0})
    {
      JointCase c = walk_case(ligament);
      c.load.stifle_angle_rad = radians(angle);
      expect_honest(c, "stifle angle " + std::to_string(angle));
    }
}

// Requirement: slack so large that nothing holds the joint: not converged, with a reason. Level flat plateaus, no menisci, every
// bundle slack and a side force: there is no balance (law: no force along a frictionless plane).
TEST(SpatialFailure, AnUnconstrainedJointIsRefused)
{
  JointCase c = walk_case();
  JointParts &j = c.bone.anatomy.joint;
  for (Bundle &b : j.bundles)
    b.rest_mm *= 10;
  for (int side : {medial, lateral})
  {
    j.menisci[side].removed = true;
    j.plateaus[side].sagittal_radius_mm = 1000;
  }
  c.load.ground_force.y() += 20;
  expect_refused(c, "slack");
  const JointState state = solve_joint(c);
  EXPECT_TRUE(state.dislocates) << state.reason;
  EXPECT_EQ(state.reason.find("the joint dislocates"), 0u) << state.reason;
}

// Requirement: no bundle at all and no contact at all are answered.
TEST(SpatialFailure, MissingPartsAreAnswered)
{
  JointCase c = walk_case();
  c.bone.anatomy.joint.bundles.clear();
  expect_honest(c, "no bundle");
  JointCase apart = walk_case();
  for (int side : {medial, lateral})
    apart.bone.anatomy.joint.condyles[side].centre.y() += side == medial ? 60 : -60; // beside their plateaus
  expect_honest(apart, "no contact");
}

// Requirement: surfaces that start deeper in one another than their cartilage is thick are refused by that name, in a state and
// in a row; a little deeper than usual is no error. Hand: the condyles touch on the intercondylar line, so one that is R + d
// large, its axis held, starts d deeper.
TEST(SpatialFailure, InterpenetratingSurfacesAreRefusedByName)
{
  const double cartilage_mm = Scenario().joint.layer_thickness_mm;
  for (const LigamentState ligament : test::ligament_states)
    for (const double deeper : {1.1 * cartilage_mm, 5.0, 12.0})
    {
      JointCase both = walk_case(ligament), one = walk_case(ligament);
      both.bone.anatomy.joint.reference_indentation_mm += deeper;
      one.bone.anatomy.joint.condyles[lateral].sagittal_radius_mm += deeper;
      for (const JointCase &c : {both, one})
      {
        expect_refused(c, std::to_string(deeper));
        EXPECT_NE(solve_joint(c).reason.find("interpenetrate"), std::string::npos) << deeper << ": " << solve_joint(c).reason;
      }
    }
  JointCase slightly = walk_case();
  slightly.bone.anatomy.joint.reference_indentation_mm += 0.2 * cartilage_mm;
  EXPECT_TRUE(solve_joint(slightly).converged) << solve_joint(slightly).reason;
}

// Requirement: absurd loads are answered: none, enormous, pulling the joint apart, not a number, infinite.
TEST(SpatialFailure, AbsurdLoadsAreAnswered)
{
  const double nan = std::numeric_limits<double>::quiet_NaN(), infinity = std::numeric_limits<double>::infinity();
  for (const double factor : {0.0, 1e3, 1e6, 1e12, -1.0, -10.0, 1e200, nan, infinity})
    for (const LigamentState ligament : test::ligament_states)
    {
      JointCase c = walk_case(ligament);
      c.load.ground_force *= factor;
      expect_honest(c, "ground force x " + std::to_string(factor));
    }
  JointCase c = walk_case();
  c.load.ground_force = Vector3(nan, 0, 100);
  expect_refused(c, "NaN");
}

// Requirement: landmarks that are not numbers never give numbers that are none.
TEST(SpatialFailure, LandmarksThatAreNotNumbersAreRefused)
{
  const double nan = std::numeric_limits<double>::quiet_NaN();
  JointCase c = walk_case();
  c.bone.anatomy.tendon_insertion.x() = nan;
  expect_refused(c, "tendon");
  JointCase bundle = walk_case();
  bundle.bone.anatomy.joint.bundles[0].femur.y() = nan;
  expect_honest(bundle, "bundle");
  JointCase condyle = walk_case();
  condyle.bone.anatomy.joint.condyles[medial].sagittal_radius_mm = nan;
  expect_refused(condyle, "condyle");
}

// Requirement: stiffnesses far out of the usual are answered.
TEST(SpatialFailure, ExtremeStiffnessIsAnswered)
{
  for (const double factor : {1e-4, 1e-2, 1e2, 1e4})
  {
    JointCase c = walk_case(LigamentState::torn);
    for (Bundle &b : c.bone.anatomy.joint.bundles)
      b.stiffness_n_per_mm *= factor;
    expect_honest(c, "bundles x " + std::to_string(factor));
    JointCase layer = walk_case(LigamentState::torn);
    layer.scenario.joint.layer_modulus_mpa *= factor;
    expect_honest(layer, "layer x " + std::to_string(factor));
  }
}

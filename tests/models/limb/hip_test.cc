#include "models/limb/hip.h"

#include "tests/models/limb/sheet_anatomy.h"

#include <gtest/gtest.h>

using namespace stifle;

namespace
{
/// Upright limb, ground force straight up 20 mm in front of the toe joint, hock and hip above it; no weights.
struct Upright
{
  Anatomy anatomy = sheet_anatomy();
  StanceLoad load;
  Upright()
  {
    anatomy.thigh_mass_kg = anatomy.crus_mass_kg = anatomy.foot_mass_kg = 0;
    load = stance_load(Scenario(), anatomy, posture(0, 0, 0, 0.5, 0, 20), 50); // 0.5 * 294.2 = 147.1 N
  }
};
} // namespace

// Requirement: extensors balance the ground force about the hip, and the pelvis presses with ground force plus muscle.
// Hand calculation: need 147.1*20 = 2942 N mm; /35 mm = 84.057 N; contact 147.1 + 84.057 = 231.157 N downwards.
TEST(HipForce, BalancesTheLimbWithExtensors)
{
  const Upright limb;
  const HipForce hip = hip_force(limb.load, limb.anatomy, 0);
  EXPECT_NEAR(hip.extensor_n, 84.057, 1e-3);
  EXPECT_NEAR((hip.contact - Vector3(0, 0, -231.157)).norm(), 0, 1e-3);
  EXPECT_NEAR(hip.contact_bw, 231.157 / 294.2, 1e-5);
}

// Requirement: the sagittal hip model leaves out the side force, and the frame does not matter to its size.
TEST(HipForce, LeavesOutTheSideForceInAnyFrame)
{
  Upright limb;
  limb.load.ground_force.y() = 30;
  EXPECT_NEAR((hip_force(limb.load, limb.anatomy, 0).contact - Vector3(0, 0, -231.157)).norm(), 0, 1e-3);
  const StanceLoad turned = rotated(limb.load, Eigen::AngleAxisd(0.8, Vector3(1, 1, 1).normalized()).matrix());
  EXPECT_NEAR(hip_force(turned, limb.anatomy, 0).contact.norm(), 231.157, 1e-3);
}

// Requirement: the part of the quadriceps that crosses the hip must be balanced there by more extensor.
// Hand calculation, 200 N: rectus 50 N, 50*25/35 = 35.714 N more extensor; contact + 85.714 N.
TEST(HipForce, BalancesTheRectusFemoris)
{
  const Upright limb;
  const HipForce hip = hip_force(limb.load, limb.anatomy, 200);
  EXPECT_NEAR(hip.rectus_n, 50, 1e-12);
  EXPECT_NEAR(hip.contact.z(), -(231.157 + 85.714), 1e-3);
}

// Requirement: a ground force behind the hip is met by flexors, which press the joint as well.
TEST(HipForce, UsesFlexorsWhenTheNeedTurnsOver)
{
  Upright limb;
  limb.load.centre_of_pressure.x() = -20;
  const HipForce hip = hip_force(limb.load, limb.anatomy, 0);
  EXPECT_NEAR(hip.extensor_n, -84.057, 1e-3);
  EXPECT_NEAR(hip.contact.z(), -231.157, 1e-3);
}

#include "models/limb/statics.h"

#include "models/core/error.h"
#include "tests/models/limb/sheet_anatomy.h"

#include <gtest/gtest.h>

using namespace stifle;

namespace
{
StanceLoad load_of(const Activity &activity, const Anatomy &anatomy = sheet_anatomy())
{
  return stance_load(Scenario(), anatomy, activity, 50);
}

/// Moment about +y, written with the cross product (the code under test uses its own formula).
double moment_nmm(const Vector3 &point, const Vector3 &about, const Vector3 &force) { return (point - about).cross(force).y(); }

/// A foot under the hock with 100 N straight up, `ahead_mm` in front of the hock; no weights.
StanceLoad simple_foot(double ahead_mm)
{
  StanceLoad load;
  load.hock_centre = Vector3(0, 0, -200);
  load.centre_of_pressure = Vector3(ahead_mm, 0, -320);
  load.calcaneus_tip = Vector3(-37, 0, -200);
  load.ground_force = Vector3(0, 0, 100);
  return load;
}
const Vector3 above_tip(-37, 0, 0), beside_tip(-37, 0, -60); // both pull straight up on the tip of simple_foot
} // namespace

// Requirement: the tilts of the table become the joint angles the table defines: stifle 180 - tau - phi, hock 180 - tau - m.
TEST(StanceLoad, TurnsTiltsIntoJointAngles)
{
  const StanceLoad load = load_of(posture(27, 14, 17, 0.36, 0.01, 12)); // walk 50 %: printed 136 and 139 deg
  EXPECT_NEAR(degrees(load.stifle_angle_rad), 136, 1e-9);
  EXPECT_NEAR(degrees(load.hock_angle_rad), 139, 1e-9);
  EXPECT_NEAR(degrees(load.tibia_tilt_rad), 27, 1e-9);
}

// Requirement: a tibia that leans forward by 30 deg sees the vertical come from behind: up = (-sin 30, 0, cos 30).
TEST(StanceLoad, TurnsTheVerticalIntoTheTibiaFrame)
{
  const StanceLoad load = load_of(posture(30, 0, 0, 0.5, 0, 0));
  EXPECT_NEAR((load.up - Vector3(-0.5, 0, std::sqrt(0.75))).norm(), 0, 1e-15);
  EXPECT_NEAR((load.ground_force - 147.1 * load.up).norm(), 0, 1e-12);        // 0.5 * 294.2 N
  EXPECT_NEAR((load.foot_weight + 0.2 * 9.80665 * load.up).norm(), 0, 1e-12); // weights point down
  EXPECT_NEAR((load.crus_weight + 0.5 * 9.80665 * load.up).norm(), 0, 1e-12);
}

// Requirement: the pressure centre lies where the posture puts it in the world, seen from the hock.
// Hand calculation, walk 50 %: hock (-125 sin 14, 125 cos 14) = (-30.240, 121.287) mm from the toe joint, pressure at (12, 0).
TEST(StanceLoad, PlacesThePressureCentreFromTheHock)
{
  const StanceLoad load = load_of(posture(27, 14, 17, 0.36, 0.01, 12));
  const Vector3 cranial = Vector3(load.up.z(), 0, -load.up.x());
  const Vector3 arm = load.centre_of_pressure - load.hock_centre;
  EXPECT_NEAR(arm.dot(cranial), 42.240, 1e-3);
  EXPECT_NEAR(arm.dot(load.up), -121.287, 1e-3);
}

// Requirement: a foot twice as long carries its pressure centre twice as far cranially (the table is for 125 mm).
TEST(StanceLoad, ScalesThePressureCentreWithTheFoot)
{
  Anatomy large = sheet_anatomy();
  large.foot_length_mm = 250;
  const Activity activity = posture(0, 0, 0, 0.2, 0, 10);
  const StanceLoad load = load_of(activity, large);
  EXPECT_NEAR((load.centre_of_pressure - Vector3(20, 0, -450)).norm(), 0, 1e-12);
}

// Requirement: the side force acts along the medial axis and its centre of pressure lies medial of the foot.
// Hand calculation: 0.05 * 294.2 = 14.71 N; 8 mm for a foot of 125 mm is 16 mm for one of 250 mm.
TEST(StanceLoad, CarriesTheSideForce)
{
  Anatomy large = sheet_anatomy();
  large.foot_length_mm = 250;
  Activity activity = posture(0, 0, 0, 0.2, 0, 10);
  activity.rows[0].force_medial_bw = 0.05;
  activity.rows[0].centre_of_pressure_medial_mm = 8;
  const StanceLoad load = load_of(activity, large);
  EXPECT_NEAR((load.ground_force - Vector3(0, 14.71, 58.84)).norm(), 0, 1e-12);
  EXPECT_NEAR((load.centre_of_pressure - Vector3(20, 16, -450)).norm(), 0, 1e-12);
  EXPECT_NEAR((load.toe_joint - Vector3(0, 0, -450)).norm(), 0, 1e-12);
  EXPECT_NEAR((sagittal(load).ground_force - Vector3(0, 0, 58.84)).norm(), 0, 1e-12);
}

// Requirement: tables are anatomical: a left limb has the same load as a right one (its picture is mirrored).
TEST(StanceLoad, IsTheSameForLeftAndRight)
{
  Scenario left;
  left.dog.limb = "left";
  const Activity trot = activity_named("trot");
  const StanceLoad a = stance_load(left, sheet_anatomy(), trot, 40), b = stance_load(Scenario(), sheet_anatomy(), trot, 40);
  EXPECT_EQ(a.ground_force, b.ground_force);
  EXPECT_EQ(a.centre_of_pressure, b.centre_of_pressure);
  EXPECT_GT(a.ground_force.y(), 0);
}

// Requirement: a limb mirrored in its own plane (side force and medial places of the other sign) has the same muscles, hock
// force and moment mirrored. Law: mirror symmetry; a moment is an axial vector, so its x and z change sign.
TEST(FootBalance, IsMirroredWithTheLimb)
{
  Activity trot = posture(30, 15, 21, 0.68, 0.03, 12), mirror = trot;
  trot.rows[0].force_medial_bw = 0.05, mirror.rows[0].force_medial_bw = -0.05;
  trot.rows[0].centre_of_pressure_medial_mm = 3, mirror.rows[0].centre_of_pressure_medial_mm = -3;
  const FootBalance a = foot_balance(load_of(trot), Vector3(-14, 4, 24), Vector3(-9, -2, -60)),
                    b = foot_balance(load_of(mirror), Vector3(-14, -4, 24), Vector3(-9, 2, -60));
  EXPECT_NEAR(a.calcanean_n, b.calcanean_n, 1e-12 * a.calcanean_n);
  EXPECT_NEAR((a.hock_on_tibia - Vector3(1, -1, 1).cwiseProduct(b.hock_on_tibia)).norm(), 0, 1e-10);
  EXPECT_NEAR((a.hock_moment - Vector3(-1, 1, -1).cwiseProduct(b.hock_moment)).norm(), 0, 1e-8);
}

// Requirement: the hock carries the side force and the two moments that the muscles do not balance.
// Hand calculation, foot of simple_foot with 10 N medial at (40, 0, -120) mm from the hock: moment (1200, ., 400) N mm about x
// and z; the calcanean force pulls straight up behind the hock and adds none about x or z.
TEST(FootBalance, PassesTheSideForceThroughTheHock)
{
  StanceLoad load = simple_foot(40);
  load.ground_force.y() = 10;
  const FootBalance balance = foot_balance(load, above_tip, beside_tip);
  EXPECT_NEAR(balance.calcanean_n, 4000.0 / 37, 1e-12);
  EXPECT_NEAR(balance.hock_on_tibia.y(), 10, 1e-12);
  EXPECT_NEAR((balance.hock_moment - Vector3(1200, 0, 400)).norm(), 0, 1e-9);
}

// Requirement: the whole limb turned with gravity changes nothing: same muscles and net moments, forces turned alike.
// Law: mechanics does not depend on the frame.
TEST(FootBalance, DoesNotDependOnTheFrame)
{
  const Matrix3 turn =
      (Eigen::AngleAxisd(0.7, Vector3(1, 2, -1).normalized()) * Eigen::AngleAxisd(-2.1, Vector3::UnitZ())).matrix();
  Activity trot = posture(30, 15, 21, 0.68, 0.03, 12);
  trot.rows[0].force_medial_bw = 0.05;
  trot.rows[0].centre_of_pressure_medial_mm = 3;
  const StanceLoad here = load_of(trot), there = rotated(here, turn);
  const Vector3 femur(-14, 3, 24), tibia(-9, -2, -60);
  const FootBalance a = foot_balance(here, femur, tibia), b = foot_balance(there, turn * femur, turn * tibia);
  EXPECT_NEAR(a.calcanean_n, b.calcanean_n, 1e-11 * a.calcanean_n);
  EXPECT_NEAR((turn * a.hock_on_tibia - b.hock_on_tibia).norm(), 0, 1e-11 * a.hock_on_tibia.norm());
  EXPECT_NEAR((turn * a.hock_moment - b.hock_moment).norm(), 0, 1e-11 * a.hock_on_tibia.norm() * 125);
  EXPECT_GT(a.hock_moment.norm(), 100);
  const NetMoments m = net_moments(here, sheet_anatomy(), true), n = net_moments(there, sheet_anatomy(), true);
  for (const auto part : {&NetMoments::stifle_nmm, &NetMoments::hock_nmm, &NetMoments::hip_nmm})
    EXPECT_NEAR(m.*part, n.*part, 1e-10 * std::abs(m.*part));
}

// Requirement: a limb swung bodily together with its ground force keeps joint angles, foot and force in the tibia frame.
// Hand: tilts (tau, m, phi) -> (tau + a, m - a, phi - a) swing it forward by a; the force is given in the world and turns along:
// cranial' = cranial cos a + up sin a, up' = up cos a - cranial sin a. Without weights the net moments stay.
TEST(StanceLoad, IsTheSameInASwungLimb)
{
  const double c = std::cos(radians(10)), s = std::sin(radians(10));
  const StanceLoad still = load_of(posture(20, 15, 21, 0.6, 0.1, 0)),
                   swung = load_of(posture(30, 5, 11, 0.6 * c - 0.1 * s, 0.1 * c + 0.6 * s, 0));
  EXPECT_NEAR(still.stifle_angle_rad, swung.stifle_angle_rad, 1e-12);
  EXPECT_NEAR(still.hock_angle_rad, swung.hock_angle_rad, 1e-12);
  EXPECT_NEAR((still.toe_joint - swung.toe_joint).norm(), 0, 1e-11);
  EXPECT_NEAR((still.calcaneus_tip - swung.calcaneus_tip).norm(), 0, 1e-11);
  EXPECT_NEAR((still.ground_force - swung.ground_force).norm(), 0, 1e-10);
  const NetMoments a = net_moments(still, sheet_anatomy(), false), b = net_moments(swung, sheet_anatomy(), false);
  EXPECT_NEAR(a.stifle_nmm, b.stifle_nmm, 1e-8);
  EXPECT_NEAR(a.hip_nmm, b.hip_nmm, 1e-8);
}

// Requirement: a hock off the mid-plane moves the foot sideways and changes no force, so left and right limbs agree.
TEST(StanceLoad, CarriesNoSideForceOfItsOwn)
{
  Anatomy offset = sheet_anatomy();
  offset.hock_centre.y() = 4;
  const Activity walk = posture(27, 14, 17, 0.36, 0.01, 12);
  const Vector3 femur(-14, 3, 20), tibia(-9, -2, -60);
  const FootBalance a = foot_balance(load_of(walk), femur, tibia), b = foot_balance(load_of(walk, offset), femur, tibia);
  EXPECT_EQ(a.hock_on_tibia.y(), 0);
  EXPECT_EQ(b.hock_on_tibia.y(), 0);
  EXPECT_NEAR((a.hock_on_tibia - b.hock_on_tibia).norm(), 0, 1e-12);
}

// Requirement: the calcanean force balances the ground force about the hock.
// Hand calculation: 100 N * 40 mm / 37 mm = 108.108 N; 0.67 of it is 72.432 N; on the tibia 100 + 108.108 N.
TEST(FootBalance, BalancesTheMomentAboutTheHock)
{
  const FootBalance balance = foot_balance(simple_foot(40), above_tip, beside_tip);
  EXPECT_NEAR(balance.calcanean_n, 4000.0 / 37, 1e-12);
  EXPECT_NEAR(balance.gastrocnemius_n, 0.67 * 4000 / 37, 1e-12);
  EXPECT_NEAR((balance.hock_on_tibia - Vector3(0, 0, 100 + 4000.0 / 37)).norm(), 0, 1e-12);
  EXPECT_FALSE(balance.clipped);
}

// Requirement: forces and moments on the foot close in a general posture, to rounding.
TEST(FootBalance, ClosesForceAndMoment)
{
  const StanceLoad load = load_of(posture(30, 15, 21, 0.68, 0.03, 12));
  const FootBalance balance = foot_balance(load, Vector3(-14, 0, 24), Vector3(-9, 0, -60));
  const Vector3 force =
      load.ground_force + load.foot_weight + balance.gastrocnemius + balance.tibial_share - balance.hock_on_tibia;
  const double moment = moment_nmm(load.centre_of_pressure, load.hock_centre, load.ground_force) +
                        moment_nmm(load.foot_centre, load.hock_centre, load.foot_weight) +
                        moment_nmm(load.calcaneus_tip, load.hock_centre, balance.gastrocnemius + balance.tibial_share);
  const double scale_n = load.ground_force.norm();
  EXPECT_LT(force.norm(), 1e-12 * scale_n);
  EXPECT_LT(std::abs(moment), 1e-12 * scale_n * 125);
  EXPECT_NEAR(balance.unbalanced_nmm, 0, 1e-12 * scale_n * 125);
  EXPECT_GT(balance.calcanean_n, 0);
}

// Requirement: the two parts of the calcanean force have the given share and point at their origins.
TEST(FootBalance, SplitsTheCalcaneanForceByShareAndDirection)
{
  StanceLoad load = load_of(posture(30, 15, 21, 0.68, 0.03, 12));
  load.gastrocnemius_share = 0.4;
  const Vector3 femur(-14, 0, 24), tibia(-9, 0, -60);
  const FootBalance b = foot_balance(load, femur, tibia);
  EXPECT_NEAR((b.gastrocnemius - 0.4 * b.calcanean_n * (femur - load.calcaneus_tip).normalized()).norm(), 0, 1e-12);
  EXPECT_NEAR((b.tibial_share - 0.6 * b.calcanean_n * (tibia - load.calcaneus_tip).normalized()).norm(), 0, 1e-12);
}

// Requirement: a dog of twice the mass and equal size has twice every force (law: the balance is linear in the loads).
TEST(FootBalance, ScalesWithMass)
{
  Anatomy heavy = sheet_anatomy();
  for (double *value : {&heavy.body_weight_n, &heavy.thigh_mass_kg, &heavy.crus_mass_kg, &heavy.foot_mass_kg})
    *value *= 2;
  const Activity trot = posture(30, 15, 21, 0.68, 0.03, 12);
  const Vector3 femur(-14, 0, 24), tibia(-9, 0, -60);
  const FootBalance one = foot_balance(load_of(trot), femur, tibia), two = foot_balance(load_of(trot, heavy), femur, tibia);
  EXPECT_NEAR(two.calcanean_n, 2 * one.calcanean_n, 1e-12 * two.calcanean_n);
  EXPECT_NEAR((two.hock_on_tibia - 2 * one.hock_on_tibia).norm(), 0, 1e-12 * two.hock_on_tibia.norm());
}

// Requirement: ground force behind the hock would need a pushing tendon; the force is 0, said so, and the rest reported.
// Hand calculation: 100 N at 20 mm behind: moment about +y is -x Fz = +2000 N mm.
TEST(FootBalance, NeverPushesWithTheTendon)
{
  const FootBalance balance = foot_balance(simple_foot(-20), above_tip, beside_tip);
  EXPECT_EQ(balance.calcanean_n, 0);
  EXPECT_TRUE(balance.clipped);
  EXPECT_NEAR(balance.unbalanced_nmm, 2000, 1e-9);
  EXPECT_NEAR((balance.hock_on_tibia - Vector3(0, 0, 100)).norm(), 0, 1e-12);
}

// Requirement: a load set without muscle passes the ground force on and names the moment that stays.
TEST(FootBalance, HasNoCalcaneanForceWithoutMuscle)
{
  StanceLoad load = simple_foot(40);
  load.has_muscle = false;
  const FootBalance balance = foot_balance(load, above_tip, beside_tip);
  EXPECT_EQ(balance.calcanean_n, 0);
  EXPECT_FALSE(balance.clipped);
  EXPECT_NEAR(balance.unbalanced_nmm, -4000, 1e-9);
  EXPECT_NEAR((balance.hock_on_tibia - Vector3(0, 0, 100)).norm(), 0, 1e-12);
}

// Requirement: a tendon line through the hock cannot balance anything; that is an error, not an infinite force.
TEST(FootBalance, RefusesATendonLineThroughTheHock)
{
  const Vector3 straight_ahead(100, 0, -200); // tip, hock and origin on one line
  EXPECT_THROW(foot_balance(simple_foot(40), straight_ahead, straight_ahead), Error);
}

// Requirement: net moments without weights are those of the ground force.
// Hand calculation, walk 50 %: R = (2.942, 105.912) N (cranial, up); hock (-30.240, 121.287), stifle (60.558, 299.488),
// hip (3.545, 485.968) mm; Mk = 105.912*48.558 - 2.942*299.488 = 4261.8; Mh = 105.912*42.240 + 2.942*121.287 = 4830.5;
// Mhip = 105.912*(12 - 3.545) + 2.942*485.968 = 2325.2 N mm.
TEST(NetMoments, MatchAHandCalculationOfTheWalk)
{
  const NetMoments moments = net_moments(load_of(posture(27, 14, 17, 0.36, 0.01, 12)), sheet_anatomy(), false);
  EXPECT_NEAR(moments.stifle_nmm, 4261.8, 0.5);
  EXPECT_NEAR(moments.hock_nmm, 4830.5, 0.5);
  EXPECT_NEAR(moments.hip_nmm, 2325.2, 0.5);
}

// Requirement: weights load the joints above them. Hand calculation without ground force, tibia and foot upright, femur
// leaning back 30 deg: thigh weight 2*9.80665 = 19.613 N acts 0.4*195*sin 30 = 39 mm in front of the hip; crus and foot weight
// 0.7*9.80665 = 6.865 N act 195*sin 30 = 97.5 mm in front of it. They bend the hip forward: hip extensor need
// -(19.613*39 + 6.865*97.5) = -1434.2 N mm; stifle and hock need nothing.
TEST(NetMoments, CarryTheWeightsOfTheSegments)
{
  const NetMoments moments = net_moments(load_of(posture(0, 0, 30, 0, 0, 0)), sheet_anatomy(), true);
  EXPECT_NEAR(moments.hip_nmm, -1434.2, 0.1);
  EXPECT_NEAR(moments.stifle_nmm, 0, 1e-9);
  EXPECT_NEAR(moments.hock_nmm, 0, 1e-9);
}

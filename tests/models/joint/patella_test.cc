// Requirements of the patella in its groove: length of the tendon, balance along and across the groove, wrap of the quadriceps.
#include "models/joint/balance.h"
#include "models/joint/patella.h"
#include "tests/models/joint/support.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
Groove groove() { return {Vector3(9, 0, 3), Vector3(12, 0, 150), 22, 40, 18}; }
Vector3 in_space(const Plane<double> &p) { return {p.x, 0, p.z}; }

/// Insertions in the femur frame of a stifle between straight and well bent, off the plane by y.
std::vector<Vector3> insertions(double y)
{
  std::vector<Vector3> all;
  for (const double stifle : {100.0, 120.0, 140.0, 155.0})
    all.push_back(femur_rotation(radians(stifle)).transpose() * (Vector3(31, y, -14) - 12.8 * Vector3(-0.42, 0, 0.91)));
  return all;
}
} // namespace

// Requirement: the tendon keeps its length, also off the plane, and the patella lies on the circle less its depth, cranial of the
// line from insertion to trochlea.
TEST(Patella, KeepsTheTendonAndTheCircle)
{
  for (const double y : {0.0, 4.0, -4.0})
    for (const double depth : {0.0, 0.5})
      for (const Vector3 &a : insertions(y))
      {
        const auto p = place_patella<double>(groove(), a.x(), a.y(), a.z(), depth);
        ASSERT_TRUE(p.possible);
        EXPECT_NEAR((in_space(p.place) - a).norm(), 40, 1e-10);
        EXPECT_NEAR((in_space(p.place) - groove().centre).norm(), 22 - depth, 1e-10);
        const Vector3 line = groove().centre - a;
        EXPECT_GT(line.cross(in_space(p.place) - a).y(), 0);
      }
}

// Requirement: the groove is free of friction. Tendon at the lower pole, quadriceps at the upper pole (18 mm further along the
// circle of 22 mm) and a contact through the centre of the circle balance the patella in force and moment (hand balance of three
// forces).
TEST(Patella, BalancesAlongAndAcrossTheGroove)
{
  for (const double y : {0.0, 4.0})
    for (const Vector3 &a : insertions(y))
      for (const bool clear : {true, false}) // the line of the quadriceps stays clear of the circle, or cuts it
      {
        Groove g = groove();
        const Vector3 lower = in_space(place_patella<double>(g, a.x(), a.y(), a.z(), 0).place) - g.centre;
        const Vector3 upper = rotation_about_y(18.0 / 22) * lower, outward = upper / 22;
        const Vector3 along = outward.cross(Vector3::UnitY()) * (outward.cross(Vector3::UnitY()).dot(upper - lower) > 0 ? 1 : -1);
        g.quadriceps = g.centre + upper + 90 * along + (clear ? 30 : -30) * outward;
        const auto p = place_patella<double>(g, a.x(), a.y(), a.z(), 0);
        const Vector3 pull =
            clear ? Vector3((g.quadriceps - g.centre - upper).normalized()) : along; // it wraps along the tangent
        Vector3 tendon = (a - in_space(p.place)) / 40;
        tendon.y() = 0; // the walls of the groove carry the side force
        const Vector3 contact = -tendon - p.quadriceps_per_tendon * pull;
        const double turning = (lower.cross(tendon) + upper.cross(Vector3(p.quadriceps_per_tendon * pull))).y();
        EXPECT_NEAR(turning, 0, 1e-11); // so the contact runs through the centre
        EXPECT_NEAR(std::abs(p.contact_per_tendon), contact.norm(), 1e-12);
        EXPECT_EQ(p.contact_per_tendon > 0, contact.dot(lower + upper) > 0); // positive: pushed out of the femur
        EXPECT_NEAR(p.pressing_per_tendon, contact.dot((lower + upper).normalized()), 1e-12); // its part along the middle
        EXPECT_GT(p.quadriceps_per_tendon, 0);
      }
}

// Requirement: wrapping starts without a jump of the forces: just before and just after the line touches.
TEST(Patella, WrapsWithoutAJump)
{
  const Vector3 a = insertions(0)[2];
  Groove g = groove();
  const Vector3 lower = in_space(place_patella<double>(g, a.x(), a.y(), a.z(), 0).place) - g.centre;
  const Vector3 upper = rotation_about_y(18.0 / 22) * lower, outward = upper / 22, tangent(-outward.z(), 0, outward.x());
  const auto at = [&](double side)
  {
    g.quadriceps = g.centre + upper + 100 * tangent + side * 1e-7 * outward;
    return place_patella<double>(g, a.x(), a.y(), a.z(), 0);
  };
  EXPECT_NEAR(at(+1).quadriceps_per_tendon, at(-1).quadriceps_per_tendon, 1e-7);
  EXPECT_NEAR(at(+1).contact_per_tendon, at(-1).contact_per_tendon, 1e-7);
}

// Requirement: an insertion out of the tendon's reach is said so.
TEST(Patella, SaysWhenTheTendonDoesNotReach)
{
  const auto possible = [](double x) { return place_patella<double>(groove(), 9 + x, 0, 3, 0).possible; };
  EXPECT_FALSE(possible(62.1)); // 22 + 40 = 62 mm
  EXPECT_TRUE(possible(61.9));
  EXPECT_FALSE(possible(17.9)); // 40 - 22 = 18 mm
  EXPECT_TRUE(possible(18.1));
}

// Requirement: in the plane and without depth the patella of the spatial joint stands where that of the plane model stands.
TEST(Patella, StandsWhereThePlaneModelPutsIt)
{
  const JointCase c = test::stance_case(test::in_dimension(2), 25, LigamentState::intact);
  const JointState state = solve_joint(c);
  ASSERT_TRUE(state.converged);
  const Matrix3 turn = femur_rotation(c.load.stifle_angle_rad);
  const Vector3 a = turn.transpose() * (c.bone.anatomy.tendon_insertion - state.femur_origin);
  const Groove g = {c.bone.anatomy.trochlea_centre, c.bone.anatomy.quadriceps_origin, c.bone.anatomy.trochlea_radius_mm,
                    c.bone.anatomy.tendon_length_mm, c.bone.anatomy.joint.patella_length_mm};
  const auto p = place_patella<double>(g, a.x(), a.y(), a.z(), 0);
  EXPECT_NEAR((turn * in_space(p.place) + state.femur_origin - state.patella).norm(), 0, 1e-9);
  EXPECT_NEAR(p.quadriceps_per_tendon * state.patellar_tendon_n, state.quadriceps_n, 1e-9 * state.quadriceps_n);
}

// Requirement: in the solved spatial joint the tendon keeps its length, and the part of the contact along the middle of the
// patella, which is not above the whole contact, is stiffness * depth.
TEST(Patella, CarriesItsContactInTheSolvedJoint)
{
  const JointCase c = test::stance_case(test::in_dimension(3), 25, LigamentState::intact);
  const JointState state = solve_joint(c);
  ASSERT_TRUE(state.converged);
  const SpatialSetup setup(c);
  EXPECT_NEAR((state.patella - setup.anatomy.tendon_insertion).norm(), setup.groove.tendon_mm, 1e-9);
  EXPECT_GT(state.patella_contact_n, 10); // it pushes
  const RigidPose femur = test::pose(c, state).femur;
  const Vector3 in_femur = femur.turn.transpose() * (state.patella - femur.shift_mm);
  const Vector3 insertion = femur.turn.transpose() * (setup.anatomy.tendon_insertion - femur.shift_mm);
  const auto p = place_patella<double>(setup.groove, insertion.x(), insertion.y(), insertion.z(), state.unknowns[6]);
  const double pressing = p.pressing_per_tendon * state.patellar_tendon_n;
  EXPECT_NEAR(pressing, setup.patella_stiffness * state.unknowns[6], 1e-6 * pressing);
  EXPECT_LE(pressing, state.patella_contact_n);
  EXPECT_NEAR(in_femur.y(), 0, 1e-10);
  EXPECT_NEAR((in_femur - setup.groove.centre).norm(), setup.groove.radius_mm - state.unknowns[6], 1e-9);
}

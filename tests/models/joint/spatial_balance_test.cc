// Requirements of the balance in space: exact derivative for every load set, reciprocity, residual equal to the work of a motion.
#include "tests/models/joint/support.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
/// A case of any set with everything that can pull.
JointCase full_case(LoadSet set, LigamentState ligament)
{
  Scenario s;
  s.limb.hamstrings_n = 40;
  s.limb.popliteus_n = 30;
  s.joint.tendon_offset_medial_mm = 1.5;
  s.tibia.hock_offset_medial_mm = 2;
  JointCase c = set == LoadSet::stance ? test::stance_case(s, 12, ligament, "trot", 40) : test::set_case(s, 12, ligament, set);
  c.load.hamstrings_n = 40;
  c.load.popliteus_n = 30;
  return c;
}

/// Away from the balance: moved, turned, pressed in.
Vector7 loaded_unknowns(const SpatialSetup &setup, double slid)
{
  Vector7 y = reference_unknowns(setup);
  y(0) += slid;
  y(1) += 0.4;
  y(2) -= 0.35 + slid * slid / 60;
  y(3) = 0.6;
  y(4) = -0.9;
  y(5) = 350;
  y(6) = 0.2;
  return y;
}

Matrix7 differences(const SpatialSetup &setup, const Vector7 &y, double step)
{
  Matrix7 d;
  for (int j = 0; j < 7; ++j)
  {
    const Vector7 h = step * Vector7::Unit(j);
    d.col(j) = (spatial_balance(setup, y + h).residual - spatial_balance(setup, y - h).residual) / (2 * step);
  }
  return d;
}
} // namespace

// Requirement: without the bed (its quadrature has a test of its own), the slope is the exact derivative of all seven residuals:
// central differences, 1e-6 of the largest entry of a row. Menisci, bundles, muscles, tendon, ground and rig, for all load sets.
TEST(SpatialBalance, SlopeAgreesWithDifferences)
{
  for (const LoadSet set : {LoadSet::stance, LoadSet::press, LoadSet::axial, LoadSet::tendon})
    for (const LigamentState ligament : test::ligament_states)
      for (const double slid : {-7.0, -2.0, 0.5})
      {
        SpatialSetup setup(full_case(set, ligament));
        setup.beds[0] = setup.beds[1] = CondyleBed({}, {}, setup.plateau, 0); // no bed
        setup.hand_force = Vector3(20, -10, 5);
        setup.hand_moment = Vector3(100, 200, -300);
        const Vector7 y = loaded_unknowns(setup, slid);
        const SpatialBalance b = spatial_balance(setup, y);
        ASSERT_TRUE(b.possible);
        const Matrix7 d = differences(setup, y, 1e-5);
        for (int i = 0; i < 7; ++i)
          EXPECT_LT((b.slope.row(i) - d.row(i)).cwiseAbs().maxCoeff(), 1e-6 * (1 + d.row(i).cwiseAbs().maxCoeff()))
              << to_string(set) << ' ' << slid << " equation " << i;
      }
}

// Requirement: with the bed the same within 1 % (the quadrature moves with the contact).
TEST(SpatialBalance, SlopeAgreesWithDifferencesWithTheBed)
{
  for (const LoadSet set : {LoadSet::stance, LoadSet::press, LoadSet::axial, LoadSet::tendon})
    for (const double slid : {-7.0, -2.0, 0.5})
    {
      const SpatialSetup setup(full_case(set, LigamentState::intact));
      const Vector7 y = loaded_unknowns(setup, slid);
      const SpatialBalance b = spatial_balance(setup, y);
      ASSERT_GT(b.contact[0].load_n + b.contact[1].load_n, 10);
      const Matrix7 d = differences(setup, y, 1e-4);
      EXPECT_LT((b.slope - d).norm(), 0.01 * d.norm()) << to_string(set) << ' ' << slid;
    }
}

// Requirement: reciprocity. Contact, menisci and ligaments store energy, so without loads and tendon the five pose equations are
// its gradient and their slope is symmetric: a hand force along i moves j as one along j moves i (Maxwell and Betti).
TEST(SpatialBalance, IsReciprocalWhereItStoresEnergy)
{
  for (const LigamentState ligament : test::ligament_states)
    for (const double slid : {-7.0, -2.0, 0.5})
    {
      JointCase c = test::set_case(Scenario(), 12, ligament, LoadSet::axial);
      c.load.ground_force.setZero();
      const SpatialSetup setup(c);
      Vector7 y = loaded_unknowns(setup, slid);
      y(5) = y(6) = 0;
      const Eigen::Matrix<double, 5, 5> k = spatial_balance(setup, y).slope.topLeftCorner<5, 5>();
      EXPECT_LT((k - k.transpose()).norm(), 1e-9 * k.norm()) << slid;
    }
}

// Requirement: a constant pull of the popliteus does the work force * shortening: its pose residuals are the derivative of
// force * length with respect to the unknowns (law of virtual work; the sign: residual = d energy / d unknown).
TEST(SpatialBalance, ResidualIsTheWorkOfAMotion)
{
  JointCase with = test::set_case(Scenario(), 25, LigamentState::torn, LoadSet::axial), without = with;
  with.load.popliteus_n = 30;
  const SpatialSetup a(with), b(without);
  const Vector7 y = loaded_unknowns(a, -2);
  const auto length = [&](const Vector7 &at)
  {
    const RigidPose femur = pose_of(a, at).femur;
    return (femur.turn * a.anatomy.joint.popliteus_femur + femur.shift_mm - a.anatomy.joint.popliteus_tibia).norm();
  };
  const Vector7 residual = spatial_balance(a, y).residual - spatial_balance(b, y).residual;
  for (int i = 0; i < 5; ++i)
  {
    const Vector7 h = 1e-4 * Vector7::Unit(i);
    EXPECT_NEAR(residual(i), 30 * (length(y + h) - length(y - h)) / 2e-4, 1e-5) << i;
  }
}

// Requirement: the rotations are those of the sheet of unknowns: Rz(y4 / 30) Rx(y3 / 30) and the flexion of 45 deg at a stifle of
// 135, the shift along chord, medial and normal; `motion` is their derivative.
TEST(SpatialBalance, PoseFollowsItsUnknowns)
{
  const SpatialSetup setup(full_case(LoadSet::press, LigamentState::intact));
  const Vector7 y = loaded_unknowns(setup, -2);
  const SpatialPose p = pose_of(setup, y);
  const Matrix3 turn = (Eigen::AngleAxisd(-0.9 / 30, Vector3::UnitZ()).toRotationMatrix() *
                        Eigen::AngleAxisd(0.6 / 30, Vector3::UnitX()).toRotationMatrix() * rotation_about_y(radians(45)));
  EXPECT_NEAR((p.femur.turn - turn).norm(), 0, 1e-12);
  const Vector3 shift = setup.plateau.origin_mm + y(0) * plateau_chord(setup.anatomy) + y(1) * Vector3::UnitY() +
                        y(2) * plateau_normal(setup.anatomy);
  EXPECT_NEAR((p.femur.shift_mm - shift).norm(), 0, 1e-12);
  const Vector3 on_femur(3, -4, 20);
  for (int i = 0; i < 5; ++i)
  {
    const Vector7 h = 1e-5 * Vector7::Unit(i);
    const auto at = [&](const Vector7 &u)
    { return Vector3(pose_of(setup, u).femur.turn * on_femur + pose_of(setup, u).femur.shift_mm); };
    const Vector3 x = at(y), by_motion = p.motion.col(i).head<3>() + p.motion.col(i).tail<3>().cross(x);
    EXPECT_NEAR(((at(y + h) - at(y - h)) / 2e-5 - by_motion).norm(), 0, 1e-7) << i;
  }
}

// Requirements of the wear index (models/joint/wear.h).
#include "models/joint/wear.h"
#include "tests/models/joint/support.h"
#include <gtest/gtest.h>
#include <sstream>

using namespace stifle;

namespace
{
constexpr double radius_mm = 13;

/// A wheel on the plane z = 0 with its centre at x, turned by `angle_rad` forwards (about +y).
RigidPose wheel(double x_mm, double angle_rad)
{
  RigidPose pose;
  pose.turn = Eigen::AngleAxisd(angle_rad, Vector3::UnitY()).toRotationMatrix();
  pose.shift_mm = {x_mm, 0, radius_mm};
  return pose;
}
double slide(double x_mm, double angle_rad)
{
  return sliding_mm(wheel(0, 0), wheel(x_mm, angle_rad), {0, 0, 0}, {x_mm, 0, 0}, Vector3::UnitZ());
}

Scenario small()
{
  Scenario s;
  s.repair.kind = {"none", "levelling"};
  s.levelling.plateau_angles_deg = {6};
  return s;
}
} // namespace

// Closed form: a wheel that rolls by the angle a travels R a, its rim point R sin a: R (a - sin a) is left, of third order.
TEST(Sliding, VanishesForAWheelThatRolls)
{
  EXPECT_NEAR(slide(radius_mm * 0.1, 0.1), radius_mm * (0.1 - std::sin(0.1)), 1e-9);
  EXPECT_LT(slide(radius_mm * 0.1, 0.1), 0.0025); // of 1.3 mm travelled
}

// Closed form: a wheel that is pushed without turning slides by what it is pushed; one that spins in place by R sin a.
TEST(Sliding, IsTheWholeWayOfAWheelThatDoesNotTurn)
{
  EXPECT_NEAR(slide(2, 0), 2, 1e-12);
  EXPECT_NEAR(slide(0, 0.1), radius_mm * std::sin(0.1), 1e-9);
}

// Requirement: movement along the normal does not rub.
TEST(Sliding, LeavesTheNormalPartOut)
{
  RigidPose up = wheel(0, 0);
  up.shift_mm.z() += 3;
  EXPECT_NEAR(sliding_mm(wheel(0, 0), up, {0, 0, 0}, {0, 0, 3}, Vector3::UnitZ()), 0, 1e-12);
}

// Requirement: the index of every state is relative to the intact unoperated joint: its own ratio is 1; and the same for any
// number of threads.
TEST(Wear, IsRelativeToTheIntactUnoperatedJoint)
{
  const std::vector<Activity> walk = {test::activity("walk")};
  const std::vector<WearRow> rows = wear_rows(small(), walk);
  ASSERT_EQ(rows.size(), 4u); // two bones, two ligament states
  EXPECT_EQ(rows[0].repair, "none");
  EXPECT_EQ(rows[0].ligament, LigamentState::intact);
  for (const WearRow &row : rows)
    ASSERT_TRUE(row.complete) << row.repair << " " << row.reason;
  const std::string csv = wear_table(rows).csv();
  std::istringstream lines(csv);
  std::string header, medial_line;
  std::getline(lines, header);
  std::getline(lines, medial_line);
  EXPECT_NE(medial_line.find(",1,1,1,1,true,"), std::string::npos) << medial_line;
  EXPECT_EQ(csv, wear_table(wear_rows(small(), walk, {3, {}})).csv());
}

// Law: W adds the path times a pressure, so it lies between the path times the least and times the largest pressure.
TEST(Wear, IsBoundedByPathTimesPeakPressure)
{
  for (const WearRow &row : wear_rows(small(), {test::activity("walk")}))
    for (const CompartmentWear &side : row.sides)
    {
      EXPECT_GT(side.sliding_mm, 0);
      EXPECT_LE(side.peak_mpa_mm, side.sliding_mm * side.peak_pressure_mpa() * (1 + 1e-12));
      EXPECT_GT(side.mean_mpa_mm, 0);
    }
}

// Requirement: the largest pressure of wear.csv is the one of joint.csv over the same instants, meniscus included.
TEST(Wear, PeakIsTheLargestOfCartilageAndMeniscus)
{
  const Scenario s = small();
  const Activity walk = test::activity("walk");
  for (const WearRow &row : wear_rows(s, {walk}))
  {
    const bool levelled = row.repair == "levelling";
    double largest = 0;
    for (int i = 0; i < 10; ++i)
      largest = std::max(largest,
                         test::solve(s, levelled ? 6 : 25, row.ligament, LoadSet::stance, "walk", 5 + 10 * i).peak_pressure_mpa);
    const double peak = std::max(row.sides[medial].peak_pressure_mpa(), row.sides[lateral].peak_pressure_mpa());
    EXPECT_NEAR(peak, largest, 1e-6 * largest) << row.repair << to_string(row.ligament);
  }
}

// Requirement: what slides is judged by the normal of the surface at the contact. Closed form: the plateau n = -s^2 / (2 R) -
// k (y - offset)^2 / 2 has the normal (s / R, k (y - offset), 1); the mean over the patch keeps within 3 deg of it, while
// some contact stands more than 8 deg from the chord's normal.
TEST(Wear, UsesTheNormalOfTheSurfaceAtTheContact)
{
  double most_deg = 0;
  for (const LigamentState ligament : test::ligament_states)
  {
    const JointCase c = test::stance_case(Scenario(), 25, ligament);
    const JointState state = solve_joint(c);
    ASSERT_TRUE(state.converged) << state.reason;
    const SpatialSetup setup(c);
    for (const int side : {medial, lateral})
    {
      const PlateauSide &p = c.bone.anatomy.joint.plateaus[side];
      const Vector3 at = setup.plateau.axes.transpose() * (state.contact_centre[side] - setup.plateau.origin_mm);
      const Vector3 local(at.x() / p.sagittal_radius_mm, (at.y() - p.offset_mm) * p.coronal_curvature_per_mm, 1);
      const Vector3 normal = setup.plateau.axes * local.normalized();
      EXPECT_LT(degrees(std::acos(std::min(1.0, normal.dot(state.contact_normal[side])))), 3) << side << to_string(ligament);
      most_deg = std::max(most_deg, degrees(std::acos(normal.dot(setup.plateau.axes.col(2)))));
    }
  }
  EXPECT_GT(most_deg, 8);
}

// Requirement: a dog that stands still rubs nothing, and noise of the solver is no wear: 0, and no ratio to it.
TEST(Wear, IsZeroForADogThatStandsStill)
{
  Activity still = test::activity("walk");
  still.rows = {still.at(50)};
  const std::vector<WearRow> rows = wear_rows(small(), {still});
  for (const WearRow &row : rows)
    for (const CompartmentWear &side : row.sides)
      EXPECT_EQ(side.sliding_mm, 0);
  EXPECT_NE(wear_table(rows).csv().find(",,,1,true,"), std::string::npos) << wear_table(rows).csv();
}

// Requirement: the sagittal joint has no compartments: no rows.
TEST(Wear, NeedsThreeDimensions)
{
  Scenario s = small();
  s.joint.dimension = 2;
  EXPECT_TRUE(wear_rows(s, {test::activity("walk")}).empty());
}

// Requirements of the rigid fit of landmarks. Expected values by hand.
#include "models/core/error.h"
#include "models/parts/rigid_fit.h"
#include "tests/support/refusal.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
const std::vector<Vector3> triangle = {Vector3(0, 0, 0), Vector3(30, 0, 0), Vector3(0, 40, 0)};
std::vector<Vector3> carried(const Matrix3 &turn, const Vector3 &shift)
{
  std::vector<Vector3> points;
  for (const Vector3 &p : triangle)
    points.push_back(turn * p + shift);
  return points;
}
std::string refusal(const std::vector<Vector3> &from, const std::vector<Vector3> &to)
{
  return test::refused_with<Error>([&] { fit_rigidly(from, to); });
}
} // namespace

// Requirement: a rigid motion is found again, to round-off, whatever it is.
TEST(RigidFit, FindsTheMotionThatWasMade)
{
  const Matrix3 turn = (Eigen::AngleAxisd(2.5, Vector3(1, 2, -3).normalized())).toRotationMatrix();
  const Vector3 shift(5, -70, 11);
  const RigidFit fit = fit_rigidly(triangle, carried(turn, shift));
  EXPECT_LT((fit.turn - turn).norm(), 1e-12);
  EXPECT_LT((fit.shift - shift).norm(), 1e-12);
  EXPECT_LT(fit.worst_mm, 1e-12);
}

// Requirement: what is left is told. By hand: three points on the circle of radius 10 mm against the same three moved out to
// 13 mm: the fit is the identity by symmetry, 3 mm are left at each point. In inches, 1/25.4, it is 10 (1 - 1/25.4).
TEST(RigidFit, TellsWhatIsLeft)
{
  std::vector<Vector3> ring, wide, inches;
  for (int i = 0; i < 3; ++i)
  {
    ring.emplace_back(10 * std::cos(2 * i * pi / 3), 10 * std::sin(2 * i * pi / 3), 0);
    wide.push_back(1.3 * ring.back()), inches.push_back(ring.back() / 25.4);
  }
  EXPECT_NEAR(fit_rigidly(ring, wide).worst_mm, 3, 1e-12);
  EXPECT_NEAR(fit_rigidly(ring, inches).worst_mm, 10 * (1 - 1 / 25.4), 1e-12);
}

// Requirement: a plate is never mirrored. A mirrored triangle is the same triangle turned over: the determinant stays 1.
TEST(RigidFit, NeverMirrors)
{
  const Matrix3 mirror = Vector3(1, -1, 1).asDiagonal();
  const RigidFit fit = fit_rigidly(triangle, carried(mirror, Vector3::Zero()));
  EXPECT_NEAR(fit.turn.determinant(), 1, 1e-12);
  EXPECT_LT(fit.worst_mm, 1e-12);
  EXPECT_NEAR(fit.turn(2, 2), -1, 1e-12); // turned over about x
}

// Requirement: points on one line leave a turn open and are refused, on either side; so are two points.
TEST(RigidFit, RefusesPointsOnALine)
{
  const std::vector<Vector3> line = {Vector3(0, 0, 0), Vector3(10, 0.1, 0), Vector3(20, 0, 0)};
  EXPECT_NE(refusal(line, triangle).find("of the file lie on one line"), std::string::npos);
  EXPECT_NE(refusal(triangle, line).find("on the bone lie on one line"), std::string::npos);
  EXPECT_NE(refusal({Vector3::Zero(), Vector3::UnitX()}, {Vector3::Zero(), Vector3::UnitX()}).find("three or more"), std::string::npos);
}

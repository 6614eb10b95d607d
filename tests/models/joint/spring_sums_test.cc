// Requirements of springs added up: exact derivative of one spring, lanes that stand for single springs.
#include "models/joint/condyle_bed.h"
#include "models/joint/spring_sums.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
constexpr double stiffness = 5; // N/mm of each spring

Condyle torus(double coronal_mm)
{
  Condyle c;
  c.sagittal_radius_mm = 13;
  c.coronal_radius_mm = coronal_mm;
  return c;
}

/// Points inside and outside of the condyle, its own frame.
const std::array<Vector3, 4> &points()
{
  static const std::array<Vector3, 4> all = {Vector3(2, 1, -12), Vector3(-5, 3, -9), Vector3(4, -2, -12.5), Vector3(-1, 0.5, -8)};
  return all;
}

template <int W> void fill(Lanes<W> (&p)[3], int shift)
{
  for (int lane = 0; lane < W; ++lane)
    for (int i = 0; i < 3; ++i)
      p[i](lane) = points()[(lane + shift) % points().size()][i];
}

/// One spring at a point of the tibia, F = K depth.
Vector6 single_wrench(const Condyle &condyle, const RigidPose &femur, const Vector3 &x)
{
  const SurfaceDistance at = condyle_distance(condyle, femur, x);
  Vector6 wrench;
  wrench << at.outward, x.cross(at.outward);
  return stiffness * at.depth_mm * wrench;
}
RigidPose moved(const RigidPose &pose, const Vector6 &motion)
{
  const double angle = motion.tail<3>().norm();
  const Matrix3 turn =
      angle > 0 ? Eigen::AngleAxisd(angle, motion.tail<3>() / angle).toRotationMatrix() : Matrix3(Matrix3::Identity());
  return {turn * pose.turn, turn * pose.shift_mm + motion.head<3>()};
}
} // namespace

// Requirement: wrench and slope of a spring are those of its law, F = K depth along the normal, seen from the tibia: the wrench by
// hand from depth and normal, the slope by central differences over a motion of the femur.
TEST(SpringSums, SlopeIsTheDerivativeOfTheWrench)
{
  RigidPose femur;
  femur.turn = Eigen::AngleAxisd(0.7, Vector3(1, 2, -1).normalized()).toRotationMatrix();
  femur.shift_mm = Vector3(1, -2, 3);
  for (const double coronal : {9.0, 0.0})
    for (const Vector3 &q : points())
    {
      const Condyle condyle = torus(coronal);
      SurfaceAt<double> at;
      meet_condyle<true>(condyle, {q.x(), q.y(), q.z()}, at);
      SpringSums<double> sums;
      sums.add({q.x(), q.y(), q.z()}, at, stiffness * at.depth_mm, stiffness);
      BedWrench there;
      there.on_tibia = sums.wrench();
      there.slope = sums.slope();
      there = carried(there, femur);
      const Vector3 x = femur.turn * q + femur.shift_mm;
      EXPECT_LT((there.on_tibia - single_wrench(condyle, femur, x)).norm(), 1e-11);
      for (int j = 0; j < 6; ++j)
      {
        const Vector6 step = 1e-5 * Vector6::Unit(j);
        const Vector6 change =
            (single_wrench(condyle, moved(femur, step), x) - single_wrench(condyle, moved(femur, -step), x)) / 2e-5;
        EXPECT_LT((there.slope.col(j) - change).norm(), 1e-7 * there.slope.norm()) << coronal << " " << j;
      }
    }
}

// Requirement: springs in lanes add up to the same springs one by one.
TEST(SpringSums, LanesAddUpToSingleSprings)
{
  const Condyle condyle = torus(9);
  SpringSums<double> single;
  for (std::size_t i = 0; i < points().size(); ++i)
  {
    const Vector3 &q = points()[i];
    SurfaceAt<double> at;
    meet_condyle<true>(condyle, {q.x(), q.y(), q.z()}, at);
    single.add({q.x(), q.y(), q.z()}, at, (i + 1.0) * at.depth_mm, i + 1.0);
  }
  Lanes<4> q[3];
  fill(q, 0);
  SurfaceAt<Lanes<4>> at;
  meet_condyle<true>(condyle, q, at);
  const Lanes<4> k(1, 2, 3, 4);
  SpringSums<Lanes<4>> lanes;
  lanes.add(q, at, Lanes<4>(k * at.depth_mm), k);
  EXPECT_LT((lanes.wrench() - single.wrench()).norm(), 1e-14 * single.wrench().norm());
  EXPECT_LT((lanes.slope() - single.slope()).norm(), 1e-14 * single.slope().norm());
}

// Requirement: the digits of a lane are those of the point alone, whatever its neighbours and however many lanes there are.
TEST(SpringSums, DigitsOfALaneAreThoseOfThePoint)
{
  for (const double coronal : {9.0, 0.0})
    for (int shift = 0; shift < 4; ++shift)
    {
      const Condyle condyle = torus(coronal);
      Lanes<2> two[3];
      Lanes<4> four[3];
      fill(two, shift);
      fill(four, shift);
      SurfaceAt<double> one;
      SurfaceAt<Lanes<2>> of_two;
      SurfaceAt<Lanes<4>> of_four;
      meet_condyle<true>(condyle, two, of_two);
      meet_condyle<true>(condyle, four, of_four);
      for (int lane = 0; lane < 2; ++lane)
      {
        meet_condyle<true>(condyle, {two[0](lane), two[1](lane), two[2](lane)}, one);
        EXPECT_EQ(of_two.depth_mm(lane), one.depth_mm);
        EXPECT_EQ(of_four.depth_mm(lane), one.depth_mm);
        for (int i = 0; i < 3; ++i)
        {
          EXPECT_EQ(of_four.outward[i](lane), one.outward[i]);
          for (int j = 0; j < 3; ++j)
            EXPECT_EQ(of_four.curvature[i][j](lane), one.curvature[i][j]);
        }
      }
    }
}

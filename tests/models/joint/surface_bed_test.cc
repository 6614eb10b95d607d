// Contact of two surfaces of triangles: closed forms of sphere and cylinder on a plane, exact derivatives, invariance.
#include "models/core/error.h"
#include "models/joint/surface_bed.h"
#include "tests/support/refusal.h"
#include "tests/support/shapes.h"
#include <gtest/gtest.h>
#include <random>

using namespace stifle;
using namespace stifle::test;

namespace
{
constexpr double radius = 13, stiffness = 4;
const double infinity = std::numeric_limits<double>::infinity();
const TriangleSurface plate = block(Vector3(-12, -12, -5), Vector3(12, 12, 0));
const CompartmentMask everything{Vector3::Constant(-1e3), Vector3::Constant(1e3), Vector3::UnitZ()};

std::shared_ptr<const DistanceGrid> grid(const TriangleSurface &femur, double cell)
{
  return std::make_shared<DistanceGrid>(femur, GridOptions{cell});
}
std::shared_ptr<const DistanceGrid> ball_grid()
{
  static const auto ball = grid(sphere(radius, 4), 0.5);
  return ball;
}
SurfaceBed bed_of(const TriangleSurface &tibia, std::shared_ptr<const DistanceGrid> femur, double size = 0.5,
                  const CompartmentMask &mask = everything)
{
  return SurfaceBed(tibia, std::move(femur), {stiffness, size, mask});
}
RigidPose at(const Vector3 &shift) { return {Matrix3::Identity(), shift}; }
Matrix3 turn(const Vector3 &w)
{
  return w.norm() > 0 ? Eigen::AngleAxisd(w.norm(), w.normalized()).matrix() : Matrix3::Identity();
}
RigidPose moved(const RigidPose &pose, const Vector6 &small)
{
  const Matrix3 r = turn(small.tail<3>());
  return {r * pose.turn, r * pose.shift_mm + small.head<3>()};
}
Matrix6 adjoint(const Matrix3 &r, const Vector3 &shift)
{
  Matrix3 cross;
  cross << 0, -shift.z(), shift.y(), shift.z(), 0, -shift.x(), -shift.y(), shift.x(), 0;
  Matrix6 m;
  m << r, Matrix3::Zero(), cross * r, r;
  return m;
}
/// An egg is not a sphere: turning it changes the contact.
TriangleSurface egg()
{
  TriangleSurface s = sphere(radius, 4);
  for (Vector3 &p : s.points)
    p = Vector3(1.2 * p.x(), 0.8 * p.y(), p.z() + 0.01 * p.x() * p.y());
  return s;
}
/// Poses of the egg 0.7 mm deep, off the middle, turned about every axis.
std::vector<RigidPose> poses()
{
  static const TriangleSurface shape = egg();
  std::vector<RigidPose> all;
  for (const Vector3 &w : {Vector3(0, 0, 0), Vector3(0.3, -0.2, 0.5), Vector3(-1.2, 0.4, 0.1), Vector3(2, 1, -1)})
  {
    double lowest = 0;
    for (const Vector3 &p : shape.points)
      lowest = std::min(lowest, (turn(w) * p).z());
    all.push_back({turn(w), Vector3(1.3 + w.x(), 2.9 - w.y(), -lowest - 0.7)});
  }
  return all;
}
SurfaceBed egg_bed()
{
  static const auto shape = grid(egg(), 0.5);
  return bed_of(block(Vector3(-12, -12, -5), Vector3(12, 12, 0)), shape);
}

/// Sphere of radius R, depth d at the middle of a plane; h = R - s, s^2 = r^2 + (R - d)^2, s ds = r dr, so that
///   force    int K h (R - d)/s 2 pi r dr = 2 pi K (R - d) int (R - s) ds = pi K (R - d) d^2   (not pi K R d^2: the cap is not
///   flat) load     2 pi K int (R - s) s ds = pi K (R d^2 - 2 d^3 / 3) area     pi (2 R d - d^2)
struct Cap
{
  double force, load, area;
};
Cap cap(double d)
{
  return {pi * stiffness * (radius - d) * d * d, pi * stiffness * (radius * d * d - 2 * d * d * d / 3),
          pi * (2 * radius * d - d * d)};
}
double force_error(int times, double size)
{
  const BedWrench w = bed_of(plate, grid(sphere(radius, times), size), size).wrench(at({0.137, 0.071, radius - 0.7}));
  return std::abs(-w.on_tibia[2] / cap(0.7).force - 1);
}
} // namespace

TEST(SurfaceBed, SphereOnPlaneMatchesTheClosedForm)
{
  const double d = 0.7;
  const Vector3 centre(2.1, -1.3, radius - d);
  // Corners on the sphere, edges of about 0.45 mm: the facets lie within 0.45^2 / (6 * 13) = 0.003 mm of it, 0.4 % of the depth,
  // and force goes with depth squared.
  const BedWrench w = bed_of(plate, grid(sphere(radius, 5), 0.4), 0.25).wrench(at(centre));
  const Cap exact = cap(d);
  EXPECT_NEAR(w.on_tibia[2], -exact.force, 0.01 * exact.force);
  EXPECT_NEAR(w.load_n, exact.load, 0.01 * exact.load);
  EXPECT_NEAR(w.area_mm2, exact.area, 0.015 * exact.area);
  EXPECT_NEAR(w.peak_mpa, stiffness * d, 0.015 * stiffness * d);
  EXPECT_NEAR((w.centre_mm - Vector3(centre.x(), centre.y(), 0)).norm(), 0, 0.01);
  EXPECT_NEAR(w.on_tibia.head<2>().norm(), 0, 2e-3 * exact.force);
  // All force passes through the centre of the sphere: moment = centre x force.
  const Vector3 force = w.on_tibia.head<3>(), moment = w.on_tibia.tail<3>();
  EXPECT_NEAR((moment - centre.cross(force)).norm(), 0, 5e-3 * exact.force);
  EXPECT_EQ(w.area_above_mm2, 0); // 2.8 MPa at most
}

TEST(SurfaceBed, AreaAboveTheHighPressureIsThatOfASmallerCap)
{
  // 4 MPa/mm * 3 mm = 12 MPa; above 10 MPa where h > 2.5 mm, s < R - 2.5, r^2 < (R - 2.5)^2 - (R - 3)^2 = 10.25.
  const BedWrench w = bed_of(plate, ball_grid(), 0.2).wrench(at({0, 0, radius - 3}));
  EXPECT_NEAR(w.area_above_mm2, pi * 10.25, 0.05 * pi * 10.25);
}

TEST(SurfaceBed, ErrorFallsWithTheSquareOfTheSize)
{
  const double coarse = force_error(3, 1.0), middle = force_error(4, 0.5), fine = force_error(5, 0.25);
  EXPECT_LT(middle, coarse / 3);
  EXPECT_LT(fine, middle / 3);
  EXPECT_LT(fine, 0.01);
}

TEST(SurfaceBed, CylinderOnPlaneMatchesTheClosedForm)
{
  // Axis along y, length L in contact, depth d: force = int K h (R - d)/s L dx with s^2 = x^2 + (R - d)^2, a^2 = R^2 - (R - d)^2
  //   = 2 K L (R - d) (R asinh(a / (R - d)) - a). L = the breadth of the plate, 24 mm: the cylinder is longer.
  const double d = 0.6, c = radius - d, a = std::sqrt(radius * radius - c * c);
  const double force = 2 * stiffness * 24 * c * (radius * std::asinh(a / c) - a);
  // 240 sides: sagitta (pi / 240)^2 * 13 / 2 = 0.0011 mm.
  const BedWrench w = bed_of(plate, grid(cylinder(radius, 40, 240, 40), 0.4), 0.25).wrench(at({0.3, 0, c}));
  EXPECT_NEAR(-w.on_tibia[2], force, 0.01 * force);
  EXPECT_NEAR(w.area_mm2, 2 * a * 24, 0.015 * 2 * a * 24);
  EXPECT_NEAR(w.on_tibia[3], 0, 0.01 * force); // symmetric in y
}

TEST(SurfaceBed, ForceIsTheDerivativeOfTheEnergy)
{
  const SurfaceBed bed = egg_bed();
  for (const RigidPose &pose : poses())
  {
    const Vector6 f = bed.wrench(pose).on_tibia;
    ASSERT_GT(f.head<3>().norm(), 10);
    for (int i = 0; i < 6; ++i)
    {
      const double e = i < 3 ? 1e-4 : 1e-5;
      const double slope =
          (bed.energy_nmm(moved(pose, e * Vector6::Unit(i))) - bed.energy_nmm(moved(pose, -e * Vector6::Unit(i)))) / (2 * e);
      EXPECT_NEAR(f[i], slope, 1e-6 * f.norm()) << i;
    }
  }
}

TEST(SurfaceBed, SlopeIsTheDerivativeOfTheWrench)
{
  const SurfaceBed bed = egg_bed();
  for (const RigidPose &pose : poses())
  {
    const BedWrench w = bed.wrench(pose);
    ASSERT_GT(w.load_n, 10);
    for (int i = 0; i < 6; ++i)
    {
      const double e = i < 3 ? 1e-6 : 1e-7;
      const Vector6 slope =
          (bed.wrench(moved(pose, e * Vector6::Unit(i))).on_tibia - bed.wrench(moved(pose, -e * Vector6::Unit(i))).on_tibia) /
          (2 * e);
      EXPECT_LT((w.slope.col(i) - slope).norm(), 1e-5 * w.slope.col(i).norm()) << i;
    }
  }
}

TEST(SurfaceBed, SlopeIsSymmetricUpToTheTermOfATurningFrame)
{
  // For an energy of a pose, a.(S b) - b.(S a) = wrench . (d_a x w_b - d_b x w_a, w_a x w_b)
  // (mixed derivatives along two motions of a frame differ by their bracket).
  const SurfaceBed bed = egg_bed();
  for (const RigidPose &pose : poses())
  {
    const BedWrench w = bed.wrench(pose);
    for (int i = 0; i < 6; ++i)
      for (int j = 0; j < 6; ++j)
      {
        const Vector6 a = Vector6::Unit(i), b = Vector6::Unit(j);
        const Vector3 da = a.head<3>(), wa = a.tail<3>(), db = b.head<3>(), wb = b.tail<3>();
        Vector6 bracket;
        bracket << da.cross(wb) - db.cross(wa), wa.cross(wb);
        EXPECT_NEAR(a.dot(w.slope * b) - b.dot(w.slope * a), w.on_tibia.dot(bracket), 1e-9 * w.slope.norm()) << i << j;
      }
  }
}

TEST(SurfaceBed, MovingBothBodiesMovesTheWrench)
{
  const Matrix3 r = turn({0.4, -0.7, 1.1});
  const Vector3 shift(5, -11, 7);
  CompartmentMask mask = everything;
  mask.up = r * mask.up;
  static const auto shape = grid(egg(), 0.5);
  const SurfaceBed here = bed_of(plate, shape), there = bed_of(test::moved(plate, r, shift), shape, 0.5, mask);
  const Matrix6 move = adjoint(r, shift);
  for (const RigidPose &pose : poses())
  {
    const BedWrench a = here.wrench(pose), b = there.wrench({r * pose.turn, r * pose.shift_mm + shift});
    EXPECT_LT((b.on_tibia - move * a.on_tibia).norm(), 1e-9 * b.on_tibia.norm());
    EXPECT_LT((b.slope - move * a.slope * move.transpose()).norm(), 1e-9 * b.slope.norm());
    EXPECT_NEAR((b.centre_mm - (r * a.centre_mm + shift)).norm(), 0, 1e-9);
  }
}

TEST(SurfaceBed, ACutPieceTakesItsSurfaceAlong)
{
  // A bed on the moved piece equals a bed built from the moved surface.
  const RigidPose segment{rotation_about_y(-0.3), Vector3(2, 0, -1)};
  CompartmentMask mask = everything;
  mask.up = segment.turn * mask.up;
  static const auto shape = grid(egg(), 0.5);
  const SurfaceBed whole = bed_of(plate, shape);
  const SurfaceBed cut = bed_of(test::moved(plate, segment.turn, segment.shift_mm), shape, 0.5, mask);
  const RigidPose pose{turn({0.1, 0.2, 0}), Vector3(-1, 2, 12.5)};
  const BedWrench a = whole.wrench(pose, segment), b = cut.wrench(pose);
  ASSERT_GT(b.load_n, 10);
  EXPECT_LT((a.on_tibia - b.on_tibia).norm(), 1e-9 * b.on_tibia.norm());
  EXPECT_LT((a.slope - b.slope).norm(), 1e-9 * b.slope.norm());
  EXPECT_NEAR((a.centre_mm - b.centre_mm).norm(), 0, 1e-9);
}

TEST(SurfaceBed, ForceHasNoJumpAlongAPath)
{
  // Steps of 1e-4 mm down from first touch and along the plate: a step changes the force by no more than stiffness * area * step
  // (area of the cap below 45 mm^2, a unit gradient and some room for the turn of the normal).
  const SurfaceBed bed = bed_of(plate, ball_grid());
  Vector6 last = bed.wrench(at({0, 0, radius})).on_tibia;
  for (int i = 1; i < 5000; ++i)
  {
    const Vector6 now = bed.wrench(at({1e-4 * i, 3e-5 * i, radius - 1e-4 * i})).on_tibia;
    ASSERT_LT((now - last).head<3>().norm(), stiffness * 45 * 2e-4) << i;
    last = now;
  }
}

TEST(SurfaceBed, CompartmentsAddUpToTheWhole)
{
  CompartmentMask medial = everything, lateral = everything;
  medial.low.y() = 0;
  lateral.high.y() = 0;
  const RigidPose pose = at({0.3, 0.4, 12.2});
  const SurfaceBed medial_bed = bed_of(plate, ball_grid(), 0.5, medial), lateral_bed = bed_of(plate, ball_grid(), 0.5, lateral);
  BedWrench sum = medial_bed.wrench(pose);
  EXPECT_GT(sum.centre_mm.y(), 0);
  const BedWrench other = lateral_bed.wrench(pose), whole = bed_of(plate, ball_grid()).wrench(pose);
  EXPECT_LT(other.centre_mm.y(), 0);
  EXPECT_GT(sum.load_n, other.load_n); // the sphere stands on the medial side
  sum += other;
  EXPECT_NEAR((sum.on_tibia - whole.on_tibia).norm(), 0, 1e-9 * whole.on_tibia.norm());
  EXPECT_NEAR(medial_bed.area_mm2() + lateral_bed.area_mm2(), 24 * 24, 1e-9); // the top of the plate only
}

TEST(SurfaceBed, MasksOfTheDogLieOnTheirSides)
{
  const Anatomy a = make_anatomy(Scenario());
  EXPECT_EQ(medial_mask(a).low.y(), 0);
  EXPECT_GT(medial_mask(a).high.y(), a.condyle_offset_mm);
  EXPECT_EQ(lateral_mask(a).high.y(), 0);
  EXPECT_LT(lateral_mask(a).low.y(), -a.condyle_offset_mm);
}

TEST(SurfaceBed, InterpenetrationIsTheLargestDepth)
{
  const SurfaceBed bed = bed_of(plate, ball_grid());
  EXPECT_NEAR(bed.interpenetration_mm(at({0, 0, radius - 1.5})), 1.5, 0.03);
  EXPECT_NEAR(bed.interpenetration_mm(at({0, 0, 0})), radius, 0.3); // the cone at the middle is rounded by half a cell
  EXPECT_EQ(bed.interpenetration_mm(at({0, 0, radius + 0.1})), 0);
}

TEST(SurfaceBed, ApartGivesNothing)
{
  for (const double z : {13.01, 14.0, 20.0, 1e4})
  {
    const BedWrench w = bed_of(plate, ball_grid()).wrench(at({0, 0, z}));
    EXPECT_EQ(w.on_tibia.norm() + w.slope.norm() + w.load_n + w.area_mm2 + w.peak_mpa + w.centre_mm.norm(), 0);
  }
}

TEST(DistanceGrid, DistanceGradientAndCurvatureOfASphere)
{
  // |p| - R; p / |p|; (1 - n n') / |p|
  const auto ball = grid(sphere(radius, 5), 0.5);
  for (const Vector3 &direction : {Vector3(1, 2, 3), Vector3(-3, 1, 0.2), Vector3(0.1, 0.2, -5)})
    for (const double r : {9.0, 12.0, 12.9})
    {
      const Vector3 n = direction.normalized();
      DistanceGrid::Spot spot;
      ASSERT_TRUE(ball->may_be_inside(r * n, spot));
      const DistanceGrid::Sample s = ball->sample(spot);
      EXPECT_NEAR(s.distance_mm, r - radius, 0.006);
      EXPECT_DOUBLE_EQ(s.distance_mm, ball->distance_mm(r * n));
      EXPECT_NEAR((s.gradient - n).norm(), 0, 0.03);
      // Facets turn by edge / R = 0.45 / 13 at each edge; spread over a cell of 0.5 mm that is 0.07 / mm of curvature.
      EXPECT_NEAR((s.curvature - (Matrix3::Identity() - n * n.transpose()) / r).norm(), 0, 0.07);
    }
}

TEST(DistanceGrid, PlaneIsExact)
{
  // Splines are exact for linear functions: below the face of a block, away from its edges.
  const auto box = grid(block(Vector3::Constant(-8), Vector3::Constant(8)), 0.7);
  DistanceGrid::Spot spot;
  ASSERT_TRUE(box->may_be_inside(Vector3(1.3, -2.2, -7.5), spot));
  const DistanceGrid::Sample s = box->sample(spot);
  EXPECT_NEAR(s.distance_mm, -0.5, 1e-12);
  EXPECT_NEAR((s.gradient - Vector3(0, 0, -1)).norm(), 0, 1e-12);
  EXPECT_NEAR(s.curvature.norm(), 0, 1e-10);
}

TEST(DistanceGrid, NothingInsideIsMissedByTheQuickLooks)
{
  // Every place of a cube of 40 mm: inside by the closed form implies may_be_inside, and is_clear implies outside.
  std::mt19937 random(3);
  std::uniform_real_distribution<double> place(-20, 20);
  for (int i = 0; i < 200000; ++i)
  {
    const Vector3 p(place(random), place(random), place(random));
    DistanceGrid::Spot spot;
    const bool inside = p.norm()<radius - 0.05, outside = p.norm()> radius + 1;
    ASSERT_TRUE(!inside || ball_grid()->may_be_inside(p, spot)) << p.transpose();
    ASSERT_FALSE(spot.surely_inside && p.norm() > radius) << p.transpose();
    ASSERT_FALSE(outside && ball_grid()->distance_mm(p) < 0) << p.transpose();
    for (const double r : {0.5, 1.5, 4.0})
      ASSERT_FALSE(p.norm() - r < radius - 0.05 && ball_grid()->is_clear(p, r)) << p.transpose() << " " << r;
  }
  EXPECT_TRUE(ball_grid()->is_clear(Vector3(17, 0, 0), 1.5));
  EXPECT_EQ(ball_grid()->distance_mm(Vector3(30, 0, 0)), infinity);
}

TEST(DistanceGrid, BehindAnOpenRimIsOutside)
{
  TriangleSurface sheet = block(Vector3(-5, -5, -1), Vector3(5, 5, 0));
  sheet.triangles = {sheet.triangles[0], sheet.triangles[1]}; // the bottom only, outward -z
  const auto open = grid(sheet, 0.5);
  EXPECT_NEAR(open->distance_mm(Vector3(0, 0, 0)), -1, 1e-9);
  EXPECT_GT(open->distance_mm(Vector3(7, 0, 0)), 0);
}

TEST(SurfaceBed, WhatCannotBeBuiltIsNamed)
{
  CompartmentMask elsewhere = everything;
  elsewhere.low.z() = 5;
  EXPECT_NE(refused_with<Error>([&] { bed_of(plate, ball_grid(), 0.5, elsewhere); }).find("in the compartment"), std::string::npos);
  EXPECT_NE(refused_with<Error>([&] { bed_of(plate, ball_grid(), 0); }).find("above 0"), std::string::npos);
  EXPECT_NE(refused_with<Error>([&] { bed_of(plate, ball_grid(), 1e-4); }).find("more than 2000000 points"), std::string::npos);
  EXPECT_NE(refused_with<Error>([&] { grid(plate, 1e-3); }).find("nodes"), std::string::npos);
  EXPECT_NE(refused_with<Error>(
                [&] {
                  DistanceGrid(plate, {0.5, Vector3::Constant(50), Vector3::Constant(60)});
                })
                .find("no part"),
            std::string::npos);
}

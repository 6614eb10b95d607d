// Requirements of one condyle on one plateau: closed forms, exact derivative, energy, fineness.
#include "models/joint/spatial_balance.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
constexpr double stiffness = 4; // MPa / mm

/// A plateau so large and flat that no edge is met; its middle at y = 0.
PlateauSide wide_flat()
{
  PlateauSide p;
  p.offset_mm = 0;
  p.sagittal_radius_mm = 1e9;
  return p;
}
Condyle round(double sagittal_mm, double coronal_mm)
{
  Condyle c;
  c.sagittal_radius_mm = sagittal_mm;
  c.coronal_radius_mm = coronal_mm;
  return c;
}
RigidPose at_height(double height_mm)
{
  RigidPose pose;
  pose.shift_mm = Vector3(0, 0, height_mm);
  return pose;
}

/// The femur after a small motion (shift, rotation about the origin of the tibia frame).
RigidPose moved(const RigidPose &pose, const Vector6 &motion)
{
  const double angle = motion.tail<3>().norm();
  const Matrix3 turn =
      angle > 0 ? Eigen::AngleAxisd(angle, motion.tail<3>() / angle).toRotationMatrix() : Matrix3(Matrix3::Identity());
  return {turn * pose.turn, turn * pose.shift_mm + motion.head<3>()};
}

struct PlacedBed
{
  CondyleBed bed, fine;
  RigidPose femur;
  bool at_edge;
  std::string name;
};

/// The shipped condyles at several places, tilts and depths, the last ones near the edges of the plateau.
std::vector<PlacedBed> placed_beds()
{
  const Anatomy a = make_anatomy(Scenario());
  const PlateauFrame frame{Vector3::Zero(), (Matrix3() << plateau_chord(a), Vector3::UnitY(), plateau_normal(a)).finished()};
  std::vector<PlacedBed> all;
  for (int side : {medial, lateral})
    for (const double s : {-16.0, -14.4, -12.0, -4.0, 0.0, 3.0, 13.0}) // where the surfaces would touch: edges at +-14.5
      for (const double y : {-6.5, -1.0, 0.0, 2.0, 5.0})               // edges at +-7
        for (const double depth : {0.3, 0.6, 1.2})
        {
          const Condyle &c = a.joint.condyles[side];
          const PlateauSide &p = a.joint.plateaus[side];
          RigidPose femur;
          femur.turn = Eigen::AngleAxisd(0.01 * y, Vector3::UnitX()) * Eigen::AngleAxisd(0.004 * s, Vector3::UnitZ()) *
                       femur_rotation(radians(140));
          const Vector3 normal = Vector3(s / p.sagittal_radius_mm, 0, 1).normalized();
          const Vector3 touch(s, c.centre.y() + y, -s * s / (2 * p.sagittal_radius_mm));
          const Vector3 axle = frame.axes * (touch + (c.sagittal_radius_mm - depth) * normal);
          femur.shift_mm = axle - femur.turn * c.centre;
          all.push_back({CondyleBed(c, a.joint.plateaus[side], frame, stiffness),
                         CondyleBed(c, a.joint.plateaus[side], frame, stiffness, {32, 8}), femur,
                         std::abs(s) > 10 || std::abs(y) > 3,
                         "side " + std::to_string(side) + " s " + std::to_string(s) + " y " + std::to_string(y) + " depth " +
                             std::to_string(depth)});
        }
  return all;
}
} // namespace

// Requirement: a sphere on a flat bed gives the closed form. At distance q of a point from the centre, depth R - q, push along
// the radius: F = k int (R - q) (h / q) 2 pi q dq from h to R = pi k h (R - h)^2; load = 2 pi k int (R - q) q dq.
TEST(CondyleBed, SphereOnAFlatBedGivesTheClosedForm)
{
  const double R = 9;
  for (const double depth : {0.05, 0.3, 0.9})
  {
    const double h = R - depth;
    const BedWrench w = CondyleBed(round(R, R), wide_flat(), {}, stiffness).wrench(at_height(h));
    const double force = pi * stiffness * h * depth * depth;
    const double load = 2 * pi * stiffness * (R * (R * R - h * h) / 2 - (R * R * R - h * h * h) / 3);
    EXPECT_NEAR(w.on_tibia(2), -force, 1e-5 * force) << depth; // the plateau is pushed distally
    EXPECT_NEAR(w.load_n, load, 1e-5 * load);
    EXPECT_NEAR(w.area_mm2, pi * (R * R - h * h), 1e-5 * w.area_mm2);
    EXPECT_NEAR(w.peak_mpa, stiffness * depth, 1e-9);
    EXPECT_NEAR(w.on_tibia.head<2>().norm() + w.on_tibia.tail<3>().norm(), 0, 1e-9 * force);
    // along the normal F' = d/dh of pi k h (R - h)^2, for the femur going up
    EXPECT_NEAR(w.slope(2, 2), -pi * stiffness * (depth * depth - 2 * h * depth), 1e-5 * std::abs(w.slope(2, 2)));
  }
}

// Requirement: it does so with any number of rays, whether or not they fill the last lanes (rays of a round patch are all alike).
TEST(CondyleBed, AnyNumberOfRaysGivesTheClosedForm)
{
  const double R = 9, depth = 0.3, h = R - depth, force = pi * stiffness * h * depth * depth;
  for (const int rays : {5, 6, 7, 8})
  {
    const BedWrench w = CondyleBed(round(R, R), wide_flat(), {}, stiffness, {rays, 4}).wrench(at_height(h));
    EXPECT_NEAR(w.on_tibia(2), -force, 1e-5 * force) << rays;
    EXPECT_NEAR(w.area_mm2, pi * (R * R - h * h), 1e-5 * w.area_mm2) << rays;
  }
}

// Requirement: so does a cylinder of the width of the plateau, to the 0.5 % asked of resultants. Depth R - q with
// q = sqrt(s^2 + h^2), push along the radius: F = k w int (R - q) h / q ds = k w h (2 R asinh(a / h) - 2 a), a = sqrt(R^2 - h^2).
TEST(CondyleBed, CylinderOnAFlatBedGivesTheClosedForm)
{
  const double R = 13, width = 14;
  for (const double depth : {0.05, 0.4, 1.2})
  {
    const double h = R - depth, a = std::sqrt(R * R - h * h);
    const double force = stiffness * width * h * (2 * R * std::asinh(a / h) - 2 * a);
    const BedWrench w = CondyleBed(round(R, 0), wide_flat(), {}, stiffness).wrench(at_height(h));
    EXPECT_NEAR(w.on_tibia(2), -force, 5e-3 * force) << depth;
    EXPECT_NEAR(w.peak_mpa, stiffness * depth, 1e-9);
    EXPECT_NEAR(w.area_mm2, 2 * a * width, 0.05 * w.area_mm2); // the rays round off the corners of the strip
  }
}

// Requirement: no touch, no force; a condyle beside or beyond its plateau presses nothing.
TEST(CondyleBed, IsSilentWithoutTouch)
{
  const CondyleBed bed(round(13, 9), wide_flat(), {}, stiffness);
  EXPECT_EQ(bed.wrench(at_height(13.001)).on_tibia.norm(), 0);
  RigidPose beside = at_height(12);
  beside.shift_mm.y() = 25;
  EXPECT_EQ(bed.wrench(beside).load_n, 0);
}

// Requirement: the bed ends at the edge of the plateau: a condyle over it presses on half of its patch (flat, symmetric).
TEST(CondyleBed, EndsAtTheEdgeOfThePlateau)
{
  const CondyleBed bed(round(13, 9), wide_flat(), {}, stiffness);
  RigidPose over = at_height(12.5);
  const double full = bed.wrench(over).load_n;
  over.shift_mm.x() = 14.5;
  EXPECT_NEAR(bed.wrench(over).load_n, full / 2, 5e-3 * full);
  over.shift_mm = Vector3(0, 7, 12.5);
  EXPECT_NEAR(bed.wrench(over).load_n, full / 2, 5e-3 * full);
}

// Requirement: the area above 10 MPa is that of a smaller cap, cut by the outline of the plateau. Hand: 4 MPa/mm x 3 mm = 12 MPa;
// above 10 MPa where the depth is above 2.5 mm: r^2 = (R - 2.5)^2 - (R - 3)^2 = 6.25 for R = 9. An edge c from the middle leaves
// r^2 (pi - acos(c / r)) + c sqrt(r^2 - c^2), half of the circle at c = 0.
TEST(CondyleBed, AreaAboveTheHighPressureEndsAtTheEdge)
{
  const CondyleBed bed(round(9, 9), wide_flat(), {}, stiffness);
  const double r = 2.5;
  EXPECT_NEAR(bed.wrench(at_height(6)).area_above_mm2, pi * r * r, 1e-3 * pi * r * r);
  for (const double inside : {0.0, 1.0, 2.0})
  {
    const double expected = r * r * (pi - std::acos(inside / r)) + inside * std::sqrt(r * r - inside * inside);
    RigidPose at_end = at_height(6), at_side = at_height(6);
    at_end.shift_mm.x() = 14.5 - inside;
    at_side.shift_mm.y() = -7 + inside;
    EXPECT_NEAR(bed.wrench(at_end).area_above_mm2, expected, 0.01 * expected) << inside;
    EXPECT_NEAR(bed.wrench(at_side).area_above_mm2, expected, 0.01 * expected) << inside;
  }
  EXPECT_EQ(bed.wrench(at_height(6.6)).area_above_mm2, 0); // 9.6 MPa
}

// Requirement: the depth of a point lies under the torus by hand. Radii 13 and 9: tube centre circle of radius 4. A point below
// the centre at distance q and y has depth 9 - sqrt((q - 4)^2 + y^2); its normal points from the tube to the point.
TEST(CondyleBed, DepthIsThatUnderATorus)
{
  const SurfaceDistance d = condyle_distance(round(13, 9), RigidPose(), Vector3(0, 3, -10));
  EXPECT_NEAR(d.depth_mm, 9 - std::sqrt(45.0), 1e-12);
  EXPECT_NEAR((d.outward - Vector3(0, 3, -6) / std::sqrt(45.0)).norm(), 0, 1e-12);
}

// Requirement: normal and curvature are the gradient of the depth and of the normal (central differences).
TEST(CondyleBed, NormalAndCurvatureAreDerivatives)
{
  RigidPose femur;
  femur.turn = (Eigen::AngleAxisd(0.3, Vector3(1, 2, -1).normalized()) * femur_rotation(2.4)).eval();
  femur.shift_mm = Vector3(1, -2, 3);
  for (const double coronal : {9.0, 0.0})
  {
    const Vector3 x(2, 1, -9);
    const Condyle c = round(13, coronal);
    const SurfaceDistance d = condyle_distance(c, femur, x);
    for (int i = 0; i < 3; ++i)
    {
      const Vector3 step = 1e-5 * Vector3::Unit(i);
      const SurfaceDistance up = condyle_distance(c, femur, x + step), down = condyle_distance(c, femur, x - step);
      EXPECT_NEAR((up.depth_mm - down.depth_mm) / 2e-5, -d.outward(i), 1e-8);
      EXPECT_NEAR(((up.outward - down.outward) / 2e-5 - d.curvature.col(i)).norm(), 0, 1e-8);
    }
  }
}

// Requirement: the slope is the derivative of the wrench, within 1 % of its size (the quadrature moves with the contact), and
// near the edges too.
TEST(CondyleBed, SlopeAgreesWithDifferences)
{
  for (const PlacedBed &p : placed_beds())
  {
    const BedWrench here = p.bed.wrench(p.femur);
    ASSERT_GT(here.load_n, 0) << p.name;
    // moments over 10 mm, so that all parts are of one size
    Vector6 size;
    size << 1, 1, 1, 10, 10, 10;
    Matrix6 differences;
    for (int j = 0; j < 6; ++j)
    {
      const Vector6 step = 1e-4 / size(j) * Vector6::Unit(j);
      differences.col(j) =
          (p.bed.wrench(moved(p.femur, step)).on_tibia - p.bed.wrench(moved(p.femur, -step)).on_tibia) / (2e-4 / size(j));
    }
    const Matrix6 scaled = size.cwiseInverse().asDiagonal() * here.slope * size.cwiseInverse().asDiagonal();
    const Matrix6 missed = size.cwiseInverse().asDiagonal() * (differences - here.slope) * size.cwiseInverse().asDiagonal();
    EXPECT_LT(missed.norm(), (p.at_edge ? 0.02 : 0.01) * scaled.norm()) << p.name;
  }
}

// Requirement: the bed stores energy. Rotations do not commute, so the slope of a wrench about a fixed origin is symmetric up to
// S - S^T = [[0, -[F]], [-[F], -[M]]], [a] the matrix of a cross product (law: bracket of rigid motions).
TEST(CondyleBed, SlopeIsThatOfAnEnergy)
{
  for (const PlacedBed &p : placed_beds())
  {
    const BedWrench w = p.bed.wrench(p.femur);
    Matrix6 expected = Matrix6::Zero();
    expected.topRightCorner<3, 3>() = expected.bottomLeftCorner<3, 3>() = -cross_matrix(w.on_tibia.head<3>());
    expected.bottomRightCorner<3, 3>() = -cross_matrix(w.on_tibia.tail<3>());
    EXPECT_LT((w.slope - w.slope.transpose() - expected).norm(), 1e-10 * w.slope.norm()) << p.name;
  }
}

// Requirement: resultants within 0.5 % and peak pressure within 3 % of a fourfold finer bed, near the edges too; moments over the
// sagittal radius.
TEST(CondyleBed, IsFineEnough)
{
  for (const PlacedBed &p : placed_beds())
  {
    const BedWrench coarse = p.bed.wrench(p.femur), fine = p.fine.wrench(p.femur);
    const Vector3 at = p.femur.shift_mm, force = fine.on_tibia.head<3>();
    const Vector6 missed = coarse.on_tibia - fine.on_tibia;
    EXPECT_LT(missed.head<3>().norm(), 5e-3 * force.norm()) << p.name;
    EXPECT_LT((missed.tail<3>() - at.cross(Vector3(missed.head<3>()))).norm() / 13, 5e-3 * force.norm()) << p.name;
    EXPECT_NEAR(coarse.load_n, fine.load_n, 5e-3 * fine.load_n) << p.name;
    EXPECT_NEAR(coarse.peak_mpa, fine.peak_mpa, 0.03 * fine.peak_mpa) << p.name;
  }
}

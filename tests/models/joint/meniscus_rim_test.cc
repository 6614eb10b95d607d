// Requirements of a meniscus: slides to its own balance, exact derivative, energy, removal.
#include "models/joint/spatial_balance.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
struct PlacedRim
{
  Meniscus meniscus;
  Condyle condyle;
  PlateauFrame frame;
  MeniscusRim rim;
  RigidPose femur;
  std::string name;
};

RigidPose moved(const RigidPose &pose, const Vector6 &motion)
{
  const double angle = motion.tail<3>().norm();
  const Matrix3 turn =
      angle > 0 ? Eigen::AngleAxisd(angle, motion.tail<3>() / angle).toRotationMatrix() : Matrix3(Matrix3::Identity());
  return {turn * pose.turn, turn * pose.shift_mm + motion.head<3>()};
}

PlateauFrame frame_of(const Anatomy &a)
{
  return {Vector3::Zero(), (Matrix3() << plateau_chord(a), Vector3::UnitY(), plateau_normal(a)).finished()};
}
RigidPose reference_of(const Anatomy &a, const PlateauFrame &frame)
{
  RigidPose pose;
  pose.turn = femur_rotation(radians(140));
  pose.shift_mm = (a.joint.condyles[medial].sagittal_radius_mm - a.joint.reference_indentation_mm) * frame.axes.col(2);
  return pose;
}
PlacedRim place(const Anatomy &a, int side, const Vector6 &motion, const std::string &name)
{
  const PlateauFrame frame = frame_of(a);
  const JointParts &j = a.joint;
  const RigidPose reference = reference_of(a, frame);
  const MeniscusRim rim(j.menisci[side], j.condyles[side], CondyleBed(j.condyles[side], j.plateaus[side], frame, 4), frame,
                        reference);
  return {j.menisci[side], j.condyles[side], frame, rim, moved(reference, motion), name};
}

/// Pressed in, slid and turned.
std::vector<PlacedRim> placed_rims()
{
  const Anatomy a = make_anatomy(Scenario());
  std::vector<PlacedRim> all;
  for (int side : {medial, lateral})
    for (const double slid : {-9.0, -4.0, 0.0, 3.0})
      for (const double pressed : {0.2, 0.6})
      {
        const Vector3 n = plateau_normal(a), shift = slid * plateau_chord(a) - pressed * n - slid * slid / 78 * n;
        Vector6 motion;
        motion << shift, 0.01, -0.005 * slid, 0.02;
        all.push_back(
            place(a, side, motion,
                  "side " + std::to_string(side) + " slid " + std::to_string(slid) + " pressed " + std::to_string(pressed)));
      }
  return all;
}
} // namespace

// Requirement: in the reference pose every cell just touches: no force, and 1 um deeper there is some.
TEST(MeniscusRim, JustTouchesInTheReferencePose)
{
  const Anatomy a = make_anatomy(Scenario());
  for (int side : {medial, lateral})
  {
    const PlacedRim p = place(a, side, Vector6::Zero(), "");
    EXPECT_GT(p.rim.n_cells(), 3u);
    EXPECT_LT(p.rim.wrench(p.femur).load_n, 1e-9);
    for (const MeniscusRim::Cell &cell : p.rim.cells())
      EXPECT_NEAR(condyle_distance(p.condyle, p.femur, cell.point_mm).depth_mm, 0, 1e-9);
    Vector6 down = Vector6::Zero();
    down.head<3>() = -1e-3 * plateau_normal(a);
    EXPECT_GT(place(a, side, down, "").rim.wrench(moved(p.femur, down)).load_n, 0);
  }
}

// Requirement: the slide solves its equation: the chord part of the force of the cells on the rim is held by the horns, whose law
// is 5 % of their stiffness, then a toe of 1 mm beyond the free slide, then the whole (assumptions of meniscus_rim.cc, by hand
// here).
TEST(MeniscusRim, SlideSolvesItsEquation)
{
  int loaded = 0;
  for (const PlacedRim &p : placed_rims())
  {
    const double slide = p.rim.slide_mm(p.femur), k = p.meniscus.horn_stiffness_n_per_mm;
    const double excess = std::max(0.0, std::abs(slide) - p.meniscus.free_slide_mm);
    const double tight = excess < 1 ? excess * excess / 2 : excess - 0.5;
    const double horns = 0.05 * k * slide + (slide < 0 ? -k : k) * tight;
    const BedWrench w = p.rim.wrench(p.femur);
    EXPECT_NEAR(w.on_tibia.head<3>().dot(p.frame.axes.col(0)), horns, 1e-7 * (1 + w.load_n)) << p.name;
    loaded += w.load_n > 1;
  }
  EXPECT_GT(loaded, 8);
}

// Requirement: the load is that of all cells, each once: k d^2 / 0.2 mm in the toe of 0.1 mm, then k (d - 0.05 mm), d the depth of the
// cell under the torus where the rim has slid to (assumptions of meniscus_rim.cc, by hand here). Peak and area likewise.
TEST(MeniscusRim, LoadIsThatOfItsCells)
{
  int loaded = 0;
  for (const PlacedRim &p : placed_rims())
  {
    const Vector3 slid = p.rim.slide_mm(p.femur) * p.frame.axes.col(0);
    double load = 0, area = 0, peak = 0;
    for (const MeniscusRim::Cell &cell : p.rim.cells())
    {
      const double d = std::max(0.0, condyle_distance(p.condyle, p.femur, cell.point_mm + slid).depth_mm);
      const double force = cell.stiffness * (d < 0.1 ? d * d / 0.2 : d - 0.05);
      load += force;
      area += force > 0 ? cell.area_mm2 : 0;
      peak = std::max(peak, force / cell.area_mm2);
    }
    const BedWrench w = p.rim.wrench(p.femur);
    EXPECT_NEAR(w.load_n, load, 1e-10 * (1 + load)) << p.name;
    EXPECT_NEAR(w.area_mm2, area, 1e-10 * (1 + area)) << p.name;
    EXPECT_NEAR(w.peak_mpa, peak, 1e-10 * (1 + peak)) << p.name;
    loaded += load > 1;
  }
  EXPECT_GT(loaded, 8);
}

// Requirement: the slope is the derivative of the wrench, slide included: central differences, 1e-5 of its size.
TEST(MeniscusRim, SlopeAgreesWithDifferences)
{
  for (const PlacedRim &p : placed_rims())
  {
    const BedWrench here = p.rim.wrench(p.femur);
    Matrix6 differences;
    for (int j = 0; j < 6; ++j)
    {
      const double h = j < 3 ? 1e-6 : 1e-7;
      differences.col(j) = (p.rim.wrench(moved(p.femur, h * Vector6::Unit(j))).on_tibia -
                            p.rim.wrench(moved(p.femur, -h * Vector6::Unit(j))).on_tibia) /
                           (2 * h);
    }
    EXPECT_LT((differences - here.slope).norm(), 1e-5 * (1 + here.slope.norm())) << p.name;
  }
}

// Requirement: rim and horns store energy (law as in condyle_bed_test.cc).
TEST(MeniscusRim, SlopeIsThatOfAnEnergy)
{
  for (const PlacedRim &p : placed_rims())
  {
    const BedWrench w = p.rim.wrench(p.femur);
    Matrix6 expected = Matrix6::Zero();
    expected.topRightCorner<3, 3>() = expected.bottomLeftCorner<3, 3>() = -cross_matrix(w.on_tibia.head<3>());
    expected.bottomRightCorner<3, 3>() = -cross_matrix(w.on_tibia.tail<3>());
    EXPECT_LT((w.slope - w.slope.transpose() - expected).norm(), 1e-7 * (1 + w.slope.norm())) << p.name;
  }
}

// Requirement: a removed meniscus gives nothing; without its caudal pole it keeps fewer cells, none of them caudal of 120 deg
// from the cranial direction, and carries less.
TEST(MeniscusRim, RemovalTakesTheForce)
{
  Anatomy a = make_anatomy(Scenario());
  Vector6 down = Vector6::Zero();
  down.head<3>() = -0.5 * plateau_normal(a) - 3 * plateau_chord(a);
  const PlacedRim whole = place(a, medial, down, "whole");
  a.joint.menisci[medial].caudal_pole_removed = true;
  const PlacedRim part = place(a, medial, down, "part");
  a.joint.menisci[medial].removed = true;
  const PlacedRim none = place(a, medial, down, "none");
  EXPECT_GT(whole.rim.n_cells(), part.rim.n_cells());
  EXPECT_GT(part.rim.n_cells(), 0u);
  EXPECT_GT(whole.rim.wrench(whole.femur).load_n, part.rim.wrench(part.femur).load_n);
  const Meniscus &m = a.joint.menisci[medial];
  for (const MeniscusRim::Cell &cell : part.rim.cells())
  {
    const Vector3 local = part.frame.axes.transpose() * cell.point_mm;
    const double s = (local.x() - m.centre_s_mm) / m.radius_s_mm, y = (local.y() - m.centre_y_mm) / m.radius_y_mm;
    EXPECT_GT(s / std::hypot(s, y), std::cos(radians(120.001)));
  }
  const BedWrench w = none.rim.wrench(none.femur);
  EXPECT_EQ(none.rim.n_cells(), 0u);
  EXPECT_EQ(w.on_tibia.norm() + w.slope.norm() + w.load_n + w.area_mm2, 0);
}

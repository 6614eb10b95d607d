// Plates that press, plain heads, pre-load and compression. Expected values: balances, symmetry of action and reaction, equality
// with a model without the contact; none from our own output.
#include "scenarios/checks/solver_cases.h"
#include "tests/solver/pressed_plate.h"
#include "tests/support/plain_stiffness.h"
#include <gtest/gtest.h>
#include <set>

using namespace stifle;
using namespace stifle::solver;

namespace
{
ConstructModel model_of(const mesh::ConstructMesh &c)
{
  return ConstructModel(c, pressed_anatomy(), Levelling(), pressed_materials());
}

/// Sum of the nodal forces on the `b` side of face pairs.
Vector3 force_on(const ConstructModel &model, const std::vector<mesh::FacePair> &pairs)
{
  std::set<unsigned> nodes;
  for (const mesh::FacePair &p : pairs)
    for (const unsigned n : model.elasticity().face_nodes(p.b))
      nodes.insert(n);
  Vector3 sum = Vector3::Zero();
  for (const unsigned n : nodes)
    sum += model.nodal_force().segment<3>(3 * n);
  return sum;
}

const ScrewResult &screw(const ConstructState &s, int k) { return s.screws.at(k); }
PointForce on_top(const Vector3 &force) { return {"contact_medial", {0, 5, 0}, force, true}; }
} // namespace

// Requirement: pre-load alone clamps: each head presses with the pull asked for, each screw carries it as tension, and the bone
// presses back on the plate with the sum (balance of the plate along y; the faces are flat and the friction is along them).
TEST(PressedPlate, PreloadAloneClampsWithItsForce)
{
  PlateShape shape;
  shape.preload_n = 150;
  const auto c = pressed_plate(shape);
  ASSERT_FALSE(c.mesh.plate_contact.empty());
  ASSERT_FALSE(c.mesh.seats.empty());
  for (const double friction : {0.0, 0.3})
  {
    ConstructModel model = model_of(c);
    CutLaw law;
    law.plate_friction = friction;
    const auto s = model.solve({}, law);
    ASSERT_TRUE(s.converged);
    for (int k : {0, 1})
    {
      EXPECT_NEAR(screw(s, k).head_n, 150, 1e-6);
      EXPECT_NEAR(screw(s, k).axial_n, 150, 1e-6);
    }
    EXPECT_NEAR(s.cut.plate_contact_n, 300, 1e-6);
    EXPECT_NEAR(force_on(model, c.mesh.plate_contact).y(), 300, 1e-6);
    EXPECT_NEAR(force_on(model, c.mesh.seats).y(), 300, 1e-6); // of the plate on the heads
    EXPECT_LT(worst_unbalanced(model.field()), 1e-8);
  }
}

// Requirement: a load screw draws its segment to the cut with its force. Hand: cut through plate and bone between the screws, with
// no load of the limb and no friction: what the plate pulls, the cut presses: 131 N (sheet, one load screw), and 296 N (two).
TEST(PressedPlate, ALoadScrewPressesTheCut)
{
  for (const double force : {131.0, 296.0})
  {
    PlateShape shape;
    shape.preload_n = 300;
    shape.upper_compression_n = force;
    const auto c = pressed_plate(shape);
    ConstructModel model = model_of(c);
    CutLaw law;
    law.plate_friction = 0;
    const auto s = model.solve({}, law);
    ASSERT_TRUE(s.converged);
    EXPECT_NEAR(force_on(model, c.mesh.cut).z(), -force, 1e-6);
    EXPECT_LT(worst_unbalanced(model.field()), 1e-8);
  }
}

// Requirement: without friction the plate carries no shear through its contact; with friction it does, at most friction times
// pressure. The upper segment is pushed down: the plate's share goes through heads and contact.
TEST(PressedPlate, ShearThroughContactNeedsFriction)
{
  PlateShape shape;
  shape.preload_n = 150;
  const auto c = pressed_plate(shape);
  for (const double friction : {0.0, 0.3})
  {
    ConstructModel model = model_of(c);
    CutLaw law;
    law.plate_friction = friction;
    const auto s = model.solve({on_top({0, 0, -200})}, law);
    ASSERT_TRUE(s.converged);
    std::vector<mesh::FacePair> upper;
    for (const auto &p : c.mesh.plate_contact)
      if (p.part_a == static_cast<unsigned>(c.mesh.find_part("cortex_proximal")))
        upper.push_back(p);
    const Vector3 f = force_on(model, upper);
    EXPECT_GT(f.y(), 50);
    if (friction == 0)
      EXPECT_LT(std::hypot(f.x(), f.z()), 1e-8 * f.y());
    else
    {
      EXPECT_GT(std::hypot(f.x(), f.z()), 0.01 * f.y());
      EXPECT_LT(std::hypot(f.x(), f.z()), 0.3 * f.y() * (1 + 1e-9));
    }
    EXPECT_LT(worst_unbalanced(model.field()), 1e-8);
  }
}

// Requirement: a plate pulled off the bone separates: no tension. With locking screws and a pull over the lower one the state is
// that of a plate with no contact at all, and the lower screw carries all of the pull; pushed, it presses. The two states differ by what open
// faces still share, the quadratic part of the bone's shape (cut_faces.h): it shrinks with the mesh, 2 % here.
TEST(PressedPlate, APulledPlateSeparates)
{
  PlateShape shape;
  shape.plain = false;
  auto c = pressed_plate(shape);
  EXPECT_TRUE(c.mesh.seats.empty());
  std::vector<mesh::Triangle> outer;
  for (const mesh::Triangle &t : c.mesh.find_surface("plate_outer")->triangles)
    if (std::all_of(t.begin(), t.end(), [&](unsigned v) { return c.mesh.points[v].y() > bone_mm + 3 - 1e-9; }))
      outer.push_back(t);
  for (auto &s : c.mesh.surfaces)
    if (s.name == "outer_distal") // the landmark load finds the plate there
      s.triangles = outer;
  auto bare = c;
  bare.mesh.plate_contact.clear();
  ConstructModel model = model_of(c), free_model = model_of(bare);
  const auto load = [](double n) { return PointForce{"hamstrings", {0, bone_mm + 3, screw_z[1]}, {0, n, 0}, false}; };
  const auto pulled = model.solve({load(50)}, CutLaw());
  ASSERT_TRUE(pulled.converged);
  const auto alone = free_model.solve({load(50)}, CutLaw());
  ASSERT_TRUE(alone.converged);
  EXPECT_LT(pulled.cut.plate_contact_percent, 10); // the upper segment hangs on its screw: a corner of it still touches
  EXPECT_LT(pulled.cut.plate_contact_n, 1e-3 * 50);
  EXPECT_NEAR(screw(pulled, 1).axial_n, 50, 1e-3 * 50);
  EXPECT_LT((model.displacement() - free_model.displacement()).cwiseAbs().maxCoeff(), 0.02 * model.displacement().cwiseAbs().maxCoeff());
  const auto pushed = model.solve({load(-50)}, CutLaw());
  ASSERT_TRUE(pushed.converged);
  EXPECT_GT(pushed.cut.plate_contact_n, 10);
}

// Requirement: a plain head cannot pull the plate to itself. Pre-load lost under load leaves the head off its seat, with no force.
TEST(PressedPlate, AHeadOnlyPresses)
{
  PlateShape shape;
  shape.preload_n = 5;
  const auto c = pressed_plate(shape);
  ConstructModel model = model_of(c);
  for (const double n : {50.0, 200.0, 400.0})
  {
    const auto s = model.solve({{"contact_medial", {0, 9, 0}, {0, 0, -n}, true}}, CutLaw());
    ASSERT_TRUE(s.converged);
    for (int k : {0, 1})
    {
      EXPECT_GE(screw(s, k).head_n, 0);
      EXPECT_NEAR(screw(s, k).head_n, screw(s, k).axial_n, 1e-6); // the screw's free body along y
    }
    EXPECT_LT(worst_unbalanced(model.field()), 1e-8);
  }
}

// Requirement: what tightening reached is locked: with no load of the limb every week gives the same state, because callus grows
// stress-free in the tightened shape.
TEST(PressedPlate, CallusGrowsInTheTightenedShape)
{
  PlateShape shape;
  shape.preload_n = 150;
  shape.upper_compression_n = 60;
  const auto c = pressed_plate(shape);
  ConstructModel model = model_of(c);
  ASSERT_TRUE(model.solve({}, CutLaw()).converged);
  const Vector fresh = model.displacement();
  CutLaw healing;
  healing.callus_normal = healing.callus_tangential = 300;
  ASSERT_TRUE(model.solve({}, healing).converged);
  EXPECT_LT((model.displacement() - fresh).cwiseAbs().maxCoeff(), 1e-8 * fresh.cwiseAbs().maxCoeff());
}

// Requirement: a bonded cut does not move, whatever the plate does, and everything still balances.
TEST(PressedPlate, ABondedCutStaysClosed)
{
  PlateShape shape;
  shape.preload_n = 150;
  const auto c = pressed_plate(shape);
  ConstructModel model = model_of(c);
  CutLaw law;
  law.bonded = true;
  const auto s = model.solve({on_top({20, 0, -200})}, law);
  ASSERT_TRUE(s.converged);
  for (const auto &p : c.mesh.cut)
    for (int i = 0; i < 3; ++i)
      EXPECT_LT((model.displacement().segment<3>(3 * p.a[i]) - model.displacement().segment<3>(3 * p.b[i])).norm(), 1e-12);
  EXPECT_GT(s.cut.load_through_bone_percent, 10);
  EXPECT_LT(worst_unbalanced(model.field()), 1e-8);
}

// Requirement: C26 (construct.md 1.20, M = F0 h/6) holds within 5 % for both measured forces.
TEST(PressedPlate, PreloadKeepsTheCutClosed)
{
  const auto rows = checks::preload_opening();
  ASSERT_EQ(rows.size(), 2u);
  for (const auto &row : rows)
    EXPECT_TRUE(row.passed()) << row.quantity << ": " << row.value << " N mm";
}

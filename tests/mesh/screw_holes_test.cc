// Locking and plain screws of several sizes, one cortex, an empty hole: all in one coarse mesh. Expected values: topology (each
// through hole takes 2 from the Euler characteristic of a closed surface), closed forms and the sheet's sizes.
#include "mesh/construct.h"
#include "tests/support/coarse_scenario.h"
#include <gtest/gtest.h>
#include <map>
#include <set>

using namespace stifle;
using namespace stifle::mesh;

namespace
{
ConstructMesh mesh_of(const Scenario &s)
{
  const Anatomy a = make_anatomy(s);
  return mesh_construct(s, a, plan_levelling(s, a, radians(15)));
}

Scenario mixed_scenario()
{
  Scenario s = coarse_scenario();
  s.screws.holes = {"locking", "locking", "plain", "plain", "none", "locking"};
  s.screws.sizes = {"locking_2.0", "locking_2.7", "cortex_3.5", "cortex_4.5", "own", "locking_2.4"};
  s.screws.cortices = {"both", "one", "both", "both", "both", "one"};
  return s;
}
const ConstructMesh &mixed()
{
  static const ConstructMesh c = mesh_of(mixed_scenario());
  return c;
}

const ConstructMesh::Screw &screw(const ConstructMesh &c, const std::string &name)
{
  for (const auto &k : c.screws)
    if (k.name == name)
      return k;
  throw std::runtime_error("no " + name);
}

/// Nodes - edges + faces of the boundary of plate and screws.
long euler_characteristic(const TetMesh &m)
{
  std::set<unsigned> nodes;
  std::set<std::pair<unsigned, unsigned>> edges;
  long faces = 0;
  for (const BoundaryFace &f : boundary_faces(m))
    if (m.component[m.part[f.tetrahedron]] == 2)
    {
      ++faces;
      for (int i = 0; i < 3; ++i)
      {
        nodes.insert(f.triangle[i]);
        edges.insert(std::minmax(f.triangle[i], f.triangle[(i + 1) % 3]));
      }
    }
  return long(nodes.size()) - long(edges.size()) + faces;
}
} // namespace

// Requirement: scenarios without the keys of the holes keep their mesh. Counts and volume: this scenario at commit 6540759, the
// last before those keys (kept, not true in themselves).
TEST(ScrewHoles, DefaultsKeepTheMesh)
{
  const ConstructMesh c = mesh_of(coarse_scenario());
  double sum = 0;
  for (std::size_t t = 0; t < c.mesh.tetrahedra.size(); ++t)
    sum += volume(c.mesh, t);
  EXPECT_EQ(c.mesh.points.size(), 7662u);
  EXPECT_EQ(c.mesh.tetrahedra.size(), 28403u);
  EXPECT_NEAR(sum, 93823.678871, 1e-5);
  EXPECT_TRUE(c.warnings.empty());
  // Six filled holes: plate and screws are a ball.
  EXPECT_EQ(euler_characteristic(c.mesh), 2);
}

// Requirement: an empty hole is a hole, and so is that of a plain screw, whose head only rests in it: the plate with its locking
// screws has three (characteristic 2 - 2 * 3). Nothing stands in the empty one, and no part has its name.
TEST(ScrewHoles, AnEmptyHoleGoesThroughThePlate)
{
  const TetMesh &m = mixed().mesh;
  EXPECT_EQ(euler_characteristic(m), -4);
  EXPECT_EQ(m.find_part("screw_5"), -1);
  EXPECT_EQ(m.find_part("hole_5"), -1);
  ASSERT_EQ(mixed().screws.size(), 5u);
  const Vector3 near = screw(mixed(), "screw_4").head, below = screw(mixed(), "screw_6").head;
  const double low_y = std::min(near.y(), below.y()) - 2; // the plate there, and no bone: it stands off
  unsigned wall = 0;
  for (const Triangle &t : m.find_surface("plate_outer")->triangles)
  {
    bool all = true;
    for (const unsigned v : t)
      all = all && std::abs(std::hypot(m.points[v].x() + 2, m.points[v].z() + 49) - 1.75) < 1e-5; // 3.5 mm at (-2, -49)
    wall += all;
  }
  EXPECT_GT(wall, 10u);
  for (std::size_t t = 0; t < m.tetrahedra.size(); ++t)
  {
    Vector3 c = Vector3::Zero();
    for (const unsigned v : m.tetrahedra[t])
      c += 0.25 * m.points[v];
    const bool beside = std::hypot(c.x() + 2, c.z() + 49) > 1.5;
    EXPECT_TRUE(beside || m.component[m.part[t]] != 2 || c.y() < low_y);
  }
}

// Requirement: each thread has the core of its size (sheet section 7) and, in one cortex, ends before the far one; the flat end
// of such a screw is no thread: two discs of it and two of the bone, inscribed polygons of 3 edges or more (0.41 of the circle).
TEST(ScrewHoles, ThreadsHaveTheCoreOfTheirSize)
{
  const TetMesh &m = mixed().mesh;
  const std::map<std::string, double> core = {
      {"screw_1", 1.5}, {"screw_2", 2.1}, {"screw_3", 2.4}, {"screw_4", 3.0}, {"screw_6", 1.8}};
  std::map<std::string, unsigned> faces;
  for (const FacePair &p : m.threads)
  {
    const auto &k = screw(mixed(), m.parts[p.part_a]);
    ++faces[k.name];
    for (const unsigned v : p.a)
    {
      const double r = std::hypot(m.points[v].x() - k.tip.x(), m.points[v].z() - k.tip.z());
      EXPECT_NEAR(r, 0.5 * core.at(k.name), 1e-5) << k.name;
      EXPECT_GE(m.points[v].y(), k.tip.y() - 1e-5) << k.name;
    }
  }
  EXPECT_EQ(faces.size(), 5u);
  double ends = 0;
  ASSERT_NE(m.find_surface("screw_end"), nullptr);
  for (const Triangle &t : m.find_surface("screw_end")->triangles)
    ends += 0.5 * (m.points[t[1]] - m.points[t[0]]).cross(m.points[t[2]] - m.points[t[0]]).norm();
  const double discs = 2 * pi / 4 * (2.1 * 2.1 + 1.8 * 1.8);
  EXPECT_GT(ends, 0.41 * discs);
  EXPECT_LT(ends, discs);
  for (const auto &[name, diameter] : core)
    EXPECT_EQ(screw(mixed(), name).core_mm, diameter) << name;
  for (const char *name : {"screw_2", "screw_6"})
    EXPECT_GT(screw(mixed(), name).tip.y(), -4) << name; // the far skin lies 8 mm and more lateral of the mid-plane
}

// Requirement: a locking screw has the volume of its core, between polygon and circle; edges scale with the core, so 0.88 as for
// the 2.9 mm screw at twice the detail holds at the ratio of coarse_scenario too: 2.4 mm edges on 1.45 mm give sin(2a)/(2a) with
// sin a = 1.2/1.45, 0.47. A plain screw has its head more: at least half of a 6.0 or 7.7 mm disc of 0.45 plate thicknesses.
TEST(ScrewHoles, ScrewsHaveTheirVolume)
{
  const ConstructMesh &c = mixed();
  for (const auto &k : c.screws)
  {
    const double length = k.head.y() - k.tip.y() + 3.3, r = 0.5 * k.core_mm, v = part_volume(c.mesh, c.mesh.find_part(k.name));
    const double head = k.kind == HoleKind::plain ? pi / 4 * std::pow(6.0 / 3.5 * k.major_mm, 2) * 0.45 * 3.3 : 0;
    EXPECT_GT(v, 0.47 * pi * r * r * length + 0.5 * head) << k.name;
    EXPECT_LT(v, pi * r * r * (length + 0.4) + 1.4 * head) << k.name;
  }
}

// Requirement: nothing overlaps or is lost: tetrahedra are positive, boundaries closed, and every boundary face is paired or
// named.
TEST(ScrewHoles, TheMeshIsConforming)
{
  const TetMesh &m = mixed().mesh;
  for (std::size_t t = 0; t < m.tetrahedra.size(); ++t)
    ASSERT_GT(volume(m, t), 0);
  std::size_t named = 2 * (m.cut.size() + m.threads.size() + m.seats.size() + m.plate_contact.size());
  for (const Surface &s : m.surfaces)
    named += s.triangles.size();
  EXPECT_EQ(boundary_faces(m).size(), named);
  EXPECT_GT(mixed().worst_quality, 0.02);
}

// Requirement: a plate drawn by its widths and turned is meshed with its holes filled: a ball. Its volume lies between the
// outline (trapezoids over 62.5 mm: 12.5 (24/2 + 24 + 14 + 11 + 11 + 10/2) mm2) times the thickness and that times the steepest
// slope's factor of 1.13, the screws' cores in it counted.
TEST(ScrewHoles, ATurnedPlateOfGivenWidthsIsMeshed)
{
  Scenario s = coarse_scenario();
  s.plate.widths_mm = {24, 24, 14, 11, 11, 10};
  s.plate.inclination_deg = -8;
  const ConstructMesh c = mesh_of(s);
  EXPECT_EQ(euler_characteristic(c.mesh), 2);
  const double outline = 12.5 * (24.0 / 2 + 24 + 14 + 11 + 11 + 10.0 / 2), cores = 6 * pi / 4 * 2.9 * 2.9;
  const double v = part_volume(c.mesh, c.mesh.find_part("plate"));
  EXPECT_GT(v, 3.3 * (outline - cores));
  EXPECT_LT(v, 3.3 * 1.13 * (outline - 0.47 * cores));
}

// Requirement: each plain head rests in the plate all round: its seat has the ring between hole and head and the wall of the
// countersink, less than the smooth surfaces (inscribed polygons) and more than half of them. Nothing is taken simpler: no warning.
TEST(ScrewHoles, PlainHeadsHaveASeat)
{
  const ConstructMesh &c = mixed();
  EXPECT_TRUE(c.warnings.empty());
  for (const char *name : {"screw_3", "screw_4"})
  {
    const double head = 6.0 / 3.5 * screw(c, name).major_mm, hole = screw(c, name).major_mm + 0.5;
    const double smooth = pi / 4 * (head * head - hole * hole) + pi * head * 0.45 * 3.3;
    double area = 0;
    for (const FacePair &p : c.mesh.seats)
    {
      EXPECT_EQ(c.mesh.parts[p.part_a], "plate");
      const Vector3 &a = c.mesh.points[p.b[0]];
      if (c.mesh.parts[p.part_b] == name)
        area += 0.5 * (c.mesh.points[p.b[1]] - a).cross(c.mesh.points[p.b[2]] - a).norm();
    }
    EXPECT_GT(area, 0.5 * smooth) << name;
    EXPECT_LT(area, 1.15 * smooth) << name; // the outer face leans: the wall is up to 0.4 mm higher on one side
  }
}

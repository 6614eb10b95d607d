// A plate shaped to the bone: coarse mesh. Expected values: topology, geometry of the pairs, the depth asked for.
#include "mesh/construct.h"
#include "tests/support/coarse_scenario.h"
#include <gtest/gtest.h>
#include <set>

using namespace stifle;
using namespace stifle::mesh;

namespace
{
const ConstructMesh &pressed()
{
  static const ConstructMesh c = []
  {
    Scenario s = coarse_scenario();
    s.plate.bone_contact = "friction";
    const Anatomy a = make_anatomy(s);
    return mesh_construct(s, a, plan_levelling(s, a, radians(15)));
  }();
  return c;
}

Vector3 area_vector(const TetMesh &m, const Triangle &t)
{
  return 0.5 * (m.points[t[1]] - m.points[t[0]]).cross(m.points[t[2]] - m.points[t[0]]);
}
} // namespace

// Requirement: the plate presses on both segments: pairs of coincident faces, bone first, outward normal of the bone towards the
// plate (medial), and no corner of them on the cut. Where two segments meet under the plate a strip is left free.
TEST(PressedConstruct, PlateAndBoneShareFaces)
{
  const TetMesh &m = pressed().mesh;
  double area[2] = {0, 0};
  std::set<std::array<double, 3>> cut;
  const auto place = [&](unsigned v) { return std::array<double, 3>{m.points[v].x(), m.points[v].y(), m.points[v].z()}; };
  for (const FacePair &p : m.cut)
    for (const unsigned v : p.a)
      cut.insert(place(v));
  for (const FacePair &p : m.plate_contact)
  {
    ASSERT_LT(m.component[p.part_a], 2u);
    ASSERT_EQ(m.parts[p.part_b], "plate");
    for (int i = 0; i < 3; ++i)
    {
      EXPECT_EQ(m.points[p.a[i]], m.points[p.b[i]]);
      EXPECT_EQ(cut.count(place(p.a[i])), 0u);
    }
    EXPECT_GT(area_vector(m, p.a).y(), 0);
    area[m.component[p.part_a]] += area_vector(m, p.a).norm();
  }
  for (const double a : area)
    EXPECT_GT(a, 20); // a strip of 2 mm under 10 mm of plate at least
  EXPECT_TRUE(pressed().warnings.empty());
}

// Requirement: the plate is a ball with its screws in it (no hole is lost, no second piece), its boundary is closed, every face is
// paired or named, tetrahedra are positive.
TEST(PressedConstruct, TheMeshIsConforming)
{
  const TetMesh &m = pressed().mesh;
  for (std::size_t t = 0; t < m.tetrahedra.size(); ++t)
    ASSERT_GT(volume(m, t), 0);
  std::size_t named = 2 * (m.cut.size() + m.threads.size() + m.seats.size() + m.plate_contact.size());
  for (const Surface &s : m.surfaces)
    named += s.triangles.size();
  const auto boundary = boundary_faces(m);
  EXPECT_EQ(boundary.size(), named);
  std::set<unsigned> nodes;
  std::set<std::pair<unsigned, unsigned>> edges;
  long faces = 0;
  Vector3 sum = Vector3::Zero();
  for (const BoundaryFace &f : boundary)
    if (m.component[m.part[f.tetrahedron]] == 2)
    {
      ++faces;
      sum += area_vector(m, f.triangle);
      for (int i = 0; i < 3; ++i)
        nodes.insert(f.triangle[i]), edges.insert(std::minmax(f.triangle[i], f.triangle[(i + 1) % 3]));
    }
  EXPECT_EQ(long(nodes.size()) - long(edges.size()) + faces, 2);
  EXPECT_LT(sum.norm(), 1e-9 * faces);
  EXPECT_GT(pressed().worst_quality, 0.02);
}

// Requirement: the plate is shaped no deeper than asked: it loses at most depth times the area where it presses (the strip too).
TEST(PressedConstruct, ThePlateKeepsItsThickness)
{
  const TetMesh &m = pressed().mesh;
  double area = 0;
  for (const FacePair &p : m.plate_contact)
    area += area_vector(m, p.b).norm();
  if (const Surface *strip = m.find_surface("plate_strip"))
    for (const Triangle &t : strip->triangles)
      area += 0.5 * area_vector(m, t).norm();
  Scenario s = coarse_scenario();
  s.plate.stand_off_mm = 0.5;
  const Anatomy a = make_anatomy(s);
  const ConstructMesh free = mesh_construct(s, a, plan_levelling(s, a, radians(15)));
  const double whole = part_volume(free.mesh, free.mesh.find_part("plate")), shaped = part_volume(m, m.find_part("plate"));
  EXPECT_LT(shaped, whole);
  EXPECT_GT(shaped, whole - 0.25 * area - 0.01 * whole); // 1 %: facets of two meshes
}

// Structured blocks: counts, volumes and surfaces by hand; rings against the closed form of the inscribed polygon.
#include "mesh/block.h"
#include "models/core/error.h"
#include <gtest/gtest.h>
#include <set>

using namespace stifle;
using namespace stifle::mesh;

namespace
{
double area(const TetMesh &m, const std::vector<Triangle> &triangles)
{
  double sum = 0;
  for (const Triangle &t : triangles)
    sum += 0.5 * (m.points[t[1]] - m.points[t[0]]).cross(m.points[t[2]] - m.points[t[0]]).norm();
  return sum;
}
double total_volume(const TetMesh &m)
{
  double sum = 0;
  for (std::size_t t = 0; t < m.tetrahedra.size(); ++t)
    sum += volume(m, t);
  return sum;
}
/// Smallest volume: a test of orientation.
double least_volume(const TetMesh &m)
{
  double least = 1e300;
  for (std::size_t t = 0; t < m.tetrahedra.size(); ++t)
    least = std::min(least, volume(m, t));
  return least;
}
} // namespace

// Requirement: both splits fill the box exactly; 6 and 24 tetrahedra a cell; surfaces are the six rectangles, outward.
TEST(Block, FillsABoxAndNamesItsFaces)
{
  for (unsigned split : {6u, 24u})
  {
    BlockOptions o;
    o.cells = {3, 2, 4};
    o.split = split;
    o.map = [](const Vector3 &x) { return Vector3(2 * x.x(), 3 * x.y(), 5 * x.z()); };
    const TetMesh m = block_mesh(o);
    EXPECT_EQ(m.tetrahedra.size(), 24u * split);
    EXPECT_NEAR(total_volume(m), 30, 1e-12);
    EXPECT_GT(least_volume(m), 0);
    const double expected[6] = {15, 15, 10, 10, 6, 6};
    for (int s = 0; s < 6; ++s)
    {
      EXPECT_NEAR(area(m, m.surfaces[s].triangles), expected[s], 1e-12) << m.surfaces[s].name;
      for (const Triangle &t : m.surfaces[s].triangles)
      {
        const Vector3 n = (m.points[t[1]] - m.points[t[0]]).cross(m.points[t[2]] - m.points[t[0]]);
        EXPECT_GT(n[s / 2] * (s % 2 ? 1 : -1), 0) << m.surfaces[s].name;
      }
    }
  }
}

// Requirement: every inner face has two tetrahedra (conforming). Hand count: 4 T = 2 inner + boundary, boundary of a
// 3 x 2 x 4 grid = 2 (6 + 12 + 8) = 52 squares, 2 triangles each (split 6) or 4 (split 24).
TEST(Block, IsConforming)
{
  for (unsigned split : {6u, 24u})
  {
    BlockOptions o;
    o.cells = {3, 2, 4};
    o.split = split;
    EXPECT_EQ(boundary_faces(block_mesh(o)).size(), 52u * (split == 6 ? 2 : 4));
  }
}

// Requirement: a mirroring map still gives positive volumes.
TEST(Block, TurnsMirroredTetrahedra)
{
  BlockOptions o;
  o.map = [](const Vector3 &x) { return Vector3(-x.x(), x.y(), x.z()); };
  EXPECT_GT(least_volume(block_mesh(o)), 0);
}

// Requirement: the cut doubles nodes, pairs coincide corner by corner, sides are components 0 (upper) and 1 (lower).
TEST(Block, CutPairsCoincideAndShareNoNode)
{
  BlockOptions o;
  o.cells = {3, 2, 4};
  o.cut_layer = 1;
  o.map = [](const Vector3 &x) { return Vector3(2 * x.x(), 3 * x.y(), 5 * x.z() + x.x()); };
  const TetMesh m = block_mesh(o);
  ASSERT_EQ(m.cut.size(), 12u); // 6 squares of 2 triangles
  std::set<unsigned> upper, lower;
  for (std::size_t t = 0; t < m.tetrahedra.size(); ++t)
    (m.component[m.part[t]] == 0 ? upper : lower).insert(m.tetrahedra[t].begin(), m.tetrahedra[t].end());
  for (unsigned v : upper)
    EXPECT_FALSE(lower.count(v));
  for (const FacePair &p : m.cut)
    for (int c = 0; c < 3; ++c)
    {
      EXPECT_TRUE(upper.count(p.a[c]) && lower.count(p.b[c]));
      EXPECT_EQ(m.points[p.a[c]], m.points[p.b[c]]);
    }
  EXPECT_EQ(m.points.size(), 12u * 5 + 12); // one doubled layer of 4 x 3 points
  EXPECT_GE(m.find_part("block_proximal"), 0);
  EXPECT_GE(m.find_part("block_distal"), 0);
}

// Requirement: a closed ring has no seam. Volume of an n-gon ring: n/2 sin(2 pi/n) (ro^2 - ri^2) h.
TEST(Block, ClosesARing)
{
  BlockOptions o;
  o.cells = {2, 16, 3};
  o.merge_mm = 1e-6;
  o.map = [](const Vector3 &x)
  {
    const double r = 10 + 5 * x.x(), a = 2 * pi * x.y();
    return Vector3(r * std::cos(a), r * std::sin(a), 7 * x.z());
  };
  const TetMesh m = block_mesh(o);
  EXPECT_NEAR(total_volume(m), 8 * std::sin(pi / 8) * (225 - 100) * 7, 1e-9);
  EXPECT_TRUE(m.find_surface("y0")->triangles.empty());
  EXPECT_TRUE(m.find_surface("y1")->triangles.empty());
  EXPECT_NEAR(area(m, m.find_surface("x1")->triangles), 16 * 2 * 15 * std::sin(pi / 16) * 7, 1e-9);
}

// Requirement: parts by place; `keep` opens a hole whose faces are `inner`. 3 x 3 x 1 squares of side 1/3, middle out.
TEST(Block, NamesPartsAndLeavesHoles)
{
  BlockOptions o;
  o.cells = {3, 3, 1};
  o.part = [](const Vector3 &x) { return x.x() < 1.0 / 3 ? "left" : "right"; };
  o.keep = [](const Vector3 &x) { return (x - Vector3(0.5, 0.5, 0.5)).norm() > 0.1; };
  const TetMesh m = block_mesh(o);
  EXPECT_NEAR(total_volume(m), 8.0 / 9, 1e-12);
  EXPECT_NEAR(part_volume(m, m.find_part("left")), 1.0 / 3, 1e-12);
  EXPECT_NEAR(area(m, m.find_surface("inner")->triangles), 4.0 / 3, 1e-12);
}

// Requirement: options that cannot be are refused by name.
TEST(Block, RefusesImpossibleOptions)
{
  BlockOptions o;
  o.cut_layer = 1;
  EXPECT_THROW(block_mesh(o), Error);
  o = {}, o.split = 5;
  EXPECT_THROW(block_mesh(o), Error);
  o = {}, o.lines[0] = {0, 0.5, 1};
  EXPECT_THROW(block_mesh(o), Error);
}

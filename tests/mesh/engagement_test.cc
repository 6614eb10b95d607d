// How much bone a screw holds in: a square peg of 2 x 2 mm along -y, drawn by hand.
#include "mesh/engagement.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::mesh;

namespace
{
/// Four sides of the peg between two places along its axis, as thread faces on `bone`.
void add_sides(TetMesh &mesh, double from_mm, double to_mm, unsigned bone)
{
  const std::array<std::array<double, 2>, 4> ring = {{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}}};
  const auto point = [&](int i, double depth)
  {
    mesh.points.push_back({ring[i % 4][0], -depth, ring[i % 4][1]});
    return static_cast<unsigned>(mesh.points.size() - 1);
  };
  for (int i = 0; i < 4; ++i)
  {
    const unsigned a = point(i, from_mm), b = point(i + 1, from_mm), c = point(i + 1, to_mm), d = point(i, to_mm);
    mesh.threads.push_back({{a, b, c}, {}, 0, bone});
    mesh.threads.push_back({{a, c, d}, {}, 0, bone});
  }
}

ConstructMesh peg()
{
  ConstructMesh construct;
  construct.mesh.parts = {"screw_1", "cortex_distal", "cancellous_distal"};
  construct.screws = {{"screw_1", {0, 0, 0}, {0, -2, 0}, {0, -20, 0}, false}};
  return construct;
}
} // namespace

// Requirement: 3 mm in cortex and 7 mm in cancellous bone are found as such; the face at the end counts for neither.
TEST(Engagement, SharesTheLengthByTheBoneAround)
{
  ConstructMesh construct = peg();
  add_sides(construct.mesh, 2, 5, 1);
  add_sides(construct.mesh, 5, 12, 2);
  const unsigned n = static_cast<unsigned>(construct.mesh.points.size());
  for (const Vector3 &corner : {Vector3(-1, -12, -1), Vector3(1, -12, -1), Vector3(1, -12, 1)})
    construct.mesh.points.push_back(corner);
  construct.mesh.threads.push_back({{n, n + 1, n + 2}, {}, 0, 2});
  const auto held = screw_engagement(construct);
  ASSERT_EQ(held.size(), 1u);
  EXPECT_EQ(held[0].screw, "screw_1");
  EXPECT_NEAR(held[0].cortex_mm, 3, 1e-12);
  EXPECT_NEAR(held[0].cancellous_mm, 7, 1e-12);
}

// Requirement: a screw that touches no bone holds in none.
TEST(Engagement, IsZeroWithoutThreads)
{
  const auto held = screw_engagement(peg());
  ASSERT_EQ(held.size(), 1u);
  EXPECT_EQ(held[0].cortex_mm + held[0].cancellous_mm, 0);
}

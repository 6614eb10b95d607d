// Surfaces that pass through themselves are found and the place is named. Places by hand.
#include "models/core/error.h"
#include "models/parts/surface_crossing.h"
#include "tests/support/shapes.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::test;

// Requirement: a ball, a block and two bodies apart pass through nothing.
TEST(SurfaceCrossing, FindsNoneWhereThereIsNone)
{
  EXPECT_EQ(find_crossings(sphere(10, 3)).pairs, 0u);
  EXPECT_EQ(find_crossings(block(Vector3(-1, -2, -3), Vector3(1, 2, 3))).pairs, 0u);
  EXPECT_EQ(find_crossings(joined(block(Vector3(0, 0, 0), Vector3(1, 1, 1)), block(Vector3(1.01, 0, 0), Vector3(2, 1, 1)))).pairs, 0u);
}

// Requirement: a rod through a plate is found at the plate. The rod, 0.2 mm wide about (0.31, 0.17), passes the planes z = 0 and
// z = 1 of the plate: the place has one of these heights or lies on a wall of the rod between them, within 0.1 mm of its axis.
TEST(SurfaceCrossing, NamesThePlace)
{
  const TriangleSurface plate = block(Vector3(-5, -5, 0), Vector3(5, 5, 1));
  const TriangleSurface rod = block(Vector3(0.21, 0.07, -8), Vector3(0.41, 0.27, 8));
  const SurfaceCrossings c = find_crossings(joined(plate, rod));
  EXPECT_GE(c.pairs, 8u); // four walls through two faces
  EXPECT_NEAR(c.place.x(), 0.31, 0.1 + 1e-12);
  EXPECT_NEAR(c.place.y(), 0.17, 0.1 + 1e-12);
  EXPECT_TRUE(std::abs(c.place.z()) < 1e-12 || std::abs(c.place.z() - 1) < 1e-12) << c.place.z();
  try
  {
    check_crossings(joined(plate, rod), "tibia.surface", "bone.stl");
    FAIL();
  }
  catch (const InputError &error)
  {
    EXPECT_NE(std::string(error.what()).find("passes through itself"), std::string::npos);
    EXPECT_NE(std::string(error.what()).find("near x = 0."), std::string::npos) << error.what();
  }
}

// Requirement: the count does not depend on where the surface lies: the same pairs after a shift by an odd amount.
TEST(SurfaceCrossing, DoesNotDependOnThePlace)
{
  TriangleSurface two = joined(sphere(10, 3), sphere(10, 3));
  for (std::size_t i = two.points.size() / 2; i < two.points.size(); ++i)
    two.points[i] += Vector3(7.3, 1.1, 0.4);
  const std::size_t pairs = find_crossings(two).pairs;
  EXPECT_GT(pairs, 20u); // two balls meet in a circle
  for (Vector3 &p : two.points)
    p += Vector3(0.777, -133.3, 41.9);
  EXPECT_EQ(find_crossings(two).pairs, pairs);
}

// Surfaces of users: read as they are, refused by name when no contact can be computed on them.
#include "models/core/error.h"
#include "models/parts/joint_surfaces.h"
#include "models/parts/surface.h"
#include "tests/models/core/temporary.h"
#include "tests/support/refusal.h"
#include "tests/support/shapes.h"
#include <gtest/gtest.h>
#include <random>

using namespace stifle;
using namespace stifle::test;

namespace
{
std::string parsing(const std::string &bytes)
{
  return refused_with<InputError>([&] { parse_stl(bytes, "bone.stl"); });
}
std::string checking(const TriangleSurface &surface, const SurfaceExpectations &wish = {})
{
  return refused_with<InputError>([&] { check_surface(surface, wish, "bone.stl"); });
}
void expect_holds(const std::string &text, const std::vector<std::string> &parts)
{
  for (const std::string &part : parts)
    EXPECT_NE(text.find(part), std::string::npos) << "missing: " << part << "\n" << text;
}
SurfaceExpectations length(double mm)
{
  SurfaceExpectations wish;
  wish.bone = "tibia";
  wish.length_mm = mm;
  return wish;
}
const TriangleSurface cube = block(Vector3(-1, -2, -3), Vector3(1, 2, 3));
} // namespace

TEST(Stl, BinaryAndAsciiGiveTheSameSurface)
{
  // Euler: a closed surface without handles has 2 more corners and triangles than edges, so triangles = 2 corners - 4.
  const TriangleSurface ball = sphere(10, 3);
  for (const std::string &bytes : {ascii_stl(ball), binary_stl(ball)})
  {
    const TriangleSurface read = parse_stl(bytes, "ball.stl");
    EXPECT_EQ(read.triangles.size(), 1280u);
    EXPECT_EQ(read.points.size(), 642u);
    EXPECT_NO_THROW(check_surface(read, {}, "ball.stl"));
  }
}

TEST(Stl, SizeDecidesWhetherAFileIsBinary)
{
  EXPECT_EQ(parse_stl(binary_stl(cube, "solid facet normal"), "x").triangles.size(), 12u);
}

TEST(Stl, AreaOfABlockIsThatOfItsFaces)
{
  // Hand calculation: 2 (2*4 + 4*6 + 2*6) = 88 mm^2.
  EXPECT_NEAR(surface_area_mm2(parse_stl(binary_stl(cube), "x")), 88, 1e-12);
}

TEST(Stl, MinusZeroIsTheSamePointAsZero)
{
  const std::string text =
      "solid\nfacet normal nan 0 0\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 +1 0\nendloop\nendfacet\n"
      "FACET NORMAL 0 0 0\r\nouter loop vertex -0 0 -0.0 vertex 0 1e0 0 vertex -1 0 0 endloop endfacet endsolid";
  EXPECT_EQ(parse_stl(text, "x").points.size(), 4u);
}

TEST(Stl, BrokenFilesAreRefusedByName)
{
  expect_holds(parsing(""), {"bone.stl", "the file is empty"});
  expect_holds(parsing("no bone"), {"this is no STL file", "7 bytes"});
  std::string cut = binary_stl(cube);
  cut.resize(cut.size() - 1);
  expect_holds(parsing(cut), {"cut off", "12 triangles", "683 bytes", "684 bytes"}); // 84 + 12 * 50 = 684
  std::string counted = binary_stl(cube);
  counted[83] = char(0xff);
  expect_holds(parsing(counted), {"does not fit the number of triangles"});
  expect_holds(parsing("solid\nfacet normal 0 0 0\nouter loop\nvertex 1 2 x\n"),
               {"bone.stl:4:1", "this is no ASCII STL", "a number"});
  expect_holds(parsing("solid\nfacet normal 0 0 0\nouter loop\nvertex 1 2"), {"end of the file"});
  expect_holds(parsing("solid a\nfacets\n"), {"bone.stl:2:1", "facets", "facet or endsolid"});
  expect_holds(parsing("solid\nfacet normal 0 0 0\nouter loop\nvertex 1 2 inf\n"), {"triangle 1", "not finite", "inf"});
  TriangleSurface infinite = cube;
  infinite.points[7].x() = std::numeric_limits<double>::infinity();
  expect_holds(parsing(binary_stl(infinite)), {"triangle 4", "not finite"}); // corner 7 is first used by the fourth triangle
  expect_holds(refused_with<InputError>([] { read_stl("/nowhere/bone.stl"); }), {"/nowhere/bone.stl", "does not exist"});
  expect_holds(refused_with<InputError>([] { read_stl("/tmp"); }), {"directory"});
}

TEST(Surface, EmptyOrNotFiniteIsRefused)
{
  expect_holds(checking({}), {"no triangle"});
  TriangleSurface bad = cube;
  bad.points[3].y() = std::nan("");
  expect_holds(checking(bad), {"triangle 2", "not finite"});
  bad = cube;
  bad.triangles[4][1] = 8;
  expect_holds(checking(bad), {"triangle 5", "not there"});
}

TEST(Surface, DegenerateAndRepeatedTrianglesAreNamed)
{
  TriangleSurface bad = cube;
  bad.triangles.push_back({0, 1, 1});
  expect_holds(checking(bad), {"1 triangle without area (degenerate)", "triangle 13"});
  bad = cube;
  bad.triangles.push_back({2, 1, 0});
  expect_holds(checking(bad), {"1 triangle given twice (duplicate)", "triangle 13"});
}

TEST(Surface, ATurnedTriangleIsNamed)
{
  TriangleSurface bad = cube;
  std::swap(bad.triangles[3][0], bad.triangles[3][1]);
  // Hand count: a triangle shares three edges with its neighbours, all three run the same way twice.
  expect_holds(checking(bad), {"3 edges between triangles turned against each other"});
}

TEST(Surface, AnEdgeOfThreeTrianglesIsNamed)
{
  TriangleSurface bad = cube;
  bad.points.emplace_back(0, 0, 9);
  bad.triangles.push_back({0, 1, 8});
  SurfaceExpectations open;
  open.open_share = 0.5;
  expect_holds(checking(bad, open), {"1 edge with more than two triangles (non-manifold)"});
}

TEST(Surface, HolesAreCountedAndMeasured)
{
  TriangleSurface bad = cube;
  bad.triangles.erase(bad.triangles.begin() + 2, bad.triangles.begin() + 4); // the top, 2 x 4 mm
  bad.triangles.erase(bad.triangles.begin());                                // half the bottom: 2, 4, sqrt(20) mm
  // Hand count: 12 + 6 = 18 edges less the diagonal of the top; rims 12 + 6 + 4.472 mm.
  expect_holds(checking(bad), {"not closed enough", "7 open edges", "41.2 %", "2 holes", "22.47 mm", "longest 12 mm"});
  SurfaceExpectations open;
  open.open_share = 0.42;
  EXPECT_EQ(checking(bad, open), "not refused");
}

TEST(Surface, InsideOutIsNamed)
{
  TriangleSurface bad = cube;
  for (auto &triangle : bad.triangles)
    std::swap(triangle[0], triangle[1]);
  expect_holds(checking(bad), {"inside out", "volume -48 mm^3"}); // 2 * 4 * 6
  // Far from the origin the sign must not change.
  expect_holds(checking(moved(bad, Matrix3::Identity(), Vector3(1e3, 0, 0))), {"inside out"});
  EXPECT_EQ(checking(moved(cube, Matrix3::Identity(), Vector3(1e3, 0, 0))), "not refused");
}

TEST(Surface, UnitsOtherThanMillimetresAreNamedWithTheirFactor)
{
  const auto bone = [](double size) { return block(Vector3::Zero(), Vector3(0.1, 0.1, 1) * size); };
  EXPECT_EQ(checking(bone(200), length(210)), "not refused");
  expect_holds(checking(bone(0.2), length(210)), {"metres (multiply by 1000)", "longest side 0.2"});
  expect_holds(checking(bone(20), length(210)), {"centimetres (multiply by 10)"});
  expect_holds(checking(bone(200 / 25.4), length(210)), {"inches (multiply by 25.4)", "7.874"});
  // Part of a bone: 4 may be 102 mm or 40 mm, both of which can be.
  expect_holds(checking(bone(4), length(210)), {"inches (multiply by 25.4) or centimetres (multiply by 10)"});
  expect_holds(checking(bone(380), length(210)), {"1.81 times as long as the tibia should be"});
}

TEST(Surface, AllProblemsComeTogether)
{
  TriangleSurface bad = block(Vector3::Zero(), Vector3(0.01, 0.01, 0.2));
  bad.triangles.push_back({0, 1, 1});
  bad.triangles.erase(bad.triangles.begin());
  expect_holds(checking(bad, length(210)), {"metres", "degenerate", "not closed enough", "3 errors in bone.stl"});
}

TEST(Surface, HostileBytesEndInASurfaceOrARefusal)
{
  std::mt19937 random(7);
  const TriangleSurface ball = sphere(10, 1);
  const std::vector<std::string> seeds = {ascii_stl(ball), binary_stl(ball), binary_stl(ball, "solid"), std::string(200, '\0')};
  int n_read = 0, n_refused = 0;
  for (int i = 0; i < 6000; ++i)
  {
    std::string bytes = seeds[random() % seeds.size()];
    for (unsigned k = random() % 6; k > 0; --k)
      switch (random() % 5)
      {
      case 0:
        bytes[random() % bytes.size()] = char(random());
        break;
      case 1:
        bytes.resize(1 + random() % bytes.size());
        break;
      case 2:
        bytes.insert(random() % bytes.size(), std::string(random() % 60, char(random())));
        break;
      case 3:
        bytes[std::min<std::size_t>(80 + random() % 4, bytes.size() - 1)] = char(random());
        break;
      default:
        bytes.erase(random() % bytes.size(), 50);
        bytes += ' ';
      }
    try
    {
      const TriangleSurface surface = parse_stl(bytes, "hostile.stl");
      ++n_read;
      ASSERT_LE(surface.triangles.size(), bytes.size() / 50 + 1);
      check_surface(surface, length(20), "hostile.stl");
    }
    catch (const InputError &)
    {
      ++n_refused;
    }
  }
  EXPECT_GT(n_read, 500);
  EXPECT_GT(n_refused, 500);
}

TEST(JointSurfaces, AreAbsentByDefault) { EXPECT_FALSE(read_joint_surfaces(Scenario())); }

TEST(JointSurfaces, AreReadInTheirFrames)
{
  const TemporaryFolder folder;
  Scenario s;
  s.tibia.surface = folder.write("tibia.stl", binary_stl(block(Vector3(-15, -20, -200), Vector3(15, 20, 0))));
  s.joint.femur_surface = folder.write("femur.stl", ascii_stl(block(Vector3(-13, -20, -13), Vector3(13, 20, 190))));
  const auto pair = read_joint_surfaces(s);
  ASSERT_TRUE(pair);
  EXPECT_EQ(pair->tibia.triangles.size(), 12u);
  EXPECT_EQ(pair->femur.points.size(), 8u);
}

TEST(JointSurfaces, RefusalsNameKeyAndFileAndComeTogether)
{
  const TemporaryFolder folder;
  Scenario s;
  const TriangleSurface far = block(Vector3(-15, -20, -300), Vector3(15, 20, -100));
  s.tibia.surface = folder.write("tibia.stl", binary_stl(far));
  s.joint.femur_surface = folder.write("femur.stl", "solid\nfacett");
  const std::string text = refused_with<InputError>([&] { read_joint_surfaces(s); });
  expect_holds(text, {"tibia.stl: tibia.surface: the surface is not in the frame of the tibia", "100 mm from the origin",
                      "femur.stl:2:1: joint.femur_surface: this is no ASCII STL", "2 errors in 2 files"});
}

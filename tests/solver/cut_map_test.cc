// Requirements of the map of the cut: what each face does in one state; expected values by hand and from balance.
#include "tests/solver/block_construct.h"
#include <cmath>
#include <gtest/gtest.h>
#include <numeric>

using namespace stifle;
using namespace stifle::solver;

namespace
{
constexpr double contact_stiffness = 1e4; // CutLaw's own

std::vector<CutMapFace> map_of(const BlockShape &shape, const PointForce &load, const CutLaw &law, ConstructState *state = nullptr)
{
  const auto     block = block_construct(shape);
  ConstructModel model(block, block_anatomy(), Levelling(), block_materials());
  const auto     solved = model.solve({load}, law);
  EXPECT_TRUE(solved.converged);
  if (state)
    *state = solved;
  return model.cut_map(0);
}

template <class Value> double over_area(const std::vector<CutMapFace> &map, Value value)
{
  return std::accumulate(map.begin(), map.end(), 0.0, [&](double sum, const CutMapFace &f) { return sum + f.area_mm2 * value(f); });
}
} // namespace

// Requirement: under uniform pressure every face sticks and bears it. Hand: 360 N on 6 x 6 mm = 10 MPa, closed by 10 / 1e4 mm.
TEST(CutMap, ShowsUniformPressure)
{
  const auto map = map_of(BlockShape(), top_load({0, 0, 8}, {0, 0, -360}), CutLaw());
  ASSERT_EQ(map.size(), 8u); // 2 x 2 squares of 2 triangles
  EXPECT_NEAR(over_area(map, [](const CutMapFace &) { return 1.0; }), 36, 1e-9);
  for (const CutMapFace &face : map)
  {
    EXPECT_EQ(face.touch, CutTouch::stuck);
    EXPECT_NEAR(face.touching, 1, 1e-12);
    EXPECT_NEAR(face.pressure_mpa, 10, 1e-6);
    EXPECT_NEAR(face.opening_mm, -10 / contact_stiffness, 1e-9);
    EXPECT_NEAR(face.slip_mm, 0, 1e-9);
    for (const Vector3 &corner : face.corners_mm)
      EXPECT_NEAR(corner.z(), 4, 1e-12); // the cut lies at half the height
  }
}

// Requirement: contact and callus are told apart. Hand, a gap of 0.4 mm and callus of 10 N/mm^3 under 10 MPa: 10 = 10 w + 1e4 (w - 0.4),
// w = 4010 / 10010 mm; a gap of 2 mm stays open and callus bears all of it.
TEST(CutMap, TellsCallusFromContact)
{
  CutLaw law;
  law.callus_normal = law.callus_tangential = 10;
  law.gap_mm = 0.4;
  const PointForce load = top_load({0, 0, 8}, {0, 0, -360});
  const double w = 4010.0 / 10010;
  for (const CutMapFace &face : map_of(BlockShape(), load, law))
  {
    EXPECT_EQ(face.touch, CutTouch::stuck);
    EXPECT_NEAR(face.callus_mpa, 10 * w, 1e-6);
    EXPECT_NEAR(face.pressure_mpa, 10 - 10 * w, 1e-6);
    EXPECT_NEAR(face.opening_mm, -w, 1e-7);
  }
  law.gap_mm = 2;
  for (const CutMapFace &face : map_of(BlockShape(), load, law))
  {
    EXPECT_EQ(face.touch, CutTouch::open);
    EXPECT_EQ(face.touching, 0);
    EXPECT_EQ(face.pressure_mpa, 0);
    EXPECT_NEAR(face.callus_mpa, 10, 1e-6);
  }
}

// Requirement: faces that slide say so, and how far. Hand, 10 MPa on a cut leaning by 0.2 rad with friction 0.1 and callus of 10 N/mm^3
// along it: p = 10 cos^2, shear 10 sin cos = friction p + 10 w_t; slip = w_t - friction p / k.
TEST(CutMap, MeasuresTheSlide)
{
  BlockShape shape;
  shape.slope_rad = 0.2;
  CutLaw law;
  law.friction          = 0.1;
  law.callus_tangential = 10;
  const double p = 10 * std::pow(std::cos(0.2), 2), shear = 10 * std::sin(0.2) * std::cos(0.2), w = (shear - 0.1 * p) / 10;
  for (const CutMapFace &face : map_of(shape, top_load({0, 0, 8}, {0, 0, -360}), law))
  {
    EXPECT_EQ(face.touch, CutTouch::slip);
    EXPECT_NEAR(face.pressure_mpa, p, 1e-5);
    EXPECT_NEAR(face.slip_mm, w - 0.1 * p / contact_stiffness, 1e-6);
  }
}

// Requirement: a load outside the core opens the far side; pressure times area still is the load, and the area that touches is
// that of the table (balance; core of a 6 mm square: 1 mm).
TEST(CutMap, BearsTheLoadOnTheSideThatTouches)
{
  BlockShape shape;
  shape.across = 6;
  ConstructState state;
  const auto map = map_of(shape, top_load({1.8, 0, 8}, {0, 0, -360}), CutLaw(), &state);
  EXPECT_NEAR(over_area(map, [](const CutMapFace &f) { return f.pressure_mpa; }), 360, 1e-6);
  EXPECT_NEAR(100 * over_area(map, [](const CutMapFace &f) { return f.touching; }) / 36, state.cut.contact_percent, 1e-9);
  EXPECT_LT(state.cut.contact_percent, 95);
  int open = 0;
  for (const CutMapFace &face : map)
  {
    const double x = (face.corners_mm[0].x() + face.corners_mm[1].x() + face.corners_mm[2].x()) / 3;
    if (face.touch != CutTouch::open)
      continue;
    ++open;
    EXPECT_LT(x, 0);
    EXPECT_GT(face.opening_mm, 0);
  }
  EXPECT_GT(open, 0);
}

// Requirement: a tied cut has no contact to show.
TEST(CutMap, IsEmptyForATiedCut)
{
  CutLaw law;
  law.bonded = true;
  EXPECT_TRUE(map_of(BlockShape(), top_load({0, 0, 8}, {0, 0, -360}), law).empty());
}

// Requirements of the packed surface: which faces it keeps and how they are written; two tetrahedra worked out by hand.
#include "viz/surface_pack.h"
#include <cstdint>
#include <cstring>
#include <gtest/gtest.h>
#include <set>

using namespace stifle;
using namespace stifle::viz;

namespace
{
/// Two tetrahedra that share the face x + y + z = 10; corners 0 to 4, mid-sides left at the origin (a surface does not use them).
FieldData two_tetrahedra(bool two_parts)
{
  FieldData field;
  field.points_mm = {{0, 0, 0}, {10, 0, 0}, {0, 10, 0}, {0, 0, 10}, {10, 10, 10}};
  field.cells = {{{0, 1, 2, 3, 0, 0, 0, 0, 0, 0}}, {{1, 2, 3, 4, 0, 0, 0, 0, 0, 0}}};
  field.part = {0, two_parts ? 1 : 0};
  field.part_names = {"cortex_proximal", "plate"};
  for (int i = 0; i < 5; ++i)
  {
    field.displacement_mm.push_back(Vector3(0.3 * i, 0, -0.4 * i)); // sizes 0, 0.5, 1, 1.5, 2
    field.von_mises_mpa.push_back(100.1 + i);
  }
  return field;
}

template <class T> T number(const std::string &bytes, std::size_t at)
{
  T value;
  std::memcpy(&value, bytes.data() + at, sizeof value);
  return value;
}

/// Opens the index differences again: triangles as point numbers of the surface.
std::vector<std::array<int, 3>> triangles(const PackedSurface &surface)
{
  std::vector<std::array<int, 3>> faces(surface.triangles);
  int before = 0;
  for (std::size_t i = 0; i < 3 * faces.size(); ++i)
    faces[i / 3][i % 3] = before += number<std::int32_t>(surface.bytes, 6 * surface.points + 4 * i);
  return faces;
}

Vector3 position(const PackedSurface &surface, int point)
{
  Vector3 p;
  for (int c = 0; c < 3; ++c)
    p(c) = surface.low(c) + surface.size(c) * number<std::uint16_t>(surface.bytes, 2 * (3 * point + c)) / 65535.0;
  return p;
}
} // namespace

// Requirement: a face between two cells of one part is inside; by hand 2 * 4 - 2 = 6 faces on 5 points.
TEST(SurfacePack, LeavesOutFacesInsideAPart)
{
  const PackedSurface surface = pack_surface(two_tetrahedra(false)).surface;
  EXPECT_EQ(surface.triangles, 6u);
  EXPECT_EQ(surface.points, 5u);
  ASSERT_EQ(surface.parts.size(), 1u); // a part without cells is not named
  EXPECT_EQ(surface.bytes.size(), 5 * 6 + 6 * 3 * 4u);
}

// Requirement: a border between two parts is a face of both, so that one can be cut away; 4 + 4 faces.
TEST(SurfacePack, KeepsTheBorderOfEachPart)
{
  const PackedSurface surface = pack_surface(two_tetrahedra(true)).surface;
  ASSERT_EQ(surface.parts.size(), 2u);
  EXPECT_EQ(surface.parts[0].name, "cortex_proximal");
  EXPECT_EQ(surface.parts[0].triangles, 4u);
  EXPECT_EQ(surface.parts[1].first_triangle, 4u);
  EXPECT_EQ(surface.parts[1].triangles, 4u);
}

// Requirement: opened again, the faces are those of the cells, each seen from outside (the page draws only faces towards the eye).
TEST(SurfacePack, OpensToTheSameFaces)
{
  const FieldData field = two_tetrahedra(true);
  const SurfacePoints packed = pack_surface(field);
  std::set<std::set<unsigned>> faces;
  const auto all = triangles(packed.surface);
  for (std::size_t t = 0; t < 4; ++t) // of the first cell
  {
    std::set<unsigned> face;
    for (const int p : all[t])
      face.insert(packed.point.at(std::size_t(p)));
    faces.insert(face);
    const Vector3 a = position(packed.surface, all[t][0]), b = position(packed.surface, all[t][1]), c = position(packed.surface, all[t][2]);
    EXPECT_GT((b - a).cross(c - a).dot((a + b + c) / 3 - Vector3(2.5, 2.5, 2.5)), 0) << t; // 2.5: centre of the first cell
  }
  EXPECT_EQ(faces, (std::set<std::set<unsigned>>{{0, 1, 2}, {0, 1, 3}, {0, 2, 3}, {1, 2, 3}}));
}

// Requirement: places are off by at most half a count: 10 mm / 65535 / 2 in each direction.
TEST(SurfacePack, PlacesAreOffByHalfACount)
{
  FieldData field = two_tetrahedra(false);
  field.points_mm[2] = Vector3(1.234567, 9.876543, 0.333333);
  const SurfacePoints packed = pack_surface(field);
  for (std::size_t p = 0; p < packed.point.size(); ++p)
    EXPECT_LT((position(packed.surface, int(p)) - field.points_mm[packed.point[p]]).cwiseAbs().maxCoeff(), 10.0 / 65535 / 2 * 1.000001);
}

// Requirement: what the page prints is the number of the field file (float32: 7 digits); what it only draws is off by half a count.
TEST(SurfacePack, PrintedValuesAreThoseOfTheFile)
{
  const FieldData field = two_tetrahedra(false);
  const SurfacePoints packed = pack_surface(field);
  const PackedField values = pack_field(field, packed.point);
  ASSERT_EQ(values.bytes.size(), 5 * (4 + 4 + 6u));
  EXPECT_NEAR(values.displacement_unit_mm, 1.6 / 32767, 1e-12); // largest component: 0.4 * 4
  for (std::size_t p = 0; p < 5; ++p)
  {
    const unsigned point = packed.point[p];
    EXPECT_EQ(number<float>(values.bytes, 4 * p), float(field.von_mises_mpa[point]));
    EXPECT_FLOAT_EQ(number<float>(values.bytes, 20 + 4 * p), 0.5f * float(point)); // 3-4-5 triangle
    for (int c = 0; c < 3; ++c)
      EXPECT_NEAR(number<std::int16_t>(values.bytes, 40 + 2 * (3 * p + std::size_t(c))) * values.displacement_unit_mm,
                  field.displacement_mm[point](c), values.displacement_unit_mm / 2 * 1.000001);
  }
}

// Requirement: nothing to draw and nothing that moves give no error.
TEST(SurfacePack, TakesAnEmptyFieldAndOneAtRest)
{
  EXPECT_EQ(pack_surface(FieldData{}).surface.points, 0u);
  FieldData still = two_tetrahedra(false);
  for (Vector3 &u : still.displacement_mm)
    u.setZero();
  EXPECT_EQ(pack_field(still, pack_surface(still).point).displacement_unit_mm, 0);
}

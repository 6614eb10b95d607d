// Requirements of the crest of the tibia: it ends at the tendon insertion, wherever a film finds that.
#include "mesh/bone_shape.h"
#include "mesh/construct.h"
#include <algorithm>
#include <gtest/gtest.h>
#include <tuple>

using namespace stifle;
using namespace stifle::mesh;

namespace
{
Anatomy with_insertion(double cranial_mm, double proximal_mm)
{
  Scenario s;
  s.tibia.tuberosity_cranial_mm = cranial_mm;
  s.tibia.tuberosity_proximal_mm = proximal_mm;
  return make_anatomy(s);
}
} // namespace

// Requirement: sections stay in order down the bone, the crest passes the insertion and falls off from it, the shaft stays; by
// hand for an insertion 3 mm cranial and 14 mm distal of (31, -14): the section at -42 lies at the part (82 - 42)/(82 - 14) =
// 0.588 of the move, z = -50.24, cranial 21.5 + 1.765 = 23.265 mm.
TEST(Crest, GoesAlongWithTheInsertion)
{
  const auto own = bone_sections(make_anatomy(Scenario()));
  const auto moved = bone_sections(with_insertion(34, -28));
  EXPECT_NEAR(moved[4].z, -50.235, 1e-3);
  EXPECT_NEAR(moved[4].cranial, 23.265, 1e-3);
  EXPECT_EQ(moved[6].z, own[6].z);
  EXPECT_EQ(moved[6].cranial, own[6].cranial);
  for (const auto &[x, z] : {std::pair(31.0, -14.0), std::pair(36.0, -6.0), std::pair(26.0, -28.0), std::pair(30.0, -60.0)})
  {
    const auto sections = bone_sections(with_insertion(x, z));
    EXPECT_EQ(sections[2].z, z);
    EXPECT_EQ(sections[2].cranial, x);
    for (std::size_t i = 1; i < sections.size(); ++i)
      EXPECT_LT(sections[i].z, sections[i - 1].z) << x << " " << z << " " << i;
    for (std::size_t i = 3; i < 7; ++i)
      EXPECT_LT(sections[i].cranial, sections[i - 1].cranial) << x << " " << z << " " << i;
  }
}

// Requirement: the bone with its core, and the construct on it, mesh wherever a film puts the insertion.
TEST(Crest, CarriesItsConstruct)
{
  for (const auto &[x, z, slope_deg] : {std::tuple(34.0, -14.0, 6.0), std::tuple(26.0, -28.0, 25.0)})
  {
    Scenario s;
    s.tibia.tuberosity_cranial_mm = x;
    s.tibia.tuberosity_proximal_mm = z;
    s.mesh.bone_size_mm = 4;
    const Anatomy a = make_anatomy(s);
    const bool cut = slope_deg < s.tibia.plateau_angle_deg;
    const ConstructMesh construct = mesh_construct(s, a, cut ? plan_levelling(s, a, radians(slope_deg)) : no_levelling(a));
    EXPECT_GT(construct.worst_quality, 0.05) << x << " " << z;
    for (const char *part : {"cortex_distal", "cancellous_distal"})
      EXPECT_GE(construct.mesh.find_part(part), 0) << part << " " << x << " " << z;
    EXPECT_EQ(construct.mesh.find_part("plate") >= 0, cut);
    double tip = 0; // the skin reaches the insertion
    for (const Vector3 &p : construct.mesh.points)
      tip = std::max(tip, std::abs(p.z() - z) < 4 ? p.x() : 0.0);
    EXPECT_NEAR(tip, x, 0.5);
  }
}

// A user's plate in the construct. The user here is our own parametric plate, written as STEP and read back, in its own frame or
// turned: the construct must be the parametric one. Expected values: that identity, the keys of the scenario, hand calculations.
#include "mesh/construct.h"
#include "mesh/construct_cad.h"
#include "mesh/screw_rules.h"
#include "mesh/session.h"
#include "mesh/user_plate.h"
#include "models/core/error.h"
#include "tests/support/coarse_scenario.h"
#include "tests/support/refusal.h"
#include <filesystem>
#include <gtest/gtest.h>
#include <unistd.h>

using namespace stifle;
using namespace stifle::mesh;

namespace
{
constexpr double slope_deg = 6;

std::string step_file()
{
  static const std::string file =
      (std::filesystem::temp_directory_path() / ("stifle_user_plate_" + std::to_string(::getpid()) + ".step")).string();
  static const bool written = []
  {
    const Scenario s = coarse_scenario();
    const Anatomy a = make_anatomy(s);
    const GmshSession session;
    return write_plate_step(s, a, plan_levelling(s, a, radians(slope_deg)), file) > 0;
  }();
  return written ? file : "";
}

/// The file of the parametric plate lies in the tibia frame: landmarks go where they are, but for `turn` and `shift`.
Scenario with_plate(const Vector3 &shift = Vector3::Zero())
{
  Scenario s = coarse_scenario();
  s.plate.file = step_file();
  s.plate.landmarks_plate_mm = {0, 20, -10, -2, 12, -60, -10, 20, -10};
  for (int i = 0; i < 9; ++i)
    s.plate.landmarks_bone_mm.push_back(s.plate.landmarks_plate_mm[i] + shift[i % 3]);
  return s;
}
Levelling cut_of(const Scenario &s) { return plan_levelling(s, make_anatomy(s), radians(slope_deg)); }
ConstructMesh mesh_of(const Scenario &s) { return mesh_construct(s, make_anatomy(s), cut_of(s)); }
std::string refusal(const Scenario &s)
{
  return test::refused_with<std::exception>([&] { check_construct(s, make_anatomy(s), cut_of(s)); });
}
} // namespace

// Requirement: the plate of the file stands where the parametric one stands: the same screws at the same places with the same
// names, the same volumes of plate and bone to 1e-3; the tetrahedra differ.
TEST(UserPlate, OwnPlateGivesTheSameConstruct)
{
  const ConstructMesh own = mesh_of(coarse_scenario()), read = mesh_of(with_plate());
  ASSERT_EQ(read.screws.size(), own.screws.size());
  for (std::size_t i = 0; i < own.screws.size(); ++i)
  {
    EXPECT_EQ(read.screws[i].name, own.screws[i].name);
    EXPECT_EQ(read.screws[i].proximal, own.screws[i].proximal);
    EXPECT_LT((read.screws[i].entry - own.screws[i].entry).norm(), 0.01) << own.screws[i].name;
    EXPECT_LT((read.screws[i].tip - own.screws[i].tip).norm(), 0.01) << own.screws[i].name;
  }
  ASSERT_EQ(read.mesh.parts, own.mesh.parts);
  double bone = 0, bone_read = 0;
  for (unsigned p = 0; p < own.mesh.parts.size(); ++p)
  {
    const double here = part_volume(own.mesh, p), there = part_volume(read.mesh, p);
    if (own.mesh.component[p] < 2)
      bone += here, bone_read += there;
    else if (own.mesh.parts[p] == "plate")
      EXPECT_NEAR(there, here, 1e-3 * here);
    else // its head ends inside the hole: up to 0.4 + 2.9 x 0.53 / 2 = 1.2 mm of 19 to 32 mm
      EXPECT_NEAR(there, here, 0.065 * here) << own.mesh.parts[p];
  }
  EXPECT_NEAR(bone_read, bone, 1e-3 * bone);
  EXPECT_NEAR(read.cut_area_mm2, own.cut_area_mm2, 1e-2 * own.cut_area_mm2);
  EXPECT_GT(read.worst_quality, 0.1);
}

// Requirement: landmarks that lie off by a millimetre along y are made good by the seat, so the list of holes says where the plate
// stands: six holes of 2.9 mm, three in each segment, at the places of the keys of the scenario.
TEST(UserPlate, ListsTheHolesForTheUser)
{
  const Scenario s = with_plate(Vector3(0, 1, 0));
  const auto lines = check_construct(s, make_anatomy(s), cut_of(s));
  ASSERT_EQ(lines.size(), 8u);
  EXPECT_NE(lines[0].find("6 holes"), std::string::npos) << lines[0];
  EXPECT_NE(lines[0].find("-1.0"), std::string::npos) << lines[0]; // moved back
  const char *const places[] = {"-10.00", "3.00", "-4.00", "-2.00", "-2.00", "-2.00"};
  for (int i = 0; i < 6; ++i)
  {
    EXPECT_NE(lines[i + 2].find(" 2.90 mm"), std::string::npos) << lines[i + 2];
    EXPECT_NE(lines[i + 2].find(places[i]), std::string::npos) << lines[i + 2];
    EXPECT_NE(lines[i + 2].find(i < 3 ? "proximal" : "distal"), std::string::npos) << lines[i + 2];
    EXPECT_NE(lines[i + 2].find("screw_" + std::to_string(i + 1)), std::string::npos) << lines[i + 2];
  }
}

// Requirement: screws follow tilted holes. The plate turned by 3 degrees about z with its landmarks: every axis is turned by that
// angle from y, and the tip lies on the axis beyond the far skin.
TEST(UserPlate, ScrewsFollowTiltedHoles)
{
  Scenario s = with_plate();
  s.screws.cortices = {"both", "one", "both", "one", "both", "both"};
  const Matrix3 turn = Eigen::AngleAxisd(radians(3), Vector3::UnitZ()).toRotationMatrix();
  for (int i = 0; i < 3; ++i)
  {
    const Vector3 p = turn * Vector3(&s.plate.landmarks_plate_mm[3 * i]);
    std::copy(p.data(), p.data() + 3, s.plate.landmarks_bone_mm.begin() + 3 * i);
  }
  const ConstructMesh c = mesh_of(s);
  ASSERT_EQ(c.screws.size(), 6u);
  const Vector3 axis = turn * Vector3::UnitY();
  for (const auto &k : c.screws)
  {
    EXPECT_LT(((k.head - k.tip).normalized() - axis).norm(), 1e-6) << k.name;
    EXPECT_LT(((k.entry - k.tip).normalized() - axis).norm(), 1e-6) << k.name;
    // A core of 2.9 mm from tip to head: with edges of 2.4 mm the circle is a square at the least, 2/pi of it.
    const double length = (k.head - k.tip).norm() + 3.3, volume = part_volume(c.mesh, c.mesh.find_part(k.name));
    EXPECT_GT(volume, 2 / pi * pi * 1.45 * 1.45 * (length - 1.7)) << k.name;
    EXPECT_LT(volume, pi * 1.45 * 1.45 * (length + 1)) << k.name;
  }
  EXPECT_NE(c.mesh.find_surface("screw_end"), nullptr);
  EXPECT_GT(c.worst_quality, 0.1);
}

// Requirement: what cannot be is refused by name with the figure.
TEST(UserPlate, RefusesWhatCannotBe)
{
  Scenario s = with_plate();
  s.plate.landmarks_bone_mm[5] += 8; // sides 1-2 and 2-3 were about 51 mm
  EXPECT_NE(refusal(s).find("do not fit each other"), std::string::npos) << refusal(s);
  EXPECT_NE(refusal(with_plate(Vector3(0, 12, 0))).find("mm off the bone"), std::string::npos) << refusal(with_plate(Vector3(0, 12, 0)));
  EXPECT_NE(refusal(with_plate(Vector3(0, -12, 0))).find("inside the bone"), std::string::npos);
  EXPECT_NE(refusal(with_plate(Vector3(0, 0, 7))).find("screw_"), std::string::npos) << refusal(with_plate(Vector3(0, 0, 7)));
  s = with_plate();
  s.screws.holes = {"plain"};
  EXPECT_NE(refusal(s).find("needs a countersink"), std::string::npos) << refusal(s);
  s.screws.holes = {"locking", "none"};
  EXPECT_NE(refusal(s).find("2 entries for 6 holes"), std::string::npos) << refusal(s);
  s.screws.holes = {"none", "none", "none", "locking", "locking", "locking"};
  EXPECT_NE(refusal(s).find("no screw in the proximal segment"), std::string::npos) << refusal(s);
  s.screws.holes = {"locking"};
  s.screws.sizes = {"cortex_4.5"};
  EXPECT_NE(refusal(s).find("does not take a screw"), std::string::npos) << refusal(s);
  s = with_plate();
  s.plate.seating = "landmarks";
  for (int i : {1, 4, 7})
    s.plate.landmarks_bone_mm[i] -= 1; // 0.8 mm off the bone before
  EXPECT_NE(refusal(s).find("inside the bone"), std::string::npos) << refusal(s);
}

// Requirement: the thickness of a slab from its volume, surface and length. 62 x 11 x 3.3: V 2250.6, A 2 (682 + 204.6 + 36.3).
TEST(UserPlate, ThicknessIsThatOfTheSlab) { EXPECT_NEAR(slab_thickness_mm(62 * 11 * 3.3, 2 * (682 + 204.6 + 36.3), 62), 3.3, 1e-9); }

// Requirement: screws that meet in the bone are found by the distance of their axes. By hand: one runs along y through (0, 0); the
// other starts at (5, 3) and is at x = 0, z = 3 when it is 10 mm deep: 3 mm apart there. Ending at a depth of 4 mm, at x = 3, its
// tip is sqrt(3^2 + 3^2) = 4.243 mm off; a parallel one at (5, 3) is sqrt(34) = 5.831 mm off.
TEST(UserPlate, DistanceOfScrewsInTheBone)
{
  ScrewFit a{}, b{};
  a.axis = Vector3::UnitY(), a.tip_y = -20;
  b.x = 5, b.z = 3, b.tip_y = -20, b.axis = Vector3(5, 10, 0).normalized();
  EXPECT_NEAR(axis_distance_mm(a, b), 3, 1e-12);
  EXPECT_NEAR(axis_distance_mm(b, a), 3, 1e-12);
  b.tip_y = -4;
  EXPECT_NEAR(axis_distance_mm(a, b), std::sqrt(18.0), 1e-12);
  b.axis = Vector3::UnitY();
  EXPECT_NEAR(axis_distance_mm(a, b), std::sqrt(34.0), 1e-12);
}

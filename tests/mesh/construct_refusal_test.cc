// What cannot be built is refused by name with numbers. Expected distances by hand from the default anatomy.
#include "mesh/construct.h"
#include "models/core/error.h"
#include "tests/support/coarse_scenario.h"
#include "tests/support/refusal.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::mesh;

namespace
{
std::string refusal(const Scenario &s, double target_deg = 6)
{
  const Anatomy a = make_anatomy(s);
  return test::refused_with<Error>([&] { mesh_construct(s, a, plan_levelling(s, a, radians(target_deg))); });
}
} // namespace

// Requirement: what cannot be is refused by name with numbers.
TEST(Construct, RefusesAScrewThroughTheJoint)
{
  Scenario s = coarse_scenario();
  s.screws.proximal_z_mm = {-10, -3, -17}; // (3, -3): the plateau at 6 deg passes about 3 mm above
  const std::string text = refusal(s);
  EXPECT_NE(text.find("screw_1: passes the joint surface"), std::string::npos) << text;
  EXPECT_NE(text.find("z = -3 mm"), std::string::npos) << text;
}
TEST(Construct, RefusesAScrewThroughTheCut)
{
  Scenario s = coarse_scenario();
  s.screws.distal_z_mm = {-25, -49, -62}; // (-2, -25) lies 25.1 mm from the arc axis, the arc has 24
  const std::string text = refusal(s);
  EXPECT_NE(text.find("screw_4: passes the cut"), std::string::npos) << text;
  EXPECT_NE(text.find("24 mm"), std::string::npos) << text;
}
TEST(Construct, RefusesScrewsThroughEachOther)
{
  Scenario s = coarse_scenario();
  s.screws.distal_z_mm = {-36, -52, -56}; // 4 mm between axes, 3.5 mm thread: 0.5 mm of bone
  const std::string text = refusal(s);
  EXPECT_NE(text.find("screw_5: passes screw_6: 0.50 mm"), std::string::npos) << text;
}
TEST(Construct, RefusesAPlateBesideTheBone)
{
  Scenario s = coarse_scenario();
  s.plate.craniocaudal_mm = -25; // the shaft of the bone ends at about x = -12
  EXPECT_NE(refusal(s).find("plate: misses the bone"), std::string::npos) << refusal(s);
}
TEST(Construct, RefusesAScrewBesideThePlate)
{
  Scenario s = coarse_scenario();
  s.plate.head_width_mm = 15; // holes 13 mm apart: 1 mm from axis to edge, less than the core radius
  EXPECT_NE(refusal(s).find("leaves the plate"), std::string::npos) << refusal(s);
}

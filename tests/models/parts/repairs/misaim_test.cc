// Requirements of a saw that is aimed off. Expected values: asin(sin phi sin eps), alternatives.md section 5.
#include "models/parts/misaim.h"
#include <gtest/gtest.h>

using namespace stifle;

// Requirement A14: phi 20, eps 10 give 3.405 deg (1e-3); the other values of the sheet to 0.1 deg.
TEST(Misaim, FollowsTheClosedForm)
{
  const auto unwanted = [](double phi, double eps) { return degrees(misaimed_rotation_rad(radians(phi), radians(eps))); };
  EXPECT_NEAR(unwanted(20, 10), 3.405, 1e-3);
  EXPECT_NEAR(unwanted(20, 5), 1.7, 0.05);
  EXPECT_NEAR(unwanted(25, 5), 2.1, 0.05);
  EXPECT_NEAR(unwanted(25, 10), 4.2, 0.05);
}

// Requirement: rotation matrices about the tilted axis give the same; a transverse tilt gives varus or valgus and no torsion of
// the craniocaudal direction beyond second order, a frontal tilt the reverse.
TEST(Misaim, MatricesAgreeWithTheClosedForm)
{
  for (const double phi : {5.0, 20.0, 30.0})
    for (const double eps : {-10.0, 2.0, 5.0, 10.0})
    {
      const double expected = misaimed_rotation_rad(radians(phi), radians(std::abs(eps)));
      const Misaim transverse = misaimed_angles(radians(phi), radians(eps), 0),
                   frontal = misaimed_angles(radians(phi), 0, radians(eps));
      EXPECT_NEAR(std::abs(transverse.frontal_rad), expected, 1e-14);
      EXPECT_NEAR(std::abs(frontal.torsion_rad), expected, 1e-14);
      // Hand: the other angle is asin(sin eps cos eps (1 - cos phi)) on the same axis.
      const double e = radians(std::abs(eps)), rest = std::asin(std::sin(e) * std::cos(e) * (1 - std::cos(radians(phi))));
      EXPECT_NEAR(std::abs(transverse.torsion_rad), rest, 1e-14);
      EXPECT_NEAR(std::abs(frontal.frontal_rad), rest, 1e-14);
    }
}

// Requirement: a saw aimed true turns about y alone, in the sense of levelling.
TEST(Misaim, VanishesForATrueSaw)
{
  EXPECT_LT((misaimed_rotation(radians(20), 0, 0) - rotation_about_y(-radians(20))).norm(), 1e-14);
  EXPECT_EQ(misaimed_rotation_rad(radians(20), 0), 0);
}

// Requirements of the pictures: they exist, are drawn (not blank), and a machine without an X screen is told so in one line.
#include "viz/picture.h"
#include "tests/support/toy_construct.h"
#include "tests/viz/picture_looks.h"
#include "viz/colour.h"
#include "viz/virtual_screen.h"
#include "viz/vtu.h"
#include <cstdlib>
#include <filesystem>
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::viz;

namespace
{
std::string place(const std::string &name) { return (std::filesystem::temp_directory_path() / ("stifle_viz_" + name)).string(); }

/// Without a screen a user's test run skips the pictures; CI (CI=true) installs Xvfb and must not skip.
#define NEEDS_A_SCREEN                                                                                                           \
  VirtualScreen screen;                                                                                                          \
  ASSERT_TRUE(screen.ready() || !std::getenv("CI")) << screen.problem();                                                         \
  if (!screen.ready())                                                                                                           \
  GTEST_SKIP() << screen.problem()

} // namespace

// Requirement: the colour table reads in grey: lightness rises everywhere and nearly evenly.
TEST(StressColour, RisesEvenlyInLightness)
{
  const double step = (lightness(stress_colour(1)) - lightness(stress_colour(0))) / 24;
  for (int i = 0; i < 24; ++i)
  {
    const double rise = lightness(stress_colour((i + 1) / 24.0)) - lightness(stress_colour(i / 24.0));
    EXPECT_GT(rise, 0.6 * step) << i;
    EXPECT_LT(rise, 1.6 * step) << i;
  }
  EXPECT_NEAR(lightness({{1, 1, 1}}), 100, 0.01); // definition of L*
  EXPECT_NEAR(lightness({{0, 0, 0}}), 0, 1e-9);
}

TEST(ConstructPictures, ShowTheStressedPlate)
{
  NEEDS_A_SCREEN;
  write_vtu(place("toy.vtu"), toy_construct());
  std::filesystem::remove(place("toy.png"));
  std::string why;
  ASSERT_TRUE(draw_construct(
      {place("toy.vtu"), place("toy.png"), "Toy construct: plateau levelled to 6\u00b0, week 0, walk, 50 % of stance"}, &why))
      << why;
  const Looks seen = looks(place("toy.png"));
  EXPECT_GE(seen.width, 1000);
  EXPECT_GE(seen.height, 800);
  EXPECT_GT(seen.colours, 600u); // shading and stress; a blank sheet has one colour, text alone at most 256 greys
  EXPECT_GT(seen.tinted, 0.05);
}

TEST(ConstructPictures, ShowALeftLimb)
{
  NEEDS_A_SCREEN;
  write_vtu(place("toy_left.vtu"), toy_construct(), true);
  std::string why;
  ASSERT_TRUE(draw_construct({place("toy_left.vtu"), place("toy_left.png"), "Toy construct, left limb"}, &why)) << why;
  EXPECT_GT(looks(place("toy_left.png")).colours, 600u);
}

// Requirement: a missing file is one line, not an abort.
TEST(ConstructPictures, TellAMissingFile)
{
  NEEDS_A_SCREEN;
  std::string why;
  EXPECT_FALSE(draw_construct({place("no_such.vtu"), place("x.png"), ""}, &why));
  EXPECT_NE(why.find("no_such.vtu"), std::string::npos);
  EXPECT_EQ(why.find('\n'), std::string::npos);
}

// Requirement: without Xvfb and without DISPLAY the answer is false and one line that names the package.
TEST(ConstructPictures, AreSkippedWithoutAScreen)
{
  const std::string path = std::getenv("PATH"), display = std::getenv("DISPLAY") ? std::getenv("DISPLAY") : "";
  setenv("PATH", "/nowhere", 1);
  unsetenv("DISPLAY");
  std::string why;
  EXPECT_FALSE(draw_construct({place("toy.vtu"), place("none.png"), ""}, &why));
  EXPECT_NE(why.find("xvfb"), std::string::npos);
  setenv("DISPLAY", ":4711", 1); // a screen that does not answer would make VTK abort
  EXPECT_FALSE(draw_construct({place("toy.vtu"), place("none.png"), ""}, &why));
  setenv("PATH", path.c_str(), 1);
  if (display.empty())
    unsetenv("DISPLAY");
  else
    setenv("DISPLAY", display.c_str(), 1);
}

// Requirement: the hidden screen ends with its last user, and DISPLAY is as it was.
TEST(VirtualScreens, EndWithTheirLastUser)
{
  const char *before = std::getenv("DISPLAY");
  const std::string old = before ? before : "none";
  std::string used;
  {
    NEEDS_A_SCREEN;
    VirtualScreen second; // shares the first
    used = std::getenv("DISPLAY");
    EXPECT_TRUE(second.ready());
  }
  const char *after = std::getenv("DISPLAY");
  EXPECT_EQ(after ? after : "none", old);
  if (used != old)
  {
    EXPECT_FALSE(std::filesystem::exists("/tmp/.X" + used.substr(1) + "-lock"));
  }
}

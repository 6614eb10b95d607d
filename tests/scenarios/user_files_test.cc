// Files of users that are no plate and no bone: `check` and `run` end with 2, name the file and the reason, and write nothing.
// Drawings: tests/mesh/step; surfaces: blocks of the size of a tibia, written here.
#include "models/core/files.h"
#include "tests/support/program.h"
#include "tests/support/shapes.h"
#include <filesystem>
#include <gtest/gtest.h>

using namespace stifle;
using stifle::test::block;

namespace
{
const std::string drawings = std::string(STIFLE_SOURCE_DIR) + "/tests/mesh/step/";
const std::string landmarks = "landmarks_plate_mm: [0, 0, 0, 60, 0, 0, 0, 12, 0], landmarks_bone_mm: [-2, 20, -10, -2, 20, -70, 10, 20, -10]";

void expect_refused(const std::string &folder, const std::string &scenario, const std::string &words)
{
  write_file(folder + "/case.yaml", scenario);
  for (const std::string &command : {std::string("check "), "run --out " + folder + "/results "})
  {
    const ProgramRun run = run_program(command + folder + "/case.yaml");
    EXPECT_EQ(run.exit_code, 2) << run.output;
    EXPECT_NE(run.output.find(words), std::string::npos) << words << " is not in:\n" << run.output;
    EXPECT_FALSE(std::filesystem::exists(folder + "/results"));
  }
}

void expect_plate_refused(const std::string &drawing, const std::string &words)
{
  expect_refused(fresh_folder("user_plate"), "plate: {file: " + drawings + drawing + ", " + landmarks + "}\n", words);
}
void expect_bone_refused(const TriangleSurface &surface, const std::string &words)
{
  const std::string folder = fresh_folder("user_bone");
  write_file(folder + "/bone.stl", test::binary_stl(surface));
  expect_refused(folder, "tibia: {surface: bone.stl}\n", words);
}
const TriangleSurface bar = block(Vector3(-20, -20, -205), Vector3(31, 20, 5)); // 210 mm long, the insertion on its front
} // namespace

// Requirement (issue 6, bad input): STEP that is not one solid; units that look like inches; holes outside the bone.
TEST(UserFiles, PlatesThatAreNoneAreRefused)
{
  expect_plate_refused("two_solids.step", "not one solid");
  expect_plate_refused("rectangle.step", "0 solids");
  expect_plate_refused("inches.step", "looks like inches");
  expect_plate_refused("features.step", "no screw in the"); // one hole only: the other segment has none
}

// Requirement (issue 6, bad input): STL with holes or self-crossings, with the place; units that look like metres.
TEST(UserFiles, BonesThatAreNoneAreRefused)
{
  TriangleSurface open = bar, metres = bar;
  open.triangles.pop_back(); // of the front x = 31: its rim is 40, 210 and 213.8 mm long; weighted middle of the edges by hand
  expect_bone_refused(open, "about x = 31.0, y = ");
  const TriangleSurface rod = block(Vector3(-1, -40, -101), Vector3(1, 40, -99)); // through the walls y = -20 and y = 20
  expect_bone_refused(test::joined(bar, rod), "passes through itself");
  for (Vector3 &p : metres.points)
    p *= 1e-3;
  expect_bone_refused(metres, "looks like metres");
}

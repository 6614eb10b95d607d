// Geometry that cannot be is refused before anything is computed: exit code 2, the part by name, with numbers.
#include "models/core/files.h"
#include "tests/support/program.h"
#include <filesystem>
#include <gtest/gtest.h>

namespace
{
struct ImpossibleGeometry
{
  std::string              name, keys;
  std::vector<std::string> said; ///< what the message must contain
};

void PrintTo(const ImpossibleGeometry &g, std::ostream *out) { *out << g.name; }

const ImpossibleGeometry cases[] = {
    {"ScrewThroughTheJoint", "levelling: {plateau_angles_deg: [15]}\nscrews: {proximal_x_mm: [-12, 3, -4], proximal_z_mm: [-6, -10, -17]}", {"screw_1", "joint surface", "mm"}},
    {"ScrewThroughTheCut", "levelling: {plateau_angles_deg: [6]}\nscrews: {proximal_z_mm: [-10, -10, -23]}", {"screw_3", "cut"}},
    {"ScrewThroughAScrew", "levelling: {plateau_angles_deg: [6]}\nscrews: {distal_z_mm: [-36, -38, -62]}", {"screw_4", "screw_5"}},
    {"PlateMissesTheBone", "levelling: {plateau_angles_deg: [6]}\nplate: {craniocaudal_mm: -19}", {"plate"}},
    {"HoleBesideThePlate", "levelling: {plateau_angles_deg: [6]}\nplate: {length_mm: 50}", {"screw_6", "leaves the plate", "mm", "plate.length_mm"}},
    {"HeadTooNarrowForPlainHeads", "levelling: {plateau_angles_deg: [6]}\nscrews: {holes: [plain, plain, plain, locking, locking, locking]}", {"screw_1", "leaves the plate", "plate.head_width_mm of about 27.4"}},
    {"ThickScrewsThatMeet", "levelling: {plateau_angles_deg: [6]}\nscrews: {sizes: cortex_4.5, distal_z_mm: [-36, -49, -54]}", {"screw_5", "screw_6", "0.50 mm"}},
    {"ScrewLongerThanTheBone", "levelling: {plateau_angles_deg: [6]}\nscrews: {lengths_mm: 60}", {"screw_1", "longer than the bone", "60.0 mm"}},
    {"ScrewShorterThanTheBone", "levelling: {plateau_angles_deg: [6]}\nscrews: {lengths_mm: 10}", {"screw_1", "shorter than the bone", "10.0 mm"}},
    {"TurnedPlateMissesTheBone", "levelling: {plateau_angles_deg: [6]}\nplate: {inclination_deg: 30}", {"bone", "mm"}},
    {"SawTooSmallForTheInsertion", "levelling: {plateau_angles_deg: [15], saw_radius_mm: 12}", {"saw", "12"}},
};
} // namespace

class Geometry : public testing::TestWithParam<ImpossibleGeometry>
{
};

TEST_P(Geometry, IsRefusedByNameBeforeAnythingIsComputed)
{
  const std::string folder = fresh_folder("geometry");
  stifle::write_file(folder + "/case.yaml", GetParam().keys + "\n");
  for (const std::string &command : {std::string("check "), std::string("run --out " + folder + "/results ")})
  {
    const ProgramRun run = run_program(command + folder + "/case.yaml");
    EXPECT_EQ(run.exit_code, 2) << run.output;
    for (const std::string &words : GetParam().said)
      EXPECT_NE(run.output.find(words), std::string::npos) << words << " is not in:\n" << run.output;
    EXPECT_FALSE(std::filesystem::exists(folder + "/results"));
  }
}

INSTANTIATE_TEST_SUITE_P(Impossible, Geometry, testing::ValuesIn(cases), [](const auto &info) { return info.param.name; });

// Requirement: a user's surfaces are read and judged by `check` as by `run`: both end with 2 and nothing is written.
TEST(Surfaces, ThatAreNoneAreRefusedByCheckAndRun)
{
  const std::string folder = fresh_folder("surfaces");
  stifle::write_file(folder + "/bone.stl", "not a surface");
  stifle::write_file(folder + "/case.yaml", "tibia: {surface: bone.stl}\njoint: {femur_surface: bone.stl}\n");
  for (const std::string &command : {std::string("check "), std::string("run --out " + folder + "/results ")})
  {
    const ProgramRun run = run_program(command + folder + "/case.yaml");
    EXPECT_EQ(run.exit_code, 2) << run.output;
    EXPECT_NE(run.output.find("tibia.surface: this is no STL file"), std::string::npos) << run.output;
    EXPECT_FALSE(std::filesystem::exists(folder + "/results"));
  }
}

// Requirement: one reason is said once, for all slopes together, with the key it names and where that stands in the file.
TEST(Refusal, IsSaidOnceWithThePlaceOfItsKey)
{
  const std::string folder = fresh_folder("refusal"), file = folder + "/case.yaml";
  stifle::write_file(file, "levelling: {plateau_angles_deg: [15, 10, 6]}\nplate:\n  length_mm: 50\n");
  const ProgramRun run = run_program("check " + file);
  EXPECT_EQ(run.exit_code, 2);
  EXPECT_NE(run.output.find("case.yaml:3:14: levelling to 15 deg, levelling to 10 deg, levelling to 6 deg cannot be done on this bone: plate.length_mm"), std::string::npos) << run.output;
  EXPECT_EQ(run.output.find("leaves the plate"), run.output.rfind("leaves the plate")) << run.output;
}

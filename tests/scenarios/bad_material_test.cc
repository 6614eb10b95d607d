// Materials changed by the user (STIFLE_DATA): what a scenario needs of them is asked for before anything is computed.
#include "tests/support/program.h"
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <sstream>

namespace fs = std::filesystem;

namespace
{
const fs::path source = STIFLE_SOURCE_DIR;

/// `check` of a one-line scenario with the lines of the material table dropped that hold `drop` below the row `material`.
ProgramRun check_without(const std::string &material, const std::string &drop, const std::string &scenario)
{
  const fs::path work = fresh_folder("bad_material");
  fs::create_directories(work / "data/models");
  for (const char *room : {"limb", "parts", "joint", "healing"})
    for (const auto &entry : fs::directory_iterator(source / "models" / room))
      if (entry.path().extension() == ".yaml")
      {
        fs::create_directories(work / "data/models" / room);
        fs::copy_file(entry.path(), work / "data/models" / room / entry.path().filename());
      }
  std::ifstream     in(source / "models/parts/materials.yaml");
  std::ofstream     out(work / "data/models/parts/materials.yaml");
  bool              in_row = false, in_entry = false;
  int               dropped = 0;
  for (std::string line; std::getline(in, line);)
  {
    if (!line.empty() && line[0] != ' ' && line[0] != '#')
      in_row = line == material + ":";
    if (in_entry && line.rfind("    ", 0) != 0)
      in_entry = false;
    if (in_row && line.rfind("  " + drop, 0) == 0)
      in_entry = ++dropped > 0;
    if (!in_entry)
      out << line << "\n";
  }
  out.close();
  EXPECT_EQ(dropped, 1) << material << " " << drop;
  std::ofstream(work / "case.yaml") << scenario << "\n";
  setenv("STIFLE_DATA", (work / "data").c_str(), 1);
  const ProgramRun run = run_program("check " + (work / "case.yaml").string());
  unsetenv("STIFLE_DATA");
  return run;
}

void expect_problem(const ProgramRun &run, const std::vector<std::string> &pieces)
{
  EXPECT_EQ(run.exit_code, 2) << run.output;
  for (const std::string &piece : pieces)
    EXPECT_NE(run.output.find(piece), std::string::npos) << "missing: " << piece << "\nin:\n" << run.output;
}
} // namespace

// Issue 6: material without yield for a yield margin: named error, exit 2.
TEST(BadMaterial, APlateWithoutYieldStrengthIsNamed)
{
  expect_problem(check_without("ti_6al_4v", "yield_mpa", "plate: {material: ti_6al_4v}"),
                 {"case.yaml:1:19: plate.material: material ti_6al_4v has no yield strength, and its yield margin needs one",
                  "ti_6al_4v without yield_mpa in models/parts/materials.yaml", "a material with yield_mpa: steel_316l_annealed"});
}

TEST(BadMaterial, ScrewsWithoutYieldStrengthAreNamed)
{
  expect_problem(check_without("cp_ti_grade_4", "yield_mpa", "screws: {material: cp_ti_grade_4}"),
                 {"case.yaml:1:20: screws.material: material cp_ti_grade_4 has no yield strength"});
}

TEST(BadMaterial, BoneWithoutYieldStrengthIsNamed)
{
  expect_problem(check_without("cortical_bone", "yield_mpa", "dog: {mass_kg: 30}"), {"material cortical_bone has no yield strength"});
}

TEST(BadMaterial, ALawWithoutItsConstantsIsNamed)
{
  expect_problem(check_without("cortical_bone", "orthotropic:", "tibia: {cortex_law: orthotropic}"),
                 {"case.yaml:1:21: tibia.cortex_law orthotropic: material cortical_bone has no entry orthotropic"});
  expect_problem(check_without("cancellous_bone", "modulus_by_depth:", "tibia: {cancellous_law: depth}"),
                 {"case.yaml:1:25: tibia.cancellous_law depth: material cancellous_bone has no entry modulus_by_depth"});
}

// Requirement: what a scenario does not use may be missing.
TEST(BadMaterial, AMaterialThatIsNotUsedMayLackItsYieldStrength)
{
  const ProgramRun run = check_without("ti_6al_4v", "yield_mpa", "dog: {mass_kg: 30}");
  EXPECT_EQ(run.exit_code, 0) << run.output;
}

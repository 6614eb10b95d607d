#include "models/parts/material.h"

#include "models/core/error.h"

#include <fstream>
#include <gtest/gtest.h>
#include <unistd.h>

using namespace stifle;

namespace
{
std::string file_with(const std::string &content)
{
  const std::string path = ::testing::TempDir() + "material_test_" + std::to_string(getpid()) + ".yaml";
  std::ofstream(path) << content;
  return path;
}
} // namespace

// Requirement: cold-worked 316L has the strengths of the ASTM F139-86 table (construct.md section 6, S53) and 193 GPa.
TEST(Material, ColdWorkedSteelFollowsTheStandard)
{
  const Material steel = find_material("steel_316l_cold_worked");
  EXPECT_EQ(steel.yield_mpa, 690);
  EXPECT_EQ(steel.ultimate_mpa, 860);
  EXPECT_EQ(steel.modulus_mpa, 193000);
  EXPECT_EQ(steel.label, "read"); // of the yield strength
}

TEST(Material, AnnealedSteelFollowsTheStandard)
{
  EXPECT_EQ(find_material("steel_316l_annealed").yield_mpa, 172);
  EXPECT_EQ(find_material("steel_316l_annealed").ultimate_mpa, 485);
}

// Requirement: titanium against steel in bending of one section is the modulus ratio 110/193 = 0.570 (construct.md C18).
TEST(Material, TitaniumIsSofterThanSteelByTheModulusRatio)
{
  EXPECT_NEAR(find_material("ti_6al_4v").modulus_mpa / find_material("steel_316l_cold_worked").modulus_mpa, 0.570, 5e-4);
}

// Requirement: bone values are those of the sheets: cortical 16 GPa and yield strain 0.7 %; cancellous (692 + 417)/2 MPa.
TEST(Material, BoneFollowsTheSheets)
{
  EXPECT_EQ(find_material("cortical_bone").modulus_mpa, 16000);
  EXPECT_NEAR(find_material("cortical_bone").yield_mpa, 16000 * 0.007, 1e-9);
  EXPECT_NEAR(find_material("cancellous_bone").modulus_mpa, (692 + 417) / 2.0, 1e-9);
}

// Requirement: the orthotropic constants are those of construct.md section 6 (typed again here), labelled memory; the levels those of S56.
TEST(Material, OtherLawsOfBoneFollowTheSheet)
{
  const Material cortex = find_material("cortical_bone"), core = find_material("cancellous_bone");
  ASSERT_TRUE(cortex.orthotropic && core.levels);
  EXPECT_EQ(cortex.orthotropic->modulus_mpa, (std::array<double, 3>{12800, 15600, 20100}));
  EXPECT_EQ(cortex.orthotropic->shear_mpa, (std::array<double, 3>{4680, 5680, 6670}));
  EXPECT_EQ(cortex.orthotropic->poisson_ratio, (std::array<double, 3>{0.282, 0.289, 0.265}));
  EXPECT_EQ(cortex.orthotropic->poisson_ratio_back, (std::array<double, 3>{0.366, 0.454, 0.341}));
  EXPECT_EQ(cortex.orthotropic->label, "memory");
  EXPECT_EQ(core.levels->top_mpa, 692);
  EXPECT_EQ(core.levels->third_mpa, 417);
  EXPECT_EQ(core.levels->label, "abstract");
  EXPECT_FALSE(find_material("ti_6al_4v").orthotropic || find_material("ti_6al_4v").levels);
}

// Requirement: constants that would give energy away are refused with the entry's name. nu12 = nu21 = 1.2 at equal moduli: 1 - 1.44 < 0 by hand.
TEST(Material, ConstantsThatGiveEnergyAwayAreRefused)
{
  std::string text = "bone:\n  modulus_mpa: {value: 1, label: memory, reference: r}\n  poisson_ratio: {value: 0.3, label: memory, reference: r}\n"
                     "  orthotropic:\n";
  for (const char *key : {"e1_mpa", "e2_mpa", "e3_mpa", "g12_mpa", "g13_mpa", "g23_mpa", "nu12", "nu13", "nu23", "nu21", "nu31", "nu32"})
    text += std::string("    ") + key + ": {value: " + (std::string(key) == "nu12" || std::string(key) == "nu21" ? "1.2" : "0.3") +
            ", label: memory, reference: r}\n";
  try
  {
    read_materials(file_with(text));
    FAIL() << "not refused";
  }
  catch (const InputError &error)
  {
    EXPECT_NE(std::string(error.what()).find("bone.orthotropic: these constants give energy away"), std::string::npos) << error.what();
  }
}

// Requirement: a missing constant is named, not taken as 0.
TEST(Material, AMissingConstantIsNamed)
{
  const std::string text = "bone:\n  modulus_mpa: {value: 1, label: memory, reference: r}\n  poisson_ratio: {value: 0.3, label: memory, reference: r}\n"
                           "  modulus_by_depth: {top_mpa: {value: 692, label: memory, reference: r}}\n";
  try
  {
    read_materials(file_with(text));
    FAIL() << "not refused";
  }
  catch (const InputError &error)
  {
    EXPECT_NE(std::string(error.what()).find("third_mpa"), std::string::npos) << error.what();
  }
}

// Requirement: fatigue limits lie inside the ranges of construct.md section 6 (typed again here), also one spread away within
// 5 MPa, and are from memory. Bone has no limit: its law is models/margins/fatigue.h.
TEST(Material, FatigueLimitsFollowTheSheet)
{
  const auto covers = [](const std::string &name, double low, double high)
  {
    const Material m = find_material(name);
    EXPECT_DOUBLE_EQ(m.fatigue_limit_mpa, (low + high) / 2) << name;
    EXPECT_NEAR(m.fatigue_limit_mpa * (1 - m.fatigue_limit_spread), low, 5) << name;
    EXPECT_NEAR(m.fatigue_limit_mpa * (1 + m.fatigue_limit_spread), high, 5) << name;
    EXPECT_EQ(m.fatigue_label, "memory") << name;
    EXPECT_NE(m.fatigue_source.find("construct.md"), std::string::npos) << name;
  };
  covers("steel_316l_annealed", 180, 250);
  covers("steel_316l_cold_worked", 300, 400);
  covers("ti_6al_4v", 500, 600);
  covers("cp_ti_grade_4", 250, 400);
  EXPECT_EQ(find_material("cortical_bone").fatigue_limit_mpa, 0);
  EXPECT_EQ(find_material("cancellous_bone").fatigue_limit_mpa, 0);
}

// Requirement: every row can be meshed and judged: stable elastic constants, strengths in order, a label and a reference.
TEST(Material, EveryRowIsUsable)
{
  ASSERT_EQ(material_names().size(), 6u);
  for (const std::string &name : material_names())
  {
    const Material m = find_material(name);
    EXPECT_GT(m.modulus_mpa, 0) << name;
    EXPECT_TRUE(m.poisson_ratio > 0 && m.poisson_ratio < 0.5) << name;
    EXPECT_TRUE(m.yield_mpa > 0 && m.yield_mpa < m.ultimate_mpa) << name;
    EXPECT_FALSE(m.label.empty() || m.source.empty()) << name;
  }
}

TEST(Material, NamesTheNearestRowOfAMistypedOne)
{
  try
  {
    find_material("ti_6al_4w");
    FAIL() << "no error";
  }
  catch (const InputError &error)
  {
    EXPECT_EQ(error.problems().at(0).nearest, "ti_6al_4v");
    EXPECT_NE(error.problems().at(0).allowed.find("cortical_bone"), std::string::npos);
  }
}

// Requirement: a broken table reports every slip with its line: unknown key, value out of range, missing modulus.
TEST(Material, ReportsEveryProblemOfATable)
{
  try
  {
    read_materials(file_with("tin:\n  modulus_mpa: {value: 5e4, label: memory, reference: x}\n"
                             "  poisson_ratio: {value: 0.6, label: memory, reference: x}\n  colour: {}\nlead:\n"
                             "  poisson_ratio: {value: 0.4, label: memory, reference: x}\n"));
    FAIL() << "no error";
  }
  catch (const InputError &error)
  {
    ASSERT_EQ(error.problems().size(), 3u);
    EXPECT_EQ(error.problems()[0].line, 4); // colour
    EXPECT_EQ(error.problems()[1].line, 3); // 0.6
    EXPECT_NE(error.problems()[2].message.find("modulus_mpa"), std::string::npos);
  }
}

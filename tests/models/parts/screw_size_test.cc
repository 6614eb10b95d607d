#include "models/parts/screw_size.h"

#include "models/core/error.h"

#include <fstream>
#include <gtest/gtest.h>
#include <tuple>
#include <unistd.h>

using namespace stifle;

// Requirement: the sizes of construct.md section 7, typed again here: major, core, pitch, mm.
TEST(ScrewSize, FollowsTheSheet)
{
  const std::vector<std::tuple<std::string, double, double, double>> sheet = {
      {"cortex_2.0", 2.0, 1.3, 0.6},  {"cortex_2.7", 2.7, 1.9, 1.0},      {"cortex_3.5", 3.5, 2.4, 1.25},
      {"cortex_4.5", 4.5, 3.0, 1.75}, {"cancellous_4.0", 4.0, 1.9, 1.75}, {"locking_2.0", 2.0, 1.5, 0.6},
      {"locking_2.4", 2.4, 1.8, 0.8}, {"locking_2.7", 2.7, 2.1, 1.0},     {"locking_3.5", 3.5, 2.9, 0.8}};
  ASSERT_EQ(screw_size_names().size(), sheet.size());
  for (const auto &[name, major, core, pitch] : sheet)
  {
    const ScrewSize size = find_screw_size(name);
    EXPECT_EQ(size.major_mm, major) << name;
    EXPECT_EQ(size.core_mm, core) << name;
    EXPECT_EQ(size.pitch_mm, pitch) << name;
    EXPECT_EQ(size.locking, name.substr(0, 7) == "locking") << name;
  }
}

// Requirement: the label is that of the weakest number: core of the 3.5 cortex screw read, its pitch from memory.
TEST(ScrewSize, CarriesTheWeakestLabel)
{
  const ScrewSize size = find_screw_size("cortex_3.5");
  EXPECT_EQ(size.label, "memory");
  EXPECT_NE(size.source.find("(read)"), std::string::npos);
  EXPECT_NE(size.source.find("(memory)"), std::string::npos);
}

TEST(ScrewSize, NamesTheNearestRowOfAMistypedOne)
{
  try
  {
    find_screw_size("loking_3.5");
    FAIL() << "no error";
  }
  catch (const InputError &error)
  {
    EXPECT_EQ(error.problems().at(0).nearest, "locking_3.5");
  }
}

// Requirement: a broken table reports every slip with its line: a core wider than the thread, an unknown label.
TEST(ScrewSize, ReportsEveryProblemOfATable)
{
  const std::string path = ::testing::TempDir() + "screw_size_test_" + std::to_string(getpid()) + ".yaml";
  std::ofstream(path)
      << "own:\n  locking: true\n  major_mm: {value: 3, label: read, reference: x}\n"
         "  core_mm: {value: 3.1, label: read, reference: x}\n  pitch_mm: {value: 1, label: guess, reference: x}\n";
  try
  {
    read_screw_sizes(path);
    FAIL() << "no error";
  }
  catch (const InputError &error)
  {
    ASSERT_EQ(error.problems().size(), 2u);
    EXPECT_EQ(error.problems()[0].line, 5);
    EXPECT_EQ(error.problems()[1].line, 4);
  }
}

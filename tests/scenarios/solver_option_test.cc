// Requirements of `run --solver`: the same tables by the factor, by conjugate gradients, and by these over two processes of mpirun.
#include "tests/support/program.h"
#include <cstdlib>
#include <fstream>
#include <gtest/gtest.h>
#include <sstream>

namespace
{
/// One slope, one state, a coarse mesh.
std::string scenario_in(const std::string &folder)
{
  const std::string path = folder + "/one_state.yaml";
  std::ofstream(path) << "levelling: {plateau_angles_deg: [6]}\nactivities: walk\nhealing: {weeks: [0]}\n"
                         "study: {stance_percent: [50], samples: 0}\nmesh: {bone_size_mm: 5, detail_size_mm: 1.2}\noutput: {fields: none}\n";
  return path;
}

std::vector<std::vector<std::string>> table(const std::string &path)
{
  std::ifstream                         file(path);
  std::vector<std::vector<std::string>> rows;
  for (std::string line, cell; std::getline(file, line);)
  {
    rows.emplace_back();
    for (std::istringstream cells(line); std::getline(cells, cell, ',');)
      rows.back().push_back(cell);
  }
  return rows;
}

/// Equal words, and numbers within 1e-4 of their size (tables print 4 to 6 digits) or of `least`.
void expect_same_table(const std::string &a, const std::string &b, double least)
{
  const auto left = table(a), right = table(b);
  ASSERT_EQ(left.size(), right.size()) << a;
  ASSERT_GT(right.size(), 1u) << b;
  for (std::size_t i = 0; i < right.size(); ++i)
  {
    ASSERT_EQ(left[i].size(), right[i].size()) << a << " row " << i;
    for (std::size_t j = 0; j < right[i].size(); ++j)
    {
      char        *end  = nullptr;
      const double wanted = std::strtod(right[i][j].c_str(), &end);
      if (end == right[i][j].c_str() || *end)
        EXPECT_EQ(left[i][j], right[i][j]) << a << " row " << i;
      else
        EXPECT_NEAR(std::atof(left[i][j].c_str()), wanted, 1e-4 * std::max(least, std::abs(wanted))) << a << " row " << i << " " << right[0][j];
    }
  }
}

void expect_same_tables(const std::string &a, const std::string &b)
{
  for (const auto &[name, least] : {std::pair<const char *, double>{"construct.csv", 0.01}, {"cut.csv", 0.01}, {"screws.csv", 1}, {"margins.csv", 0.01}})
    expect_same_table(a + "/" + name, b + "/" + name, least);
}
} // namespace

// Requirement (issue 8): peaks, cut, screws and margins of a run by conjugate gradients are those of the factor.
TEST(SolverOption, TablesAreTheSameByEitherSolverAndOverTwoProcesses)
{
  const std::string folder = fresh_folder("stifle_solver_option"), file = scenario_in(folder);
  for (const char *solver : {"direct", "cg"})
  {
    const ProgramRun run = run_program("run " + file + " --threads 1 --solver " + solver + " --out " + folder + "/" + solver);
    ASSERT_EQ(run.exit_code, 0) << run.output;
  }
  expect_same_tables(folder + "/cg", folder + "/direct");
  const std::string command = "OMPI_ALLOW_RUN_AS_ROOT=1 OMPI_ALLOW_RUN_AS_ROOT_CONFIRM=1 mpirun --oversubscribe -n 2 " STIFLE_BINARY " run " +
                              file + " --solver cg --out " + folder + "/two > " + folder + "/two.log 2>&1";
  ASSERT_EQ(std::system(command.c_str()), 0) << folder << "/two.log";
  expect_same_tables(folder + "/two", folder + "/direct");
}

// Requirement: a word that is no solver is refused before anything is computed.
TEST(SolverOption, UnknownSolverIsRefused)
{
  const ProgramRun run = run_program("run scenarios/large_dog.yaml --solver fast");
  EXPECT_EQ(run.exit_code, 2);
  EXPECT_NE(run.output.find("direct"), std::string::npos) << run.output;
}

// A finished rig folder: taken up by a second run, drawn again by `stifle report`.
#include "models/core/files.h"
#include "tests/support/program.h"
#include <filesystem>
#include <gtest/gtest.h>
#include <regex>

using namespace stifle;
namespace fs = std::filesystem;

namespace
{
const std::string plain_bar = "rig: {kind: four_point_bending, force_n: 900, screws_mm: [], open_holes_mm: []}\n"
                              "mesh: {bone_size_mm: 4, detail_size_mm: 1.2}\n";

/// `stifle run` into FOLDER/results; returns what it printed.
std::string run_rig_in(const std::string &folder, const std::string &scenario)
{
  write_file(folder + "/rig.yaml", scenario);
  const ProgramRun run = run_program("run " + folder + "/rig.yaml --out " + folder + "/results");
  EXPECT_EQ(run.exit_code, 0) << run.output;
  EXPECT_EQ(wide_lines(run.output), "");
  return run.output;
}
bool has(const std::string &text, const std::string &words) { return text.find(words) != std::string::npos; }
} // namespace

// Requirement (design.md "Commands": run takes up what an earlier run finished, report rebuilds the pictures), for rigs as for the limb.
TEST(RigRun, IsTakenUpAndDrawnAgain)
{
  const std::string folder = fresh_folder("rig_again"), results = folder + "/results", picture = results + "/pictures/rig_four_point_bending_+00.00.png";
  const std::string first = run_rig_in(folder, plain_bar), log = read_file(results + "/log.txt");
  EXPECT_TRUE(has(log, "tetrahedra, worst")) << log; // details are in the log, the screen has one line a stage
  EXPECT_FALSE(has(first, "finished by an earlier run")) << first;
  ASSERT_TRUE(fs::exists(picture)) << first;
  const std::vector<const char *> tables = {"rig.csv", "construct.csv", "margins.csv"};
  std::vector<std::string> before;
  for (const char *table : tables)
    before.push_back(read_file(results + "/" + table));
  const std::string again = run_rig_in(folder, plain_bar);
  EXPECT_TRUE(has(again, "finished by an earlier run")) << again;
  EXPECT_FALSE(has(read_file(results + "/log.txt").substr(log.size()), "tetrahedra, worst")) << "meshed again";
  for (std::size_t i = 0; i < tables.size(); ++i)
    EXPECT_EQ(read_file(results + "/" + tables[i]), before[i]) << tables[i];
  EXPECT_TRUE(has(again, "bending stiffness (F382)")) << again;

  fs::remove_all(results + "/pictures");
  const ProgramRun report = run_program("report " + results);
  EXPECT_EQ(report.exit_code, 0) << report.output;
  EXPECT_TRUE(std::regex_search(report.output, std::regex("1 of its\\s+specimens"))) << report.output; // wrapped where the path is long
  EXPECT_TRUE(fs::exists(picture)) << report.output;
}

// Requirement: another rig in the same folder is computed, not taken up.
TEST(RigRun, IsDoneAgainForAnotherLoad)
{
  const std::string folder = fresh_folder("rig_other"), quiet = "output: {pictures: false, fields: none}\n";
  run_rig_in(folder, plain_bar + quiet);
  const std::string before = read_file(folder + "/results/rig.csv");
  std::string other = plain_bar;
  other.replace(other.find("900"), 3, "450");
  const std::string again = run_rig_in(folder, other + quiet);
  EXPECT_FALSE(has(again, "finished by an earlier run")) << again;
  EXPECT_NE(read_file(folder + "/results/rig.csv"), before);
}

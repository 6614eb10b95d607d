// What a run says of states that fail.
#include "models/core/files.h"
#include "tests/support/program.h"
#include <algorithm>
#include <gtest/gtest.h>

// Requirement: states that fail alike are one line with their number. A torn dog of 25 degrees finds no pose at the start of a sprint, an
// activity of one instant: 3 weeks x 3 instants of stance fail, and the sentence differs by the instant alone, so 3 lines of 3.
TEST(FailedStates, AreSaidOnceWithTheirNumber)
{
  const std::string folder = fresh_folder("failed_states");
  stifle::write_file(folder + "/dog.yaml", "repair: {kind: none}\nactivities: [sprint_start]\nhealing: {weeks: [0, 4, 8]}\n"
                                           "study: {stance_percent: [25, 50, 75], sweep_plateau_deg: [20, 30, 10]}\n"
                                           "mesh: {bone_size_mm: 5, detail_size_mm: 1.2}\noutput: {pictures: false, fields: none}\n");
  const ProgramRun run = run_program("run " + folder + "/dog.yaml --out " + folder + "/results");
  EXPECT_EQ(run.exit_code, 1) << run.output;
  const auto lines = lines_of(stifle::read_file(folder + "/results/log.txt"));
  const auto count = [&](const std::string &words) {
    return std::count_if(lines.begin(), lines.end(), [&](const std::string &line) { return line.find(words) != std::string::npos; });
  };
  EXPECT_EQ(count("did not converge: unoperated"), 3);
  EXPECT_EQ(count("(3 states alike)"), 3);
}

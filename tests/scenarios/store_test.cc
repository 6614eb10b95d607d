// What a later run may take up, and what it must clear out.
#include "models/core/files.h"
#include "scenarios/app/store.h"
#include "tests/support/program.h"
#include <filesystem>
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::app;
namespace fs = std::filesystem;

namespace
{
SlopeResult slope_of(double target_deg)
{
  SlopeResult slope;
  slope.operated   = true;
  slope.target_deg = target_deg;
  return slope;
}
} // namespace

TEST(Fingerprint, IsTheSameForAScenarioReadBackFromItsEcho)
{
  const std::string folder = fresh_folder("echo");
  Scenario          scenario;
  scenario.dog.mass_kg = 31.25;
  write_file(folder + "/scenario.yaml", echo_scenario(scenario));
  EXPECT_EQ(fingerprint(read_scenario(folder + "/scenario.yaml")), fingerprint(scenario));
}

TEST(Fingerprint, ChangesWithEveryInputOfTheResults)
{
  Scenario          scenario;
  const std::string first = fingerprint(scenario);
  scenario.plate.thickness_mm += 0.1;
  EXPECT_NE(fingerprint(scenario), first);
  // The content of the user's activity table counts, not its name.
  Scenario          user;
  const std::string table   = fresh_folder("table") + "/activities.yaml";
  const std::string shipped = read_file(data_file("models/limb/activities.yaml"));
  write_file(table, shipped);
  user.limb.activity_table  = table;
  const std::string before  = fingerprint(user);
  write_file(table, shipped + "# a change\n");
  EXPECT_NE(fingerprint(user), before);
  // So does that of the parts of the joint.
  Scenario parts;
  const std::string landmarks = fresh_folder("landmarks") + "/joint_parts.yaml";
  const std::string numbers   = read_file(data_file("models/parts/joint_parts.yaml"));
  write_file(landmarks, numbers);
  parts.joint.landmarks       = landmarks;
  const std::string unchanged = fingerprint(parts);
  write_file(landmarks, numbers + "# a change\n");
  EXPECT_NE(fingerprint(parts), unchanged);
}

TEST(Store, TakesUpOnlySlopesOfTheSameFingerprint)
{
  const std::string folder = fresh_folder("store");
  clear_other_results(folder, "one");
  write_file(case_file(folder, 6, true), slope_text(slope_of(6), "one"));
  write_file(case_file(folder, 10, true), slope_text(slope_of(10), "one"));
  const auto slopes = finished_slopes(folder, "one");
  ASSERT_EQ(slopes.size(), 2u);
  EXPECT_EQ(slopes[0].target_deg, 10); // falling target
  EXPECT_TRUE(finished_slopes(folder, "two").empty());
  EXPECT_EQ(noted_fingerprint(folder), "one"); // what `stifle report` goes by
}

TEST(Store, ClearsTheResultsOfAnotherScenarioAndNothingElse)
{
  const std::string folder = fresh_folder("clear");
  EXPECT_FALSE(clear_other_results(folder, "one"));
  write_file(folder + "/construct.csv", "old\n");
  write_file(folder + "/rig.csv", "old\n");
  write_file(folder + "/notes.txt", "the user's own\n");
  write_file(case_file(folder, 6, true), slope_text(slope_of(6), "one"));
  EXPECT_FALSE(clear_other_results(folder, "one")); // the same scenario again keeps everything
  EXPECT_TRUE(fs::exists(folder + "/construct.csv"));
  EXPECT_TRUE(fs::exists(folder + "/rig.csv"));
  EXPECT_TRUE(clear_other_results(folder, "two"));
  EXPECT_FALSE(fs::exists(folder + "/construct.csv"));
  EXPECT_FALSE(fs::exists(folder + "/rig.csv"));
  EXPECT_FALSE(fs::exists(case_file(folder, 6, true)));
  EXPECT_TRUE(fs::exists(folder + "/notes.txt"));
}

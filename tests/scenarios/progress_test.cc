// What `stifle run` shows: on a terminal, elsewhere, and as JSON. One quick job of the joint alone, and one taken up again.
#include "models/core/files.h"
#include "tests/support/program.h"
#include <filesystem>
#include <gtest/gtest.h>
#include <map>
#include <nlohmann/json.hpp>

using nlohmann::json;

namespace
{
const std::string quick = "joint: {dimension: 2}\nactivities: [walk]\nlevelling: {plateau_angles_deg: [6]}\n"
                          "study: {stance_percent: [50], sweep_plateau_deg: [20, 30, 10], samples: 4}\n"
                          "output: {pictures: false}\n";

std::string scenario_in(const std::string &folder, const std::string &text = quick)
{
  stifle::write_file(folder + "/dog.yaml", text);
  return folder + "/dog.yaml";
}

/// Standard output only; standard error goes to a file.
ProgramRun run_json(const std::string &arguments, const std::string &errors) { return run_program("run --json " + arguments, errors); }

std::vector<json> events_of(const ProgramRun &run)
{
  std::vector<json> events;
  for (const std::string &line : lines_of(run.output))
    events.push_back(json::parse(line)); // throws on anything that is not one object a line
  return events;
}
} // namespace

// Requirement (issue 7): not on a terminal it is quiet: one plain line when a stage ends, no escape code, no carriage return.
TEST(Progress, IsQuietWhereThereIsNoTerminal)
{
  const std::string folder = fresh_folder("quiet");
  const ProgramRun  run    = run_program("run " + scenario_in(folder) + " --only joint --out " + folder + "/results");
  ASSERT_EQ(run.exit_code, 0) << run.output;
  EXPECT_EQ(run.output.find_first_of("\r\x1b"), std::string::npos);
  const auto lines = lines_of(run.output);
  std::map<std::string, int> stages;
  for (const std::string &line : lines)
    for (const std::string stage : {"joint", "sampling", "report"})
      stages[stage] += line.rfind(stage + " ", 0) == 0 && line.find("100 %") != std::string::npos;
  for (const auto &[stage, times] : stages)
    EXPECT_EQ(times, 1) << stage << "\n" << run.output;
  EXPECT_EQ(run.output.find("] joint"), std::string::npos) << "details belong to log.txt";
  const std::string log = stifle::read_file(folder + "/results/log.txt");
  EXPECT_NE(log.find("joint.csv: "), std::string::npos) << log;
  EXPECT_NE(log.find("passive.csv and wear.csv need joint.dimension 3"), std::string::npos) << log;
  EXPECT_EQ(wide_lines(run.output), "");
}

// Requirement: on a terminal the line of a stage is rewritten in place and one line of each stays.
TEST(Progress, RewritesTheLineOnATerminal)
{
  const std::string folder = fresh_folder("live"), typescript = folder + "/typescript";
  const std::string command = std::string(STIFLE_BINARY) + " run " + scenario_in(folder) + " --only joint --out " + folder + "/results";
  const int code = std::system(("TERM=xterm script -qec '" + command + "' " + typescript + " >/dev/null 2>&1 </dev/null").c_str());
  ASSERT_EQ(code, 0);
  const std::string shown = stifle::read_file(typescript);
  EXPECT_NE(shown.find("\x1b[1A\r\x1b[J"), std::string::npos) << "the line of the open stage is taken back";
  EXPECT_NE(shown.find("left"), std::string::npos);
  std::size_t ends = 0;
  for (std::size_t at = 0; (at = shown.find("states of the joint", at)) != std::string::npos; ++at)
    ++ends;
  EXPECT_EQ(ends, 1u);
}

// Requirement: --json writes one object a line and nothing else; fractions rise from 0 to 1; the last one says how it ended.
TEST(Progress, AsJsonIsOneObjectALineAndEndsWithDone)
{
  const std::string folder = fresh_folder("json");
  const ProgramRun  run    = run_json(scenario_in(folder) + " --only joint --out " + folder + "/results", folder + "/err");
  ASSERT_EQ(run.exit_code, 0) << run.output;
  const auto events = events_of(run);
  ASSERT_GT(events.size(), 4u);
  std::map<std::string, double> fraction;
  for (const json &event : events)
  {
    for (const char *key : {"event", "stage", "fraction", "elapsed_s", "left_s", "message"})
      EXPECT_TRUE(event.contains(key)) << event;
    if (!event["stage"].is_string())
      continue;
    const std::string stage = event["stage"];
    EXPECT_GE(event["fraction"].get<double>(), fraction[stage]) << event;
    fraction[stage] = event["fraction"];
    if (event["event"] == "end")
    {
      EXPECT_EQ(fraction[stage], 1) << event;
    }
  }
  EXPECT_EQ(events.front()["event"], "start");
  for (const std::string stage : {"joint", "sampling", "report"})
    EXPECT_EQ(fraction[stage], 1) << stage;
  EXPECT_EQ(events.back()["event"], "done");
  EXPECT_EQ(events.back()["exit_code"], 0);
  EXPECT_EQ(events.back()["results"], folder + "/results");
  EXPECT_TRUE(events.back()["least_margin"].is_null()); // no construct was computed
  EXPECT_NE(stifle::read_file(folder + "/err").find("Thrust vanishes"), std::string::npos); // the closing text is not lost
}

// Requirement: bad input is an event as well, with the place and what would be right.
TEST(Progress, AsJsonTellsBadInputWithItsPlace)
{
  const std::string folder = fresh_folder("json_bad");
  const ProgramRun  run    = run_json(scenario_in(folder, "dog: {mass_kg: 500}\nplate: {widht_mm: 11}\n") + " --out " + folder + "/results", folder + "/err");
  EXPECT_EQ(run.exit_code, 2);
  const auto events = events_of(run);
  ASSERT_EQ(events.size(), 3u) << run.output;
  EXPECT_EQ(events[0]["event"], "error");
  EXPECT_EQ(events[0]["file"], folder + "/dog.yaml");
  EXPECT_EQ(events[0]["line"], 1);
  EXPECT_EQ(events[0]["column"], 16);
  EXPECT_EQ(events[0]["found"], "500");
  EXPECT_NE(events[0]["allowed"].get<std::string>().find("2 to 100"), std::string::npos);
  EXPECT_EQ(events[1]["line"], 2);
  EXPECT_EQ(events[1]["nearest"], "width_mm");
  EXPECT_EQ(events[2]["event"], "done");
  EXPECT_EQ(events[2]["exit_code"], 2);
  for (const std::string &arguments : {std::string(""), folder + "/dog.yaml --threads 0"})
  {
    const auto usage = events_of(run_json(arguments, folder + "/err"));
    ASSERT_EQ(usage.size(), 2u) << arguments;
    EXPECT_EQ(usage[0]["event"], "error");
    EXPECT_EQ(usage[1]["exit_code"], 2);
  }
}

// Every file in tests/scenarios/bad ends in an InputError whose text holds each line of its .expected file.
//   NAME.yaml, NAME.expected   one expected piece of the message a line: "NAME.yaml:LINE:COLUMN: ..." first, then found,
//                              allowed, nearest where they matter, the count of errors, "nothing was run"
//   positions                  written by hand from the file (the place of the offending key or value), not from our output
//   activities/                tables that the table_*.yaml scenarios point at
#include "models/core/error.h"
#include "models/core/scenario.h"
#include "tests/support/program.h"
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>

namespace fs = std::filesystem;

namespace
{
const fs::path bad_folder = fs::path(STIFLE_SOURCE_DIR) / "tests/scenarios/bad";

std::vector<std::string> bad_names()
{
  std::vector<std::string> names;
  for (const auto &entry : fs::directory_iterator(bad_folder))
    if (entry.path().extension() == ".yaml")
      names.push_back(entry.path().stem().string());
  std::sort(names.begin(), names.end());
  return names;
}

std::string path_of(const std::string &name) { return (bad_folder / (name + ".yaml")).string(); }

std::vector<std::string> expected_lines(const std::string &name)
{
  std::ifstream            file(bad_folder / (name + ".expected"));
  std::vector<std::string> lines;
  for (std::string line; std::getline(file, line);)
    lines.push_back(line);
  return lines;
}

std::string message_of(const std::string &file)
{
  try
  {
    stifle::read_scenario(file);
  }
  catch (const stifle::InputError &error)
  {
    return error.what();
  }
  return "no error";
}

std::vector<std::string> all_files_below(const fs::path &folder)
{
  std::vector<std::string> files;
  for (const auto &entry : fs::recursive_directory_iterator(folder))
    files.push_back(entry.path().string());
  std::sort(files.begin(), files.end());
  return files;
}

class BadInput : public testing::TestWithParam<std::string>
{};
} // namespace

TEST(BadFiles, AreAtLeastSixtyAndEachHasItsMessage)
{
  EXPECT_GE(bad_names().size(), 60u);
  for (const std::string &name : bad_names())
    EXPECT_GE(expected_lines(name).size(), 3u) << name;
}

TEST_P(BadInput, IsRefusedWithItsMessage)
{
  const std::string message = message_of(path_of(GetParam()));
  for (const std::string &line : expected_lines(GetParam()))
    EXPECT_NE(message.find(line), std::string::npos) << "missing: " << line << "\nin:\n" << message;
  // Requirement: nothing a terminal could obey leaves the program.
  EXPECT_TRUE(std::all_of(message.begin(), message.end(), [](unsigned char c) { return c == '\n' || (c >= 0x20 && c != 0x7f); }));
}

INSTANTIATE_TEST_SUITE_P(Files, BadInput, testing::ValuesIn(bad_names()), [](const auto &info) {
  std::string name;
  for (std::size_t i = 0; i < info.param.size(); ++i)
    if (info.param[i] != '_')
      name += i == 0 || info.param[i - 1] == '_' ? char(std::toupper(info.param[i])) : info.param[i];
  return name;
});

TEST(BadFiles, ProblemsComeInTheOrderOfTheFile)
{
  const std::string message = message_of(path_of("many"));
  std::size_t       last    = 0;
  for (const std::string &line : expected_lines("many"))
  {
    const std::size_t place = message.find(line, last);
    ASSERT_NE(place, std::string::npos) << line << "\n" << message;
    last = place;
  }
}

TEST(BadFiles, EndTheProgramWithTwoAndLeaveNoFolder)
{
  const std::string work = fresh_folder("bad_input");
  for (const std::string name : {"unknown_key", "nul_byte", "many", "table_not_rising", "empty", "alias_bomb", "wedge"})
  {
    const ProgramRun check = run_program("check " + path_of(name));
    EXPECT_EQ(check.exit_code, 2) << name << "\n" << check.output;
    const ProgramRun run = run_program("run " + path_of(name) + " --out " + work + "/out");
    EXPECT_EQ(run.exit_code, 2) << name << "\n" << run.output;
    EXPECT_EQ(run.output, check.output) << name;
    EXPECT_NE(run.output.find(expected_lines(name).front()), std::string::npos) << name << "\n" << run.output;
  }
  EXPECT_TRUE(fs::is_empty(work));
}

TEST(BadFiles, LeaveEarlierResultsUntouched)
{
  const std::string work = fresh_folder("bad_input_earlier");
  std::ofstream(work + "/scenario.yaml") << "earlier\n";
  const auto time = fs::last_write_time(work + "/scenario.yaml");
  EXPECT_EQ(run_program("run " + path_of("too_heavy") + " --out " + work).exit_code, 2);
  EXPECT_EQ(all_files_below(work), std::vector<std::string>{work + "/scenario.yaml"});
  EXPECT_EQ(fs::last_write_time(work + "/scenario.yaml"), time);
}

TEST(BadFiles, ImpossibleGeometryIsRefusedBeforeAnythingIsComputed)
{
  // Hand reasoning: an arc of 8 mm about a centre 40 mm caudal of the joint ends 32 mm caudal of it; the shaft is narrower.
  const std::string work = fresh_folder("bad_geometry");
  std::ofstream(work + "/far.yaml")
      << "tibia: {tuberosity_width_mm: null}\nlevelling: {saw_radius_mm: 8, centre_offset_mm: -40}\n";
  const ProgramRun run = run_program("run " + work + "/far.yaml --out " + work + "/out");
  EXPECT_EQ(run.exit_code, 2) << run.output;
  EXPECT_FALSE(fs::exists(work + "/out"));
}

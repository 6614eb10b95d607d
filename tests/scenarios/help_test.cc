// Help, manual of the keys: they read well, say the same as the program does, and are up to date.
#include "models/core/files.h"
#include "models/core/text_width.h"
#include "tests/support/program.h"
#include <gtest/gtest.h>

namespace
{
const std::vector<std::string> commands = {"run", "check", "keys", "new", "report", "validate", "completion", "man"};

std::size_t column_of_meanings(const std::string &line)
{
  const std::size_t words = line.find_first_not_of(' '), gap = line.find("  ", words);
  return gap == std::string::npos ? gap : line.find_first_not_of(' ', gap);
}
} // namespace

// Requirement (issue 7): what it does, an example, exit codes, at most 80 columns, options aligned; for every command.
TEST(Help, OfEveryCommandReadsWell)
{
  for (const std::string &command : commands)
  {
    const ProgramRun help = run_program(command + " --help");
    EXPECT_EQ(help.exit_code, 0) << command;
    for (const std::string &words : {"Usage: stifle " + command, std::string("Example:\n  stifle "), std::string("Exit code: 0 ")})
      EXPECT_NE(help.output.find(words), std::string::npos) << words << "\n" << help.output;
    std::size_t column = 0;
    bool        table  = false;
    for (const std::string &line : lines_of(help.output))
    {
      EXPECT_LE(stifle::display_width(line), 80) << line;
      table = line == "Options:" || (table && !line.empty());
      if (!table || line.rfind("  -", 0) != 0)
        continue;
      column = column ? column : column_of_meanings(line);
      EXPECT_EQ(column_of_meanings(line), column) << help.output;
    }
    EXPECT_GT(column, 0u) << help.output;
  }
}

TEST(Help, OfTheProgramNamesEveryCommandWithItsSentence)
{
  const ProgramRun help = run_program("--help");
  for (const std::string &command : commands)
    EXPECT_NE(help.output.find("\n  " + command + " "), std::string::npos) << command << help.output;
  for (const std::string &line : lines_of(help.output))
    EXPECT_LE(stifle::display_width(line), 80) << line;
}

// Requirement: scenarios/KEYS.md is what the program says of its keys.
TEST(Help, KeysFileIsFresh)
{
  const ProgramRun now = run_program("keys --markdown");
  EXPECT_EQ(now.exit_code, 0);
  EXPECT_EQ(stifle::read_file(std::string(STIFLE_SOURCE_DIR) + "/scenarios/KEYS.md"), now.output)
      << "scenarios/KEYS.md is not what the program says; refresh it: build/stifle keys --markdown > scenarios/KEYS.md";
}

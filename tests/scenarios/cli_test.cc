// The command line: every command, its exit code, and what it must not do.
#include "models/core/files.h"
#include "models/core/scenario.h"
#include "tests/support/program.h"
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>

namespace fs = std::filesystem;

namespace
{
const std::string large_dog = std::string(STIFLE_SOURCE_DIR) + "/scenarios/large_dog.yaml";

bool has(const ProgramRun &run, const std::string &text) { return run.output.find(text) != std::string::npos; }
} // namespace

TEST(CommandLine, HelpNamesEveryCommandAndTheCaution)
{
  const ProgramRun help = run_program("--help");
  EXPECT_EQ(help.exit_code, 0);
  for (const char *word : {"run", "check", "keys", "new", "report", "validate", "not a device", "2 bad input"})
    EXPECT_TRUE(has(help, word)) << word << "\n" << help.output;
}

TEST(CommandLine, VersionIsPrinted)
{
  const ProgramRun version = run_program("--version");
  EXPECT_EQ(version.exit_code, 0);
  EXPECT_TRUE(has(version, "stifle " STIFLE_VERSION)) << version.output;
}

TEST(CommandLine, BadUsageEndsWithTwo)
{
  for (const std::string arguments :
       {"", "fly", "run", "check", "new", "report", "--fly", "run a.yaml b.yaml", "run a.yaml --threads 0",
        "run a.yaml --threads 257", "run a.yaml --threads many", "run a.yaml --only mesh", "run a.yaml --out",
        "check a.yaml --out b", "validate NoSuchCase"})
  {
    const ProgramRun run = run_program(arguments);
    EXPECT_EQ(run.exit_code, 2) << arguments << "\n" << run.output;
    EXPECT_FALSE(run.output.empty()) << arguments;
  }
}

TEST(CommandLine, UnknownCommandNamesTheNearest)
{
  const ProgramRun run = run_program("chekc a.yaml");
  EXPECT_EQ(run.exit_code, 2);
  EXPECT_TRUE(has(run, "  nearest  check")) << run.output;
}

TEST(CommandLine, MissingFileEndsWithTwo)
{
  for (const std::string file : {"/no/such/file.yaml", "/tmp", "/dev/null", "\"\""})
    EXPECT_EQ(run_program("check " + file).exit_code, 2) << file;
}

TEST(CommandLine, ResultsFolderThatIsAFileEndsWithTwo)
{
  const std::string work = fresh_folder("cli_out");
  std::ofstream(work + "/file") << "kept\n";
  EXPECT_EQ(run_program("run " + large_dog + " --out " + work + "/file").exit_code, 2);
  EXPECT_EQ(stifle::read_file(work + "/file"), "kept\n");
}

TEST(CommandLine, CheckAcceptsTheLargeDogAndWritesNothing)
{
  const std::string work  = fresh_folder("cli_check");
  const ProgramRun  check = run_program("check " + large_dog + " && ls -A " + work);
  EXPECT_EQ(check.exit_code, 0) << check.output;
  EXPECT_TRUE(has(check, "5 plateau slopes")) << check.output; // 25 unoperated, 15, 10, 6, 0
  EXPECT_TRUE(fs::is_empty(work));
}

TEST(CommandLine, NewWritesAScenarioThatChecksAndNeverOverwrites)
{
  const std::string file = fresh_folder("cli_new") + "/dog.yaml";
  EXPECT_EQ(run_program("new " + file).exit_code, 0);
  EXPECT_EQ(run_program("check " + file).exit_code, 0);
  std::ofstream(file) << "dog: {mass_kg: 12}\n";
  EXPECT_EQ(run_program("new " + file).exit_code, 2);
  EXPECT_EQ(stifle::read_scenario(file).dog.mass_kg, 12);
  EXPECT_EQ(run_program("new " + file + "/below/a/file.yaml").exit_code, 2);
}

TEST(CommandLine, KeysExplainsAllKeysASectionOrOneKey)
{
  const ProgramRun all = run_program("keys"), section = run_program("keys plate"), key = run_program("keys plate.width_mm");
  EXPECT_EQ(all.exit_code, 0);
  EXPECT_TRUE(has(all, "levelling.saw_radius_mm: 24 | 8 to 40 (mm)")) << all.output;
  EXPECT_TRUE(has(section, "plate.width_mm: 11") && has(section, "plate.material") && !has(section, "dog.mass_kg"))
      << section.output;
  EXPECT_TRUE(has(key, "plate.width_mm: 11") && !has(key, "plate.material")) << key.output;
  const ProgramRun wrong = run_program("keys plate.widht_mm");
  EXPECT_EQ(wrong.exit_code, 2);
  EXPECT_TRUE(has(wrong, "  nearest  plate.width_mm")) << wrong.output;
}

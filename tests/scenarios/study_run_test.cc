// A study run for real on a coarse mesh: one process, several, killed ones; the same tables, each case once.
#include "models/core/files.h"
#include "tests/support/claim_elsewhere.h"
#include "tests/support/program.h"
#include <chrono>
#include <csignal>
#include <fcntl.h>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <gtest/gtest.h>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace fs = std::filesystem;
using stifle::read_file;

namespace
{
const std::string study_file = std::string(STIFLE_SOURCE_DIR) + "/tests/cluster/small_study.yaml";
constexpr int     all_cases  = 6; // 2 variants x joint, unoperated, levelled

/// By one process, once for all tests of the suite.
const std::string &reference()
{
  static const std::string out = [] {
    const std::string folder = fresh_folder("study_reference");
    const ProgramRun  run    = run_program("run " + study_file + " --threads 1 --out " + folder);
    EXPECT_EQ(run.exit_code, 0) << run.output;
    return folder;
  }();
  return out;
}

std::vector<std::string> tables_of(const std::string &folder)
{
  std::vector<std::string> names = {"summary.json"};
  for (const auto &entry : fs::directory_iterator(folder))
    if (entry.path().extension() == ".csv")
      names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

void expect_same_tables(const std::string &a, const std::string &b)
{
  const auto names = tables_of(a);
  EXPECT_GE(names.size(), 13u);
  EXPECT_EQ(names, tables_of(b));
  for (const std::string &name : names)
    EXPECT_TRUE(read_file(a + "/" + name) == read_file(b + "/" + name)) << name << " differs";
}

/// Lines of all logs that match; what the group caught, with how often.
std::map<std::string, int> in_logs(const std::string &out, const std::string &pattern)
{
  std::map<std::string, int> found;
  const std::regex           wanted(pattern);
  for (const auto &entry : fs::directory_iterator(out + "/logs"))
    for (const std::string &line : lines_of(read_file(entry.path().string())))
      if (std::smatch match; std::regex_search(line, match, wanted))
        ++found[match[1]];
  return found;
}

void expect_each_case_once(const std::string &out, int cases)
{
  const auto finished = in_logs(out, "case +([^ ]+) finished");
  EXPECT_EQ(int(finished.size()), cases);
  for (const auto &[name, times] : finished)
    EXPECT_EQ(times, 1) << name;
}

pid_t start_run(const std::vector<std::string> &more, const std::string &file = study_file)
{
  std::vector<std::string> words = {"run", file};
  words.insert(words.end(), more.begin(), more.end());
  return start_program(words);
}

/// A worker that has begun a slope and not finished it: its id is in the name of its log. 0: none came within two minutes.
pid_t worker_on_a_slope(const std::string &out)
{
  for (int i = 0; i < 6000; ++i, std::this_thread::sleep_for(std::chrono::milliseconds(20)))
    if (fs::exists(out + "/logs"))
      for (const auto &entry : fs::directory_iterator(out + "/logs"))
      {
        const std::string text = read_file(entry.path().string()), name = entry.path().stem().string();
        const std::size_t begun = text.rfind("levelled_+06.00 begun"), finished = text.rfind("levelled_+06.00 finished");
        const pid_t       id    = std::stoi(name.substr(name.rfind('.') + 1));
        if (begun != std::string::npos && (finished == std::string::npos || finished < begun) && kill(id, 0) == 0)
          return id;
      }
  return 0;
}

/// The finished study again, with the levelled slope of its first variant still to be done.
struct OneCaseLeft
{
  explicit OneCaseLeft(const std::string &name) : out(fresh_folder(name))
  {
    variant = stifle::read_table(reference() + "/study.csv").rows[0][0];
    file    = out + "/variants/" + variant + "/cases/levelled_+06.00.json";
    fs::copy(reference(), out, fs::copy_options::recursive);
    fs::remove(file);
    fs::create_directory(out + "/claims");
  }

  std::string claim(int generation) const { return fmt::format("{}/claims/{}.levelled_+06.00.{}", out, variant, generation); }

  std::string out, variant, file;
};
} // namespace

TEST(StudyRun, MergedTablesHoldEveryVariantWithItsValuesInTheirOrder)
{
  const stifle::ReadTable margins = stifle::read_table(reference() + "/margins.csv"), study = stifle::read_table(reference() + "/study.csv");
  ASSERT_EQ(study.rows.size(), 2u);
  const std::string expected[2][2] = {{"25", "20"}, {"30", "20"}};
  std::vector<std::string> order;
  for (const auto &row : margins.rows)
    if (order.empty() || order.back() != row[margins.column("variant")])
      order.push_back(row[margins.column("variant")]);
  ASSERT_EQ(order.size(), 2u);
  for (std::size_t v = 0; v < 2; ++v)
  {
    EXPECT_EQ(order[v], study.rows[v][study.column("variant")]);
    EXPECT_EQ(study.rows[v][study.column("dog.mass_kg")], expected[v][0]);
    EXPECT_EQ(study.rows[v][study.column("limb.hamstrings_n")], expected[v][1]);
    // The least margin of the table of a variant is the one that study.csv tells.
    double least = 1e9;
    for (const auto &row : margins.rows)
      if (row[margins.column("variant")] == order[v] && !row[margins.column("margin")].empty())
        least = std::min(least, std::stod(row[margins.column("margin")]));
    EXPECT_EQ(std::stod(study.rows[v][study.column("least_margin")]), least);
  }
  const auto summary = nlohmann::json::parse(read_file(reference() + "/summary.json"));
  ASSERT_EQ(summary.at("variants").size(), 2u);
  EXPECT_TRUE(summary["variants"][0]["neutral_by_activity"].contains("walk"));
  EXPECT_FALSE(summary.contains("phases")); // times differ from run to run
  expect_each_case_once(reference(), all_cases);
}

TEST(StudyRun, WorkersGiveTheTablesOfOneProcess)
{
  const std::string out = fresh_folder("study_workers");
  EXPECT_EQ(wait_for(start_run({"--threads", "3", "--out", out})), 0);
  expect_same_tables(reference(), out);
  expect_each_case_once(out, all_cases);
  EXPECT_GE(in_logs(out, "case +([^ ]+) finished").size(), 1u);
  EXPECT_FALSE(fs::exists(out + "/claims")); // nothing is left of the claims
}

TEST(StudyRun, KilledWorkerIsReplacedAndEachCaseIsDoneOnce)
{
  const std::string out = fresh_folder("study_killed");
  const pid_t       run = start_run({"--threads", "2", "--out", out}), worker = worker_on_a_slope(out);
  ASSERT_GT(worker, 0);
  kill(worker, SIGKILL);
  EXPECT_EQ(wait_for(run), 0);
  expect_same_tables(reference(), out);
  expect_each_case_once(out, all_cases);
  EXPECT_GE(in_logs(out, "claims +([^ ]+) taken over").size(), 1u);
}

TEST(StudyRun, RunsStartedTogetherShareOneFolderAndOneMayBeKilled)
{
  const std::string        out = fresh_folder("study_shared");
  const std::vector<pid_t> runs = {start_run({"--threads", "1", "--out", out}), start_run({"--threads", "1", "--out", out}),
                                   start_run({"--threads", "1", "--out", out})};
  ASSERT_GT(worker_on_a_slope(out), 0);
  kill(runs[0], SIGKILL); // its worker ends with it
  EXPECT_EQ(wait_for(runs[0]), 128 + SIGKILL);
  EXPECT_EQ(wait_for(runs[1]), 0);
  EXPECT_EQ(wait_for(runs[2]), 0);
  expect_same_tables(reference(), out);
  expect_each_case_once(out, all_cases);
}

TEST(StudyRun, AnotherValueKeepsWhatIsFinished)
{
  const std::string out = fresh_folder("study_grown"), file = fresh_folder("study_grown_file") + "/study.yaml";
  fs::copy(reference(), out, fs::copy_options::recursive);
  fs::remove_all(out + "/logs");
  std::string text = read_file(study_file);
  text.replace(text.find("[25, 30]"), 8, "[25, 35, 30]");
  stifle::write_file(file, text);
  const ProgramRun run = run_program("run " + file + " --only joint --out " + out);
  EXPECT_EQ(run.exit_code, 0) << run.output;
  expect_each_case_once(out, 1); // the joint of the new dog
  EXPECT_EQ(stifle::read_table(out + "/study.csv").rows.size(), 3u);
}

TEST(StudyRun, VariantsOfOneShapeShareTheirMeshes)
{
  int meshes = 0;
  for (const auto &entry : fs::directory_iterator(reference() + "/meshes"))
    meshes += entry.path().extension() == ".mesh";
  EXPECT_EQ(meshes, 2); // unoperated and levelled; the two masses have the same bone
}

TEST(StudyRun, VariantIsWhatARunOfItsOwnScenarioGives)
{
  const std::string variant = reference() + "/variants/" + stifle::read_table(reference() + "/study.csv").rows[1][0], out = fresh_folder("study_alone");
  const ProgramRun  run     = run_program("run " + variant + "/scenario.yaml --out " + out);
  EXPECT_EQ(run.exit_code, 0) << run.output;
  for (const char *name : {"joint.csv", "repairs.csv", "passive.csv", "construct.csv", "cut.csv", "screws.csv", "margins.csv", "scenario.yaml"})
    EXPECT_EQ(read_file(out + "/" + name), read_file(variant + "/" + name)) << name;
  // Merged, the same rows with the columns of the study at their end.
  const stifle::ReadTable alone = stifle::read_table(out + "/margins.csv"), merged = stifle::read_table(reference() + "/margins.csv");
  EXPECT_EQ(std::vector<std::string>(merged.columns.begin(), merged.columns.begin() + std::ptrdiff_t(alone.columns.size())), alone.columns);
}

TEST(StudyRun, RunThatMustNotWaitLeavesWhatOthersHoldAndTheLastOneMerges)
{
  const OneCaseLeft left("study_no_wait");
  claim_elsewhere(left.claim(0), 0); // held by another machine, just touched
  const ProgramRun leaves = run_program("run " + study_file + " --no-wait --out " + left.out);
  EXPECT_EQ(leaves.exit_code, 0) << leaves.output;
  EXPECT_NE(leaves.output.find("other processes work on 1 case"), std::string::npos) << leaves.output;
  EXPECT_FALSE(fs::exists(left.file)); // the other's, still
  const ProgramRun report = run_program("report " + left.out); // a study has none of its own
  EXPECT_EQ(report.exit_code, 2);
  EXPECT_NE(report.output.find("variants"), std::string::npos) << report.output;
  fs::remove(left.claim(0)); // as if it had given the case back
  for (const char *what : {"the last case", "all finished: merges again"})
  {
    const ProgramRun last = run_program("run " + study_file + " --no-wait --out " + left.out);
    EXPECT_EQ(last.exit_code, 0) << what << last.output;
    expect_same_tables(reference(), left.out);
  }
}

TEST(StudyRun, CaseThatBroughtThreeProcessesDownIsGivenUpUntilItsFileIsRemoved)
{
  const OneCaseLeft left("study_given_up");
  for (int death = 0; death < 3; ++death)
    claim_elsewhere(left.claim(death), 1000);
  const ProgramRun run = run_program("run " + study_file + " --out " + left.out);
  EXPECT_EQ(run.exit_code, 1) << run.output;
  EXPECT_NE(run.output.find("1 FAILED"), std::string::npos) << run.output;
  EXPECT_NE(read_file(left.out + "/summary.json").find("3 processes died with this case in hand: given up"), std::string::npos);
  const auto variants = stifle::read_table(left.out + "/study.csv"), whole = stifle::read_table(reference() + "/study.csv");
  EXPECT_EQ(variants.rows[0].back(), "1"); // failed
  EXPECT_EQ(variants.rows[1], whole.rows[1]);
  fs::remove(left.file);
  const ProgramRun again = run_program("run " + study_file + " --out " + left.out);
  EXPECT_EQ(again.exit_code, 0) << again.output;
  expect_same_tables(reference(), left.out);
}

TEST(StudyRun, RunsOfOneScenarioShareItsSlopes)
{
  const std::string small_dog = std::string(STIFLE_SOURCE_DIR) + "/tests/scenarios/small_dog.yaml";
  const std::string out = fresh_folder("plain_shared"), alone = fresh_folder("plain_alone");
  const pid_t       one = start_run({"--threads", "1", "--out", out}, small_dog), other = start_run({"--threads", "1", "--out", out}, small_dog);
  EXPECT_EQ(wait_for(one), 0);
  EXPECT_EQ(wait_for(other), 0);
  int meshed = 0;
  for (const std::string &line : lines_of(read_file(out + "/log.txt")))
  {
    meshed += line.find("tetrahedra, worst") != std::string::npos;
    EXPECT_EQ(line.compare(0, 1, "["), 0) << "a torn line: " << line;
  }
  EXPECT_EQ(meshed, 2); // unoperated and levelled, once each
  EXPECT_EQ(run_program("run " + small_dog + " --threads 1 --out " + alone).exit_code, 0);
  for (const std::string &name : tables_of(alone))
    if (name != "summary.json") // times differ
    {
      EXPECT_TRUE(read_file(out + "/" + name) == read_file(alone + "/" + name)) << name;
    }
}

TEST(StudyRun, BadVariantIsRefusedWithTheLineOfItsValue)
{
  const std::string file = fresh_folder("study_bad") + "/study.yaml";
  stifle::write_file(file, "study:\n  vary:\n    plate.width_mm: [11, 30]\n");
  const ProgramRun run = run_program("check " + file);
  EXPECT_EQ(run.exit_code, 2);
  EXPECT_NE(run.output.find("study.yaml:3:"), std::string::npos) << run.output;
  EXPECT_NE(run.output.find("30"), std::string::npos);
}

// tests/scenarios/finished_run.h - the small dog, run once a program for all tests that only read what it left
#pragma once
#include "models/core/files.h"
#include "tests/support/program.h"
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace fs = std::filesystem;
using nlohmann::json;

inline const std::string small_dog = std::string(STIFLE_SOURCE_DIR) + "/tests/scenarios/small_dog.yaml";

inline const std::string &finished_run()
{
  static const std::string folder = [] {
    const std::string out = fresh_folder("run");
    const ProgramRun  run = run_program("run " + small_dog + " --out " + out + " --threads 2");
    if (run.exit_code != 0)
      throw std::runtime_error("exit code " + std::to_string(run.exit_code) + "\n" + run.output);
    EXPECT_EQ(wide_lines(run.output), ""); // the closing text fits 80 columns
    return out;
  }();
  return folder;
}

inline json summary_of(const std::string &folder)
{
  std::ifstream file(folder + "/summary.json");
  return json::parse(file);
}

/// The field files of a run; beside them lie the names of their blocks (.vtm).
inline std::vector<fs::path> field_files(const std::string &folder)
{
  std::vector<fs::path> files;
  for (const auto &entry : fs::directory_iterator(folder + "/fields"))
    if (entry.path().extension() == ".vtu")
      files.push_back(entry.path());
  return files;
}

#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/scenario.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/pictures.h"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace stifle::app
{
namespace
{
/// The slopes a finished run kept in DIR/cases, unoperated first, then by falling target.
std::vector<SlopeResult> finished_slopes(const std::string &folder)
{
  std::vector<SlopeResult> slopes;
  const std::string        cases = folder + "/cases";
  if (std::filesystem::is_directory(cases))
    for (const auto &entry : std::filesystem::directory_iterator(cases))
    {
      const std::string    text = read_file(entry.path().string());
      const nlohmann::json file = nlohmann::json::parse(text, nullptr, false);
      SlopeResult          slope;
      if (file.is_object() && read_slope_text(text, file.value("fingerprint", ""), slope))
        slopes.push_back(std::move(slope));
    }
  std::sort(slopes.begin(), slopes.end(), [](const SlopeResult &a, const SlopeResult &b) {
    return a.operated != b.operated ? !a.operated : a.target_deg > b.target_deg;
  });
  return slopes;
}
} // namespace

int report_command(const std::string &folder)
{
  const std::string file = folder + "/scenario.yaml";
  if (!std::filesystem::exists(file))
  {
    InputProblem problem;
    problem.file    = folder;
    problem.message = "this folder holds no results (scenario.yaml is missing)";
    problem.allowed = "the folder of a finished `stifle run`";
    throw InputError({problem});
  }
  const Scenario scenario = read_scenario(file);
  write_pictures(folder, scenario, finished_slopes(folder));
  fmt::print("{}/pictures and {}/fields.pvd rebuilt from the results.\n{}\n", folder, folder, caution());
  return 0;
}
} // namespace stifle::app

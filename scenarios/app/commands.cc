#include "scenarios/app/commands.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/keys_markdown.h"
#include "models/core/scenario.h"
#include "models/parts/repair.h"
#include "scenarios/app/prepare.h"
#include "scenarios/app/study_run.h"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
[[noreturn]] void refuse(const std::string &file, const std::string &message, const std::string &allowed)
{
  throw InputError({InputProblem{file, 0, 0, message, "", allowed, "", ""}});
}
} // namespace

std::string caution()
{
  return "Teaching and research, not a device: decisions rest with the licensed veterinarian and local rules.";
}

void check_results_folder(const std::string &folder)
{
  std::error_code error;
  if (!folder.empty() && std::filesystem::exists(folder, error) && !std::filesystem::is_directory(folder, error))
    refuse(folder, "--out names a file, not a folder", "a folder, new or with results of an earlier run");
}

int check_command(const std::string &file)
{
  const Study     study    = read_study(file);
  const Scenario &scenario = study.scenario;
  if (scenario.study.expands())
  {
    for (const std::string &line : check_variants(study))
      fmt::print("{}\n", line);
    fmt::print("{}: can be run. It is {}. Nothing was computed.\n", file, study_words(study));
    return 0;
  }
  chosen_activities(scenario, file);
  for (const std::string &line : check_geometry(scenario, file))
    fmt::print("{}\n", line);
  if (scenario.rig.on())
  {
    fmt::print("{}: can be run. Rig {} on {}. Nothing was computed.\n", file, scenario.rig.kind, scenario.rig.used_specimen());
    return 0;
  }
  const bool        levelled = has_repair(scenario, RepairKind::levelling);
  const std::size_t slopes   = 1 + (levelled ? scenario.levelling.plateau_angles_deg.size() : 0);
  fmt::print("{}: can be run. {} plateau slopes x {} weeks x {} activities x {} instants of stance. Nothing was computed.\n",
             file, slopes, scenario.healing.weeks.size(), scenario.activities.size(), scenario.study.stance_percent.size());
  return 0;
}

int keys_command(const std::string &path, bool markdown)
{
  fmt::print("{}", markdown ? keys_markdown(path) : describe_keys(path));
  return 0;
}

int new_command(const std::string &file)
{
  namespace fs = std::filesystem;
  std::error_code error;
  if (fs::exists(fs::symlink_status(file, error)))
    refuse(file, "the file exists and is not overwritten", "a new file name");
  const fs::path folder = fs::absolute(file).parent_path();
  if (file.empty() || !fs::is_directory(folder, error))
    refuse(file, "the folder of the new file does not exist", "a file in an existing folder");
  write_file(file, template_scenario());
  fmt::print("{} written. Next: stifle check {}\n", file, file);
  return 0;
}
} // namespace stifle::app

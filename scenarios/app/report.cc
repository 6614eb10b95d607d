#include "models/core/error.h"
#include "models/core/scenario.h"
#include "models/study/one_dog.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/pictures.h"
#include "scenarios/app/report_html.h"
#include "scenarios/app/stages.h"
#include "scenarios/app/store.h"
#include <filesystem>
#include <fmt/format.h>

namespace stifle::app
{
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
  const Scenario written = read_scenario(file);
  if (written.study.expands())
    throw InputError({InputProblem{folder, 0, 0, "this folder holds a study: its variants have pictures and a report of their own", "",
                                   "a folder in " + folder + "/variants; study.csv tells them apart", "", "study"}});
  const Scenario scenario = one_dog(written, {}).scenario;
  const std::vector<SlopeResult> slopes = finished_slopes(folder, noted_fingerprint(folder));
  {
    const Screen screen(show_here(false));
    write_pictures(folder, scenario, slopes);
    write_report(folder, scenario, slopes);
  }
  print_closing(fmt::format("{}/pictures rebuilt from the tables; {} of its {} with stress fields{}.\n{}\n", folder, slopes.size(),
             scenario.rig.on() ? "specimens" : "plateau slopes", slopes.empty() ? " (none finished)" : ", listed in fields.pvd", caution()));
  return 0;
}
} // namespace stifle::app

#include "scenarios/app/construct_tier.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/log.h"
#include "models/healing/diary.h"
#include "models/parts/repair.h"
#include "models/study/margin_inputs.h"
#include "models/study/study_tables.h"
#include "scenarios/app/construct_progress.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/slope_run.h"
#include "scenarios/app/store.h"
#include <atomic>
#include <filesystem>
#include <fmt/format.h>
#include <mutex>
#include <thread>

namespace stifle::app
{
namespace
{
/// A margin of fatigue that leaves an activity out must not look complete.
void name_uncounted(const ConstructPlan &plan)
{
  if (plan.scenario.healing.weeks.size() < 2)
    return;
  const Diary diary = diary_of(plan.scenario);
  for (const Activity &activity : plan.activities)
    if (!diary.find(activity.name))
      log("diary", fmt::format("{} does not count {}: it adds nothing to fatigue", diary.name, activity.name));
}
} // namespace

std::vector<Levelling> slopes_of(const Scenario &scenario)
{
  const Anatomy          anatomy = make_anatomy(scenario);
  std::vector<Levelling> slopes  = {no_levelling(anatomy)};
  if (has_repair(scenario, RepairKind::levelling))
    for (double angle_deg : scenario.levelling.plateau_angles_deg)
      slopes.push_back(plan_levelling(scenario, anatomy, radians(angle_deg)));
  return slopes;
}

LoadedInstant loaded_instant(const Scenario &scenario, const OperatedAnatomy &bone, const Activity &activity, double percent,
                             double limb_use)
{
  const auto   &states = scenario.joint.ligament;
  const bool    torn   = std::find(states.begin(), states.end(), "torn") != states.end();
  LoadedInstant instant;
  instant.load = load_of_instant(scenario, bone, LoadSet::stance, &activity, percent);
  instant.load.ground_force *= limb_use;
  JointCase joint_case{scenario, bone, torn ? LigamentState::torn : LigamentState::intact, LoadSet::stance, instant.load};
  instant.joint = solve_joint(joint_case);
  return instant;
}

std::vector<solver::LoadStep> load_path(const Scenario &scenario, const OperatedAnatomy &bone, const Activity &activity, double percent,
                                        double limb_use)
{
  std::vector<solver::LoadStep> path;
  const bool                    in_turn = scenario.healing.load_path == "instants" && activity.rows.size() > 1;
  for (const double instant : in_turn ? scenario.study.stance_percent : std::vector<double>{percent})
    if (instant <= percent)
      if (const LoadedInstant loaded = loaded_instant(scenario, bone, activity, instant, limb_use); loaded.joint.converged || instant == percent)
        path.push_back({loaded.joint.on_tibia, static_cast<int>(path.size()) - 1});
  return path;
}

std::vector<SlopeResult> run_construct_tier(const ConstructPlan &plan)
{
  name_uncounted(plan);
  const std::vector<Levelling> slopes = slopes_of(plan.scenario);
  std::vector<SlopeResult>     results(slopes.size());
  std::filesystem::create_directories(plan.folder + "/cases");
  std::filesystem::create_directories(plan.folder + "/fields");
  if (plan.scenario.study.samples > 0 && plan.scenario.study.margin_samples > 0)
    write_file(plan.folder + "/margin_inputs.csv", inputs_table(margin_inputs(plan.scenario)).csv());
  Shared                   shared;
  std::atomic<std::size_t> next{0}, done{0}, taken_up{0};
  ConstructProgress        progress(plan, slopes);
  const auto work = [&]() {
    for (std::size_t i = next++; i < slopes.size() && !interrupted(); i = next++)
    {
      SlopeProgress slope(progress, slopes[i].cut);
      if (take_up(plan.folder, plan.fingerprint, slopes[i], results[i]))
        ++taken_up;
      else
        try
        {
          results[i] = run_slope(plan, slopes[i], shared, slope);
          keep_slope(plan.folder, plan.fingerprint, results[i]);
        }
        catch (const Interrupted &)
        {
          return;
        }
        catch (const std::exception &error)
        {
          results[i]       = slope_for(slopes[i]);
          results[i].error = error.what();
          log("error", fmt::format("slope {:.1f} deg: {}", results[i].target_deg, error.what()));
        }
      log("slopes", fmt::format("{}/{} done", ++done, slopes.size()));
    }
    shared.spare.give(1);
  };
  shared.spare.give(std::max(0, plan.threads - static_cast<int>(slopes.size())));
  std::vector<std::thread> workers;
  for (int t = 1; t < std::min<int>(plan.threads, slopes.size()); ++t)
    workers.emplace_back(work);
  work();
  for (std::thread &worker : workers)
    worker.join();
  stop_if_interrupted();
  progress.end(results, taken_up);
  return results;
}
} // namespace stifle::app

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
#include "scenarios/app/shared_work.h"
#include "scenarios/app/slope_run.h"
#include "scenarios/app/store.h"
#include <atomic>
#include <filesystem>
#include <fmt/format.h>
#include <mutex>

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

solver::SolverKind solver_kind(const std::string &word)
{
  return word == "direct" ? solver::SolverKind::direct : word == "cg" ? solver::SolverKind::cg : solver::SolverKind::automatic;
}

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

bool loads_in_turn(const Scenario &scenario, const Activity &activity)
{
  return scenario.healing.load_path == "instants" && activity.rows.size() > 1;
}

std::vector<LoadedInstant> stance_path(const Scenario &scenario, const OperatedAnatomy &bone, const Activity &activity, double percent,
                                       double limb_use)
{
  std::vector<LoadedInstant> instants;
  if (loads_in_turn(scenario, activity))
    for (const double before : scenario.study.stance_percent)
      if (before < percent)
        if (LoadedInstant loaded = loaded_instant(scenario, bone, activity, before, limb_use); loaded.joint.converged)
          instants.push_back(std::move(loaded));
  instants.push_back(loaded_instant(scenario, bone, activity, percent, limb_use));
  return instants;
}

std::vector<solver::LoadStep> load_path(const std::vector<LoadedInstant> &instants)
{
  std::vector<solver::LoadStep> path;
  for (const LoadedInstant &instant : instants)
    path.push_back({instant.joint.on_tibia, static_cast<int>(path.size()) - 1});
  return path;
}

SlopeResult run_kept_slope(const ConstructPlan &plan, const Levelling &levelling, Shared &shared, SlopeProgress &progress)
{
  SlopeResult result;
  try
  {
    result = run_slope(plan, levelling, shared, progress);
  }
  catch (const Interrupted &)
  {
    throw;
  }
  catch (const std::exception &error)
  {
    result       = slope_for(levelling);
    result.error = error.what();
    log("error", fmt::format("slope {:.1f} deg: {}", result.target_deg, error.what()));
  }
  return result;
}

void prepare_construct(const ConstructPlan &plan)
{
  name_uncounted(plan);
  std::filesystem::create_directories(plan.folder + "/cases");
  std::filesystem::create_directories(plan.folder + "/fields");
  if (plan.scenario.study.samples > 0 && plan.scenario.study.margin_samples > 0)
    write_file(plan.folder + "/margin_inputs.csv", inputs_table(margin_inputs(plan.scenario)).csv());
}

namespace
{
/// The slopes of one scenario, shared with every other process on its folder. A slope that failed is noted beside the claims, for
/// those who wait for it; the note goes with the claims, so that a later run tries again.
class SharedSlopes
{
public:
  explicit SharedSlopes(const ConstructPlan &plan)
    : plan_(plan), slopes_(slopes_of(plan.scenario)), results_(slopes_.size()), progress_(plan, slopes_)
  {}

  std::vector<SlopeResult> all()
  {
    prepare_construct(plan_);
    const std::string claims = plan_.folder + "/claims";
    std::filesystem::create_directories(claims);
    ClaimBoard board(claims);
    if (!board.anyone_at_work()) // left by a run that was killed
      for (const Levelling &slope : slopes_)
        std::filesystem::remove(failure_note(slope));
    const SharedWork work{slopes_.size(), [&](std::size_t i) { return name(slopes_[i]); }, [&](std::size_t i) { return taken_up(i); },
                          [&](std::size_t i) { return run(i, board); }, [&] { shared_.spare.give(1); }};
    shared_.spare.give(std::max(0, plan_.threads - static_cast<int>(slopes_.size())));
    const std::size_t left = work_off(work, board, std::min<int>(plan_.threads, int(slopes_.size())), plan_.wait);
    if (left > 0)
      throw LeftToOthers(left);
    if (std::all_of(results_.begin(), results_.end(), [](const SlopeResult &slope) { return slope.error.empty(); }))
      std::filesystem::remove_all(claims);
    progress_.end(results_, taken_up_);
    return std::move(results_);
  }

private:
  std::string name(const Levelling &slope) const { return std::filesystem::path(case_file("", degrees(slope.target_angle_rad), slope.cut)).stem().string(); }
  std::string failure_note(const Levelling &slope) const { return plan_.folder + "/claims/" + name(slope) + ".failed"; }

  bool taken_up(std::size_t i)
  {
    const bool kept = take_up(plan_.folder, plan_.fingerprint, slopes_[i], results_[i]);
    if (!kept && !failed_elsewhere(i))
      return false;
    taken_up_ += kept;
    const SlopeProgress skipped(progress_, slopes_[i].cut);
    tell_done();
    return true;
  }

  void tell_done() { log("slopes", fmt::format("{}/{} done", ++done_, slopes_.size())); }

  bool failed_elsewhere(std::size_t i)
  {
    const std::string note = failure_note(slopes_[i]);
    if (!std::filesystem::exists(note))
      return false;
    read_slope_text(read_file(note), plan_.fingerprint, results_[i]);
    return !results_[i].error.empty();
  }

  bool run(std::size_t i, const ClaimBoard &board)
  {
    SlopeProgress progress(progress_, slopes_[i].cut);
    results_[i] = run_kept_slope(plan_, slopes_[i], shared_, progress);
    if (!board.mine(name(slopes_[i])))
    {
      log("claims", name(slopes_[i]) + " was taken over while it was computed: not kept");
      return false;
    }
    if (results_[i].error.empty())
      keep_slope(plan_.folder, plan_.fingerprint, results_[i]);
    else
      write_file(failure_note(slopes_[i]), slope_text(results_[i], plan_.fingerprint));
    tell_done();
    return true;
  }

  const ConstructPlan     &plan_;
  std::vector<Levelling>   slopes_;
  std::vector<SlopeResult> results_;
  ConstructProgress        progress_;
  Shared                   shared_;
  std::atomic<std::size_t> done_{0}, taken_up_{0};
};
} // namespace

std::vector<SlopeResult> run_construct_tier(const ConstructPlan &plan) { return SharedSlopes(plan).all(); }
} // namespace stifle::app

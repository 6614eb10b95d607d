#include "models/core/error.h"
#include "models/core/log.h"
#include "models/core/peak_memory.h"
#include "models/study/one_dog.h"
#include "scenarios/app/closing.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/construct_tier.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/joint_tier.h"
#include "scenarios/app/pictures.h"
#include "scenarios/app/report_html.h"
#include "scenarios/app/prepare.h"
#include "scenarios/app/refine.h"
#include "scenarios/app/rig_tier.h"
#include "scenarios/app/run_events.h"
#include "scenarios/app/stages.h"
#include "scenarios/app/shared_work.h"
#include "scenarios/app/store.h"
#include "scenarios/app/study_run.h"
#include "scenarios/app/tables.h"
#include "solver/cg_workers.h"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
class Run
{
public:
  Run(const Scenario &written, const OneDog &dog, const RunOptions &options, std::vector<std::string> notes)
    : written_(written), scenario_(dog.scenario), activities_(dog.activities), options_(options), notes_(std::move(notes))
  {}

  int all()
  {
    const std::string what =
        fmt::format("{} | {} kg | {} threads", scenario_.dog.name, scenario_.dog.mass_kg, options_.threads);
    const std::string mark = start_results(options_.out, written_, what, notes_);
    phase("joint", [&] { joint_ = run_joint_tier(scenario_, activities_, options_.out, options_.threads); });
    if (options_.only_joint)
      judged_ = judge(scenario_, finished_slopes(options_.out, mark)); // of an earlier run: kept in the summary
    else
      phase("construct", [&] {
        judged_ = judge(scenario_, run_construct_tier(plan(mark)));
        write_construct_tables(options_.out, judged_);
      });
    if (options_.refine)
      phase("refine",
            [&] { refinement_ = refine_worst_state(plan(mark), judged_.slopes); });
    write_summary(options_.out, written_, joint_.neutral, judged_, phases_); // before the pictures, so that nothing waits for them
    phase("pictures", [&] { write_pictures(options_.out, scenario_, judged_.slopes); });
    add_construct_phases();
    write_summary(options_.out, written_, joint_.neutral, judged_, phases_);
    write_report(options_.out, scenario_, judged_.slopes);
    print_closing("\n" + closing_text(joint_.rows, joint_.neutral, judged_) + "\n" +
                  (refinement_ ? refine_text(*refinement_) + "\n" : "") + phases_text() + results_line(options_.out) + caution() + "\n");
    return tell_done(exit_code(), options_.out, judged_.margins);
  }

private:
  ConstructPlan plan(const std::string &mark) const
  {
    // The processes of mpirun share one system at a time.
    return {scenario_, activities_, options_.out, mark, solver::several_processes() ? 1 : options_.threads,
            solver_kind(options_.solver), !options_.no_wait};
  }

  template <class Work> void phase(const std::string &name, Work work)
  {
    const double start = elapsed_seconds();
    work();
    stop_if_interrupted();
    phases_.push_back({name, elapsed_seconds() - start});
    log(name, fmt::format("phase done in {:.1f} s", phases_.back().seconds));
  }

  /// Steps inside the construct tier, summed over slopes: they overlap when slopes run side by side.
  void add_construct_phases()
  {
    std::vector<PhaseTime> sums;
    for (const SlopeResult &slope : judged_.slopes)
      for (const SlopeTiming &timing : slope.timing)
      {
        const std::string name = "construct: " + timing.name + " (sum over slopes)";
        auto same = std::find_if(sums.begin(), sums.end(), [&](const PhaseTime &p) { return p.name == name; });
        if (same == sums.end())
          sums.push_back({name, timing.seconds});
        else
          same->seconds += timing.seconds;
      }
    phases_.insert(phases_.end(), sums.begin(), sums.end());
    phases_.push_back({"total", elapsed_seconds()});
  }

  int exit_code() const
  {
    for (const SlopeResult &slope : judged_.slopes)
      if (!slope.error.empty() || !slope.failed_states.empty())
        return 1;
    return refinement_ && !refinement_->error.empty() ? 1 : 0;
  }

  std::string phases_text() const
  {
    std::string text;
    for (const PhaseTime &p : phases_)
      text += fmt::format("  {:<45} {:8.1f} s\n", p.name, p.seconds);
    return text + fmt::format("  {:<45} {:8.0f} MB\n", "peak memory", peak_memory_mb());
  }

  Scenario                 written_;  ///< as in the file
  Scenario                 scenario_; ///< of the dog that is computed: the same but with study.dog
  std::vector<Activity>    activities_;
  RunOptions               options_;
  std::vector<std::string> notes_; ///< of check_geometry
  JointTier                joint_;
  JudgedSlopes             judged_;
  std::optional<Refinement> refinement_;
  std::vector<PhaseTime>   phases_;
};
} // namespace

namespace
{
int run_one(const Scenario &scenario, const RunOptions &options)
{
  const std::vector<Activity> activities = chosen_activities(scenario, options.file);
  std::vector<std::string>    notes      = check_geometry(scenario, options.file);
  if (scenario.rig.on())
    return run_rig(scenario, options);
  return Run(scenario, one_dog(scenario, activities), options, std::move(notes)).all();
}

int run_scenario(const RunOptions &options)
{
  check_results_folder(options.out);
  const Study study = read_study(options.file);
  try
  {
    return study.scenario.study.expands() ? run_study(study, options) : run_one(study.scenario, options);
  }
  catch (const Interrupted &)
  {
    log("stop", "interrupted; finished slopes are kept, the same command takes up");
    return tell_done(130, options.out, {});
  }
  catch (const LeftToOthers &left)
  {
    print_closing(fmt::format("Nothing left to claim: other processes work on {} case{} of {}. The last of them to finish, or this command later, writes "
                              "the tables.\n", left.cases, left.cases == 1 ? "" : "s", options.out));
    return tell_done(0, options.out, {});
  }
}
} // namespace

int run_command(const RunOptions &options)
{
  RunOptions filled = options;
  if (filled.out.empty())
    filled.out = "out/" + std::filesystem::path(options.file).stem().string();
  catch_interrupts();
  const Screen screen(show_here(options.json));
  try
  {
    return run_scenario(filled);
  }
  catch (const InputError &error)
  {
    tell_bad_input(error.problems(), filled.out);
    throw;
  }
  catch (const std::exception &error)
  {
    tell_failure(error.what(), filled.out);
    throw;
  }
}
} // namespace stifle::app

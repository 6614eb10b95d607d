#include "models/core/error.h"
#include "models/core/log.h"
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
#include "scenarios/app/store.h"
#include "scenarios/app/tables.h"
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
  Run(const Scenario &scenario, std::vector<Activity> activities, const RunOptions &options, std::vector<std::string> notes)
    : scenario_(scenario), activities_(std::move(activities)), options_(options), notes_(std::move(notes))
  {}

  int all()
  {
    const std::string what =
        fmt::format("{} | {} kg | {} threads", scenario_.dog.name, scenario_.dog.mass_kg, options_.threads);
    const std::string mark = start_results(options_.out, scenario_, what, notes_);
    phase("joint", [&] { joint_ = run_joint_tier(scenario_, activities_, options_.out, options_.threads); });
    if (options_.only_joint)
      judged_ = judge(scenario_, finished_slopes(options_.out, mark)); // of an earlier run: kept in the summary
    else
      phase("construct", [&] {
        judged_ = judge(scenario_, run_construct_tier({scenario_, activities_, options_.out, mark, options_.threads}));
        write_construct_tables(options_.out, judged_);
      });
    if (options_.refine)
      phase("refine",
            [&] { refinement_ = refine_worst_state({scenario_, activities_, options_.out, mark, options_.threads}, judged_.slopes); });
    write_summary(options_.out, scenario_, joint_.neutral, judged_, phases_); // before the pictures, so that nothing waits for them
    phase("pictures", [&] { write_pictures(options_.out, scenario_, judged_.slopes); });
    add_construct_phases();
    write_summary(options_.out, scenario_, joint_.neutral, judged_, phases_);
    write_report(options_.out, scenario_, judged_.slopes);
    fmt::print("\n{}\n", closing_text(joint_.rows, joint_.neutral, judged_));
    if (refinement_)
      fmt::print("{}\n", refine_text(*refinement_));
    print_phases();
    fmt::print("{}\n", caution());
    for (const SlopeResult &slope : judged_.slopes)
      if (!slope.error.empty() || !slope.failed_states.empty())
        return 1;
    return refinement_ && !refinement_->error.empty() ? 1 : 0;
  }

private:
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

  void print_phases() const
  {
    for (const PhaseTime &p : phases_)
      fmt::print("  {:<45} {:8.1f} s\n", p.name, p.seconds);
    fmt::print("  peak memory {:.0f} MB; results in {}\n", peak_memory_mb(), options_.out);
  }

  Scenario                 scenario_;
  std::vector<Activity>    activities_;
  RunOptions               options_;
  std::vector<std::string> notes_; ///< of check_geometry
  JointTier                joint_;
  JudgedSlopes             judged_;
  std::optional<Refinement> refinement_;
  std::vector<PhaseTime>   phases_;
};
} // namespace

int run_command(const RunOptions &options)
{
  const Scenario        scenario   = read_scenario(options.file);
  std::vector<Activity> activities = chosen_activities(scenario, options.file);
  std::vector<std::string> notes = check_geometry(scenario, options.file);
  RunOptions filled = options;
  if (filled.out.empty())
    filled.out = "out/" + std::filesystem::path(options.file).stem().string();
  catch_interrupts();
  try
  {
    if (scenario.rig.on())
      return run_rig(scenario, filled);
    return Run(scenario, std::move(activities), filled, std::move(notes)).all();
  }
  catch (const Interrupted &)
  {
    log("stop", "interrupted; finished slopes are kept, the same command takes up");
    return 130;
  }
}
} // namespace stifle::app

#include "scenarios/app/study_cases.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/log.h"
#include "models/parts/repair.h"
#include "scenarios/app/construct_progress.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/joint_tier.h"
#include "scenarios/app/prepare.h"
#include "scenarios/app/slope_run.h"
#include "scenarios/app/store.h"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
const std::vector<double> no_targets;
constexpr int             most_deaths = 3; ///< a case that brings its process down must not bring down all of them

const std::vector<double> &targets_of(const Scenario &scenario)
{
  return has_repair(scenario, RepairKind::levelling) ? scenario.levelling.plateau_angles_deg : no_targets;
}

/// Slope 0 is the bone as the dog walks in: its file is named by the plateau angle that is written in the scenario, since that of a
/// drawn dog is known only when it is drawn.
std::string slope_file(const std::string &folder, const Scenario &written, int slope)
{
  return slope == 0 ? case_file(folder, written.tibia.plateau_angle_deg, false)
                    : case_file(folder, targets_of(written)[std::size_t(slope - 1)], true);
}

JointResult run_joint_of(const VariantPlan &plan)
{
  JointResult result;
  result.error = failure_of([&] { result.neutral = run_joint_tier(plan.dog.scenario, plan.dog.activities, plan.construct.folder, 1).neutral; });
  if (!result.error.empty())
    log("error", "joint: " + result.error);
  return result;
}

/// Of a slope that cannot even be planned, such as a target above the plateau of a drawn dog.
SlopeResult failed_slope(const Scenario &written, int slope, const std::string &why)
{
  SlopeResult result;
  result.operated   = slope > 0;
  result.target_deg = result.achieved_deg = slope > 0 ? targets_of(written)[std::size_t(slope - 1)] : written.tibia.plateau_angle_deg;
  result.error      = why;
  log("error", fmt::format("slope {:.1f} deg: {}", result.target_deg, why));
  return result;
}
} // namespace

StudyCases::StudyCases(const Study &study, const RunOptions &options)
  : study_(study), folder_(options.out), only_joint_(options.only_joint), solver_(solver_kind(options.solver)), names_(study.names()), first_{0}
{
  for (const Combination &one : study.combinations)
  {
    first_.push_back(first_.back() + 1 + (only_joint_ ? 0 : 1 + targets_of(one.scenario).size()));
    marks_.push_back(fingerprint(one.scenario));
  }
}

StudyCases::Place StudyCases::place(std::size_t index) const
{
  const std::size_t dogs = study_.dogs_each();
  const auto        next = std::upper_bound(first_.begin(), first_.end(), index, [&](std::size_t i, std::size_t first) { return i < first * dogs; });
  const std::size_t combination = std::size_t(next - first_.begin()) - 1, each = first_[combination + 1] - first_[combination];
  const std::size_t inside      = index - first_[combination] * dogs;
  return {combination * dogs + inside / each, int(inside % each) - 1};
}

std::string StudyCases::mark(std::size_t variant) const
{
  return fingerprint_of_dog(marks_[variant / study_.dogs_each()], study_.dog(variant));
}

std::string StudyCases::case_path(const Place &at) const
{
  return at.slope < 0 ? joint_file(folder(at.variant)) : slope_file(folder(at.variant), study_.combination(at.variant).scenario, at.slope);
}

std::string StudyCases::name(std::size_t index) const
{
  const Place at = place(index);
  return names_[at.variant] + "." + std::filesystem::path(case_path(at)).stem().string();
}

bool StudyCases::finished(std::size_t index) const
{
  const Place at = place(index);
  return std::filesystem::exists(case_path(at)) && noted_fingerprint(folder(at.variant)) == mark(at.variant);
}

VariantPlan StudyCases::plan(std::size_t variant) const
{
  VariantPlan plan;
  plan.written   = study_.variant(variant);
  plan.dog       = one_dog(plan.written, chosen_activities(plan.written, study_.file));
  plan.construct = {plan.dog.scenario, plan.dog.activities, folder(variant), mark(variant), 1, solver_};
  plan.construct.mesh_folder = folder_ + "/meshes";
  return plan;
}

SlopeResult StudyCases::run_slope_of(const VariantPlan &plan, int slope) const
{
  std::optional<Levelling> levelling;
  const std::string why = failure_of([&] {
    const Anatomy anatomy = make_anatomy(plan.dog.scenario);
    levelling = slope == 0 ? no_levelling(anatomy)
                           : plan_levelling(plan.dog.scenario, anatomy, radians(targets_of(plan.written)[std::size_t(slope - 1)]));
  });
  if (!levelling)
    return failed_slope(plan.written, slope, why);
  prepare_construct(plan.construct);
  ConstructProgress progress(plan.construct, {*levelling});
  SlopeProgress     of_slope(progress, levelling->cut);
  Shared            shared;
  return run_kept_slope(plan.construct, *levelling, shared, of_slope);
}

std::string StudyCases::computed(const VariantPlan &plan, int slope) const
{
  const std::string &mark = plan.construct.fingerprint;
  return slope < 0 ? joint_text(run_joint_of(plan), mark) : slope_text(run_slope_of(plan, slope), mark);
}

std::string StudyCases::given_up(const VariantPlan &plan, int slope, const std::string &why) const
{
  const std::string &mark = plan.construct.fingerprint;
  return slope < 0 ? joint_text({{}, why}, mark) : slope_text(failed_slope(plan.written, slope, why), mark);
}

bool StudyCases::run(std::size_t index, const ClaimBoard &board) const
{
  const Place       at   = place(index);
  const std::string what = name(index);
  const VariantPlan plan = this->plan(at.variant);
  const double      start = elapsed_seconds();
  log("case", what + " begun");
  settle_folder(plan.construct.folder, plan.written);
  const int         deaths = board.deaths(what);
  const std::string text   = deaths < most_deaths ? computed(plan, at.slope)
                                                  : given_up(plan, at.slope, fmt::format("{} processes died with this case in hand: given up", deaths));
  if (!board.mine(what))
  {
    log("case", what + " was taken over while it was computed: not kept");
    return false;
  }
  write_file(case_path(at), text);
  log("case", fmt::format("{} finished in {:.2f} s", what, elapsed_seconds() - start));
  return true;
}

VariantResult StudyCases::result(std::size_t variant, const VariantPlan &plan) const
{
  VariantResult      result;
  const std::string &mark = plan.construct.fingerprint;
  result.joint            = read_joint_text(read_file(joint_file(folder(variant))), mark);
  if (only_joint_)
    return result;
  std::vector<SlopeResult> slopes;
  for (int slope = 0; slope <= int(targets_of(plan.written).size()); ++slope)
  {
    slopes.emplace_back();
    const std::string file = slope_file(folder(variant), plan.written, slope);
    if (!read_slope_text(read_file(file), mark, slopes.back()) && slopes.back().error.empty())
      throw Error(file + " is broken: remove it and run again");
  }
  result.judged = judge(plan.dog.scenario, std::move(slopes));
  return result;
}
} // namespace stifle::app

#include "models/joint/sweep.h"
#include <algorithm>

namespace stifle
{
namespace
{
/// One bone of the sweep: unoperated with its native angle, or the scenario's dog levelled.
struct Slope
{
  double target_deg;
  std::string repair;
  Scenario scenario;
  OperatedAnatomy bone;
};

Slope native(const Scenario &scenario, double angle_deg)
{
  Slope slope{angle_deg, "none", scenario, {}};
  slope.scenario.tibia.plateau_angle_deg = angle_deg;
  const Anatomy anatomy = make_anatomy(slope.scenario);
  slope.bone = operate(anatomy, no_levelling(anatomy));
  return slope;
}

Slope levelled(const Scenario &scenario, double target_deg)
{
  const Anatomy anatomy = make_anatomy(scenario);
  return {target_deg, "levelling", scenario, operate(anatomy, plan_levelling(scenario, anatomy, radians(target_deg)))};
}

std::vector<double> swept_angles(const StudyParameters &study)
{
  std::vector<double> angles;
  const auto &range = study.sweep_plateau_deg;
  if (range.size() == 3 && range[2] > 0)
    for (int i = 0; range[0] + i * range[2] <= range[1] + 1e-9; ++i)
      angles.push_back(range[0] + i * range[2]);
  return angles;
}

void sort_and_merge(std::vector<double> &angles)
{
  std::sort(angles.begin(), angles.end());
  angles.erase(std::unique(angles.begin(), angles.end(), [](double a, double b) { return std::abs(a - b) < 1e-9; }),
               angles.end());
}

/// All bones, by target angle rising; at one angle `none` before `levelling`.
std::vector<Slope> slopes(const Scenario &scenario)
{
  const std::vector<double> swept = swept_angles(scenario.study);
  std::vector<double> bare = swept;
  bare.push_back(scenario.tibia.plateau_angle_deg);
  sort_and_merge(bare);
  std::vector<double> cut;
  const auto &kinds = scenario.repair.kind;
  if (std::find(kinds.begin(), kinds.end(), "levelling") != kinds.end())
  {
    cut = scenario.levelling.plateau_angles_deg;
    std::copy_if(swept.begin(), swept.end(), std::back_inserter(cut),
                 [&](double angle) { return angle < scenario.tibia.plateau_angle_deg - 1e-9; });
    sort_and_merge(cut);
  }
  std::vector<Slope> all;
  for (const double angle : bare)
    all.push_back(native(scenario, angle));
  for (const double angle : cut)
    all.push_back(levelled(scenario, angle));
  std::stable_sort(all.begin(), all.end(), [](const Slope &a, const Slope &b) { return a.target_deg < b.target_deg - 1e-9; });
  return all;
}

/// What is loaded: a set, and for stance an activity and an instant.
struct Instant
{
  LoadSet set;
  const Activity *activity = nullptr;
  double percent = 0;
};

std::vector<Instant> instants(const Scenario &scenario, const std::vector<Activity> &activities)
{
  std::vector<Instant> all;
  std::vector<double> percents = scenario.study.stance_percent;
  sort_and_merge(percents);
  for (const Activity &activity : activities)
    for (const double percent : percents)
      all.push_back({LoadSet::stance, &activity, percent});
  for (const LoadSet set : {LoadSet::press, LoadSet::axial, LoadSet::tendon})
    if (std::find(scenario.loads.set.begin(), scenario.loads.set.end(), to_string(set)) != scenario.loads.set.end())
      all.push_back({set});
  return all;
}

JointRow solve_row(const Slope &slope, LigamentState ligament, const Instant &instant, const JointState &reference)
{
  JointRow row;
  row.plateau_angle_deg = degrees(slope.bone.levelling.achieved_angle_rad);
  row.plateau_angle_target_deg = slope.target_deg;
  row.ligament = ligament;
  row.repair = slope.repair;
  row.set = instant.set;
  if (instant.activity)
  {
    row.activity = instant.activity->name;
    row.percent = instant.percent;
  }
  row.load = load_of_instant(slope.scenario, slope.bone, instant.set, instant.activity, instant.percent);
  row.state = solve_joint({slope.scenario, slope.bone, ligament, instant.set, row.load});
  row.spatial = slope.scenario.joint.dimension == 3;
  row.state.translation_cranial_mm -= reference.translation_cranial_mm;
  row.state.rotation_internal_rad -= reference.rotation_internal_rad;
  row.reference_converged = reference.converged;
  return row;
}
} // namespace

std::vector<JointRow> joint_rows(const Scenario &scenario, const std::vector<Activity> &activities)
{
  const std::vector<Instant> when = instants(scenario, activities);
  const Slope base = native(scenario, scenario.tibia.plateau_angle_deg);
  std::vector<JointState> references;
  for (const Instant &instant : when)
    references.push_back(
        solve_instant(base.scenario, base.bone, LigamentState::intact, instant.set, instant.activity, instant.percent));
  std::vector<JointRow> rows;
  const std::vector<Slope> bones = slopes(scenario);
  for (auto first = bones.begin(); first != bones.end();)
  {
    const auto last = std::find_if(first, bones.end(), [&](const Slope &s) { return s.target_deg > first->target_deg + 1e-9; });
    for (const LigamentState ligament : {LigamentState::intact, LigamentState::torn})
      for (auto slope = first; slope != last; ++slope)
        for (std::size_t i = 0; i < when.size(); ++i)
          rows.push_back(solve_row(*slope, ligament, when[i], references[i]));
    first = last;
  }
  return rows;
}
} // namespace stifle

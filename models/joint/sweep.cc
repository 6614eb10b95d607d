#include "models/joint/sweep.h"
#include "models/joint/state_or_reason.h"
#include "models/limb/muscle_cap.h"
#include <algorithm>
#include <iterator>

namespace stifle
{
namespace
{
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
  for (const Activity &activity : activities)
    for (const double percent : sorted_without_repeats(scenario.study.stance_percent))
      all.push_back({LoadSet::stance, &activity, percent});
  for (const LoadSet set : {LoadSet::press, LoadSet::axial, LoadSet::tendon})
    if (std::find(scenario.loads.set.begin(), scenario.loads.set.end(), to_string(set)) != scenario.loads.set.end())
      all.push_back({set});
  return all;
}

JointRow named_row(const RepairBone &bone, LigamentState ligament, const Instant &instant)
{
  JointRow row;
  row.plateau_angle_deg = bone.achieved_deg();
  row.plateau_angle_target_deg = bone.target_deg;
  row.ligament = ligament;
  row.repair = bone.repair;
  row.set = instant.set;
  row.spatial = bone.scenario.joint.dimension == 3;
  if (instant.activity)
  {
    row.activity = instant.activity->name;
    row.percent = instant.percent;
  }
  return row;
}

void solve_row(JointRow &row, const RepairBone &bone, const Instant &instant, const JointState *guess)
{
  row.state = state_or_reason(
      [&]
      {
        row.load = load_of_instant(bone.scenario, bone.bone, instant.set, instant.activity, instant.percent);
        return solve_joint({bone.scenario, bone.bone, row.ligament, instant.set, row.load}, guess);
      });
  row.beyond_muscle_cap = row.state.converged && beyond_muscle_cap(bone.scenario, row.state.quadriceps_n);
}

/// All instants of one bone and ligament state. The guess of a row is the last one found before it in the same activity or set.
std::vector<JointRow> rows_of(const RepairBone &bone, LigamentState ligament, const std::vector<Instant> &when)
{
  std::vector<JointRow> rows;
  std::vector<JointState> raw; // solve_joint wants its own states, not translations against the reference
  for (std::size_t i = 0; i < when.size(); ++i)
  {
    rows.push_back(named_row(bone, ligament, when[i]));
    const JointState *guess = nullptr;
    for (std::size_t k = 0; k < i; ++k)
      if (raw[k].converged && when[k].set == when[i].set && when[k].activity == when[i].activity)
        guess = &raw[k];
    solve_row(rows.back(), bone, when[i], guess);
    raw.push_back(rows.back().state);
  }
  return rows;
}

struct Piece
{
  const RepairBone *bone;
  LigamentState ligament;
};

/// In the order of the rows.
std::vector<Piece> pieces(const std::vector<RepairBone> &bones)
{
  std::vector<Piece> all;
  for (auto first = bones.begin(); first != bones.end();)
  {
    const auto last =
        std::find_if(first, bones.end(), [&](const RepairBone &b) { return b.target_deg > first->target_deg + 1e-9; });
    for (const LigamentState ligament : {LigamentState::intact, LigamentState::torn})
      for (auto bone = first; bone != last; ++bone)
        all.push_back({&*bone, ligament});
    first = last;
  }
  return all;
}
} // namespace

std::vector<JointRow> joint_rows(const Scenario &scenario, const std::vector<Activity> &activities, const SweepOptions &options)
{
  const std::vector<Instant> when = instants(scenario, activities);
  const std::vector<JointRow> references =
      rows_of(native_bone(scenario, scenario.tibia.plateau_angle_deg), LigamentState::intact, when);
  const std::vector<RepairBone> bones = swept_bones(scenario);
  const std::vector<Piece> all = pieces(bones);
  std::vector<std::vector<JointRow>> found(all.size());
  ProgressCounter counter(options.progress, all.size());
  for_each_index(all.size(), options.threads,
                 [&](std::size_t i)
                 {
                   found[i] = rows_of(*all[i].bone, all[i].ligament, when);
                   subtract_reference(found[i], references);
                   counter.add_one();
                 });
  std::vector<JointRow> rows;
  for (std::vector<JointRow> &each : found)
    rows.insert(rows.end(), std::make_move_iterator(each.begin()), std::make_move_iterator(each.end()));
  return rows;
}
} // namespace stifle

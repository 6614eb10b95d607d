#include "models/joint/opposite_joint.h"
#include "models/joint/cells.h"
#include "models/joint/state_or_reason.h"

namespace stifle
{
namespace
{
std::vector<std::string> repairs_of(const Scenario &scenario)
{
  std::vector<std::string> repairs = {"none"};
  for (const std::string &kind : scenario.repair.kind)
    if (kind != "none")
      repairs.push_back(kind);
  return repairs;
}

std::vector<std::string> names_of(const std::vector<Activity> &activities)
{
  std::vector<std::string> names;
  for (const Activity &activity : activities)
    names.push_back(activity.name);
  return names;
}

std::vector<double> weeks_of(const Scenario &scenario)
{
  std::vector<double> weeks = {2, 4, 6, 8, 12, 16, 26};
  weeks.insert(weeks.end(), scenario.healing.weeks.begin(), scenario.healing.weeks.end());
  return sorted_without_repeats(weeks);
}

JointState solve_scaled(const RepairBone &sound, const Activity &activity, const OppositeJointRow &row)
{
  return state_or_reason(
      [&]
      {
        StanceLoad load = load_of_instant(sound.scenario, sound.bone, LoadSet::stance, &activity, row.percent);
        load.ground_force *= row.share.scale_opposite;
        return solve_joint({sound.scenario, sound.bone, LigamentState::intact, LoadSet::stance, load});
      });
}
} // namespace

std::vector<std::string> opposite_joint_left_out(const Scenario &scenario, const std::vector<Activity> &activities)
{
  return opposite_left_out(repairs_of(scenario), names_of(activities));
}

std::vector<OppositeJointRow> opposite_joint_rows(const Scenario &scenario, const std::vector<Activity> &activities,
                                                  const SweepOptions &options)
{
  std::vector<OppositeJointRow> rows;
  for (const OppositeRow &share : opposite_rows(repairs_of(scenario), names_of(activities), weeks_of(scenario)))
  {
    OppositeJointRow row;
    row.share = share;
    rows.push_back(row);
  }
  const RepairBone sound = native_bone(scenario, scenario.tibia.plateau_angle_deg);
  ProgressCounter counter(options.progress, rows.size());
  for_each_index(rows.size(), options.threads,
                 [&](std::size_t i)
                 {
                   rows[i].state = solve_scaled(sound, *find_activity(activities, rows[i].share.activity), rows[i]);
                   counter.add_one();
                 });
  return rows;
}

Table opposite_joint_table(const std::vector<OppositeJointRow> &rows)
{
  Table table({"week", "repair", "activity", "operated_share", "opposite_hind_share", "opposite_fore_share",
               "same_side_fore_share", "operated_over_sound", "scale_operated", "scale_opposite", "impulse_sum_bw",
               "stance_percent", "thrust_n", "cruciate_cranial_n", "converged", "reason", "quadriceps_clipped",
               "calcanean_clipped", "limb_use_label"});
  for (const OppositeJointRow &row : rows)
  {
    const OppositeRow &s = row.share;
    table.begin_row();
    table.add(s.week);
    table.add(s.repair);
    table.add(s.activity);
    for (const double number : {s.operated_share, s.opposite_hind_share, s.opposite_fore_share, s.same_side_fore_share,
                                s.operated_over_sound, s.scale_operated, s.scale_opposite, s.impulse_sum_bw, row.percent})
      table.add(number);
    for (const double number : {row.state.thrust_n, row.state.cruciate_cranial_n})
      add_if(table, row.state.converged, number);
    add_truth(table, row.state.converged);
    table.add(row.state.reason);
    add_truth_if(table, row.state.converged, row.state.quadriceps_clipped);
    add_truth_if(table, row.state.converged, row.state.calcanean_clipped);
    table.add(limb_use_label(s.repair));
  }
  return table;
}
} // namespace stifle

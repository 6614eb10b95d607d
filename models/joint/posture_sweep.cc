#include "models/joint/posture_sweep.h"
#include "models/joint/cells.h"
#include "models/joint/state_or_reason.h"
#include "models/joint/tables.h"
#include "models/limb/muscle_cap.h"
#include "models/limb/posture.h"

namespace stifle
{
namespace
{
constexpr double base_percent = 50;

const Activity &base_activity(const std::vector<Activity> &activities)
{
  const Activity *walk = find_activity(activities, "walk");
  return walk ? *walk : activities.front();
}

/// One bone in one ligament state through all postures, crouched first.
std::vector<PostureRow> rows_of(const RepairBone &bone, LigamentState ligament, const Activity &postures, const std::string &base)
{
  std::vector<PostureRow> rows;
  const JointState *guess = nullptr;
  rows.reserve(postures.rows.size()); // `guess` points into it
  for (const ActivityRow &posture : postures.rows)
  {
    PostureRow row;
    row.base = base;
    row.repair = bone.repair;
    row.plateau_angle_deg = bone.achieved_deg();
    row.plateau_angle_target_deg = bone.target_deg;
    row.ligament = ligament;
    row.spatial = bone.scenario.joint.dimension == 3;
    row.state = state_or_reason(
        [&]
        {
          row.load = load_of_instant(bone.scenario, bone.bone, LoadSet::stance, &postures, posture.percent);
          return solve_joint({bone.scenario, bone.bone, ligament, LoadSet::stance, row.load}, guess);
        });
    row.beyond_muscle_cap = row.state.converged && beyond_muscle_cap(bone.scenario, row.state.quadriceps_n);
    rows.push_back(row);
    if (row.state.converged)
      guess = &rows.back().state;
  }
  return rows;
}
} // namespace

std::vector<PostureRow> posture_rows(const Scenario &scenario, const std::vector<Activity> &activities,
                                     const SweepOptions &options)
{
  if (activities.empty())
    return {};
  const Activity &base = base_activity(activities);
  const Activity postures = posture_activity(make_anatomy(scenario), base.at(base_percent));
  const std::vector<RepairBone> bones = named_bones(scenario);
  std::vector<std::vector<PostureRow>> found(2 * bones.size());
  ProgressCounter counter(options.progress, found.size());
  for_each_index(found.size(), options.threads,
                 [&](std::size_t i)
                 {
                   found[i] = rows_of(bones[i / 2], i % 2 ? LigamentState::torn : LigamentState::intact, postures, base.name);
                   counter.add_one();
                 });
  const std::vector<PostureRow> references = found.front(); // named_bones begins with the unoperated dog
  std::vector<PostureRow> rows;
  for (std::vector<PostureRow> &each : found)
  {
    subtract_reference(each, references);
    rows.insert(rows.end(), each.begin(), each.end());
  }
  return rows;
}

Table posture_table(const std::vector<PostureRow> &rows)
{
  Table table({"base_activity",
               "repair",
               "plateau_angle_deg",
               "plateau_angle_target_deg",
               "ligament",
               "stifle_angle_deg",
               "hock_angle_deg",
               "ground_force_n",
               "thrust_n",
               "normal_n",
               "cruciate_cranial_n",
               "cruciate_caudal_n",
               "quadriceps_n",
               "patellar_tendon_n",
               "gastrocnemius_n",
               "tendon_angle_deg",
               "translation_cranial_mm",
               "rotation_internal_deg",
               "peak_pressure_mpa",
               "beyond_muscle_cap",
               "converged",
               "reason",
               "quadriceps_clipped",
               "stable",
               "calcanean_clipped"});
  for (const PostureRow &row : rows)
  {
    const JointState &s = row.state;
    const bool ok = s.converged;
    table.begin_row();
    table.add(row.base);
    table.add(row.repair);
    table.add(row.plateau_angle_deg);
    table.add(row.plateau_angle_target_deg);
    table.add(to_string(row.ligament));
    for (const double number :
         {degrees(row.load.stifle_angle_rad), degrees(row.load.hock_angle_rad), row.load.ground_force.norm()})
      table.add(number);
    for (const double number : {s.thrust_n, s.normal_n, s.cruciate_cranial_n, s.cruciate_caudal_n, s.quadriceps_n,
                                s.patellar_tendon_n, s.gastrocnemius_n, degrees(s.tendon_angle_rad)})
      add_if(table, ok, number);
    add_if(table, ok && row.reference_converged, s.translation_cranial_mm);
    add_if(table, ok && row.spatial && row.reference_converged, degrees(s.rotation_internal_rad));
    add_if(table, ok, s.peak_pressure_mpa);
    add_truth_if(table, ok, row.beyond_muscle_cap);
    add_truth(table, ok);
    table.add(s.reason);
    add_truth_if(table, ok, s.quadriceps_clipped);
    add_truth_if(table, ok, s.stable);
    add_truth_if(table, ok, s.calcanean_clipped);
  }
  return table;
}

Table posture_pose_table(const std::vector<PostureRow> &rows)
{
  std::vector<std::string> columns{"base_activity", "repair", "plateau_angle_target_deg", "ligament", "stifle_angle_deg"};
  columns.insert(columns.end(), pose_columns.begin(), pose_columns.end());
  Table table(columns);
  for (const PostureRow &row : rows)
    if (row.state.converged)
      add_pose(table, row.state, row.load, {[&](Table &t) {
                 t.begin_row();
                 t.add(row.base);
                 t.add(row.repair);
                 t.add(row.plateau_angle_target_deg);
                 t.add(to_string(row.ligament));
                 t.add(degrees(row.load.stifle_angle_rad));
               }});
  return table;
}
} // namespace stifle

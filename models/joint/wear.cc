#include "models/joint/wear.h"
#include "models/core/error.h"
#include "models/joint/cells.h"
#include "models/joint/spatial_balance.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr double first_percent = 5, step_percent = 10;
constexpr int number_of_instants = 10;
constexpr double least_path_mm = 1e-6; ///< less is what Newton leaves

/// What wear asks of one instant.
struct WearInstant
{
  double percent;
  RigidPose femur;
  JointState state;
};

RigidPose femur_pose(const JointState &s, double stifle_angle_rad)
{
  RigidPose pose;
  pose.turn = pose_turn(s.unknowns[3], s.unknowns[4], femur_rotation(stifle_angle_rad));
  pose.shift_mm = s.femur_origin;
  return pose;
}

/// Throws Error with the instant that was not found.
std::vector<WearInstant> solve_stance(const RepairBone &bone, LigamentState ligament, const Activity &activity)
{
  std::vector<WearInstant> all;
  for (int i = 0; i < number_of_instants; ++i)
  {
    const double percent = first_percent + i * step_percent;
    const StanceLoad load = load_of_instant(bone.scenario, bone.bone, LoadSet::stance, &activity, percent);
    const JointState state =
        solve_joint({bone.scenario, bone.bone, ligament, LoadSet::stance, load}, all.empty() ? nullptr : &all.back().state);
    if (!state.converged)
      throw Error(fmt::format("{:g} % of stance: {}", percent, state.reason));
    all.push_back({percent, femur_pose(state, load.stifle_angle_rad), state});
  }
  return all;
}

double contact_n(const JointState &s, int side) { return side == medial ? s.contact_medial_n : s.contact_lateral_n; }

double mean_pressure_mpa(const JointState &s, int side)
{
  return s.contact_area_mm2[side] > 0 ? contact_n(s, side) / s.contact_area_mm2[side] : 0;
}

double peak_pressure_mpa(const JointState &s, int side)
{
  return std::max(s.cartilage_peak_mpa[side], s.meniscus_peak_mpa[side]);
}

CompartmentWear wear_of(const std::vector<WearInstant> &stance, int side)
{
  CompartmentWear wear;
  for (std::size_t i = 0; i < stance.size(); ++i)
  {
    const JointState &s = stance[i].state;
    wear.cartilage_peak_mpa = std::max(wear.cartilage_peak_mpa, s.cartilage_peak_mpa[side]);
    wear.meniscus_peak_mpa = std::max(wear.meniscus_peak_mpa, s.meniscus_peak_mpa[side]);
    wear.area_above_10_mpa_mm2 = std::max(wear.area_above_10_mpa_mm2, s.area_above_10_mpa_mm2[side]);
    if (i == 0)
      continue;
    const JointState &before = stance[i - 1].state;
    if (!(contact_n(before, side) > 0) || !(contact_n(s, side) > 0))
      continue; // lifted off: nothing rubs
    const Vector3 normal = (before.contact_normal[side] + s.contact_normal[side]).normalized();
    const double path =
        sliding_mm(stance[i - 1].femur, stance[i].femur, before.contact_centre[side], s.contact_centre[side], normal);
    if (path < least_path_mm)
      continue;
    wear.sliding_mm += path;
    wear.mean_mpa_mm += path * (mean_pressure_mpa(before, side) + mean_pressure_mpa(s, side)) / 2;
    wear.peak_mpa_mm += path * (peak_pressure_mpa(before, side) + peak_pressure_mpa(s, side)) / 2;
  }
  return wear;
}

WearRow wear_row(const RepairBone &bone, LigamentState ligament, const Activity &activity)
{
  WearRow row;
  row.activity = activity.name;
  row.repair = bone.repair;
  row.plateau_angle_deg = bone.achieved_deg();
  row.plateau_angle_target_deg = bone.target_deg;
  row.ligament = ligament;
  try
  {
    const std::vector<WearInstant> stance = solve_stance(bone, ligament, activity);
    for (int side : {medial, lateral})
      row.sides[side] = wear_of(stance, side);
    row.complete = true;
  }
  catch (const Error &error)
  {
    row.reason = error.what();
  }
  return row;
}

CompartmentWear both(const WearRow &row)
{
  const CompartmentWear &m = row.sides[medial], &l = row.sides[lateral];
  return {m.sliding_mm + l.sliding_mm,
          m.mean_mpa_mm + l.mean_mpa_mm,
          m.peak_mpa_mm + l.peak_mpa_mm,
          std::max(m.cartilage_peak_mpa, l.cartilage_peak_mpa),
          std::max(m.meniscus_peak_mpa, l.meniscus_peak_mpa),
          m.area_above_10_mpa_mm2 + l.area_above_10_mpa_mm2};
}

CompartmentWear line_of(const WearRow &row, int line) { return line < 2 ? row.sides[line] : both(row); }

const WearRow *reference_of(const std::vector<WearRow> &rows, const WearRow &row)
{
  const auto found = std::find_if(rows.begin(), rows.end(),
                                  [&](const WearRow &other)
                                  {
                                    return other.activity == row.activity && other.repair == "none" &&
                                           other.ligament == LigamentState::intact && other.complete;
                                  });
  return found == rows.end() ? nullptr : &*found;
}

void add_ratio(Table &table, bool known, double value, double reference)
{
  add_if(table, known && reference > 0, reference > 0 ? value / reference : 0);
}

void add_line(Table &table, const WearRow &row, int line, const WearRow *reference)
{
  const CompartmentWear wear = line_of(row, line), sound = reference ? line_of(*reference, line) : CompartmentWear();
  const bool known = row.complete, compared = known && reference;
  table.begin_row();
  table.add(row.activity);
  table.add(row.repair);
  table.add(row.plateau_angle_deg);
  table.add(row.plateau_angle_target_deg);
  table.add(to_string(row.ligament));
  table.add(std::string(line == medial ? "medial" : line == lateral ? "lateral" : "both"));
  for (const double number :
       {wear.sliding_mm, wear.mean_mpa_mm, wear.peak_mpa_mm, wear.peak_pressure_mpa(), wear.area_above_10_mpa_mm2})
    add_if(table, known, number);
  add_ratio(table, compared, wear.sliding_mm, sound.sliding_mm);
  add_ratio(table, compared, wear.mean_mpa_mm, sound.mean_mpa_mm);
  add_ratio(table, compared, wear.peak_mpa_mm, sound.peak_mpa_mm);
  add_ratio(table, compared, wear.peak_pressure_mpa(), sound.peak_pressure_mpa());
  add_truth(table, known);
  table.add(known && !reference ? "no ratio: the intact unoperated joint was not found in this activity" : row.reason);
  add_if(table, known, wear.cartilage_peak_mpa);
  add_if(table, known, wear.meniscus_peak_mpa);
}
} // namespace

double sliding_mm(const RigidPose &from, const RigidPose &to, const Vector3 &centre_from, const Vector3 &centre_to,
                  const Vector3 &normal)
{
  const auto in_femur = [](const RigidPose &pose, const Vector3 &p) -> Vector3
  { return pose.turn.transpose() * (p - pose.shift_mm); };
  const Vector3 q = (in_femur(from, centre_from) + in_femur(to, centre_to)) / 2;
  const Vector3 moved = to.turn * q + to.shift_mm - from.turn * q - from.shift_mm;
  return (moved - moved.dot(normal) * normal).norm();
}

std::vector<WearRow> wear_rows(const Scenario &scenario, const std::vector<Activity> &activities, const SweepOptions &options)
{
  if (scenario.joint.dimension != 3)
    return {};
  const std::vector<RepairBone> bones = named_bones(scenario);
  std::vector<WearRow> rows(activities.size() * bones.size() * 2);
  ProgressCounter counter(options.progress, rows.size());
  for_each_index(rows.size(), options.threads,
                 [&](std::size_t i)
                 {
                   const LigamentState ligament = i % 2 ? LigamentState::torn : LigamentState::intact;
                   rows[i] = wear_row(bones[i / 2 % bones.size()], ligament, activities[i / 2 / bones.size()]);
                   counter.add_one();
                 });
  return rows;
}

Table wear_table(const std::vector<WearRow> &rows)
{
  Table table({"activity", "repair", "plateau_angle_deg", "plateau_angle_target_deg", "ligament", "compartment", "sliding_mm",
               "wear_mean_mpa_mm", "wear_peak_mpa_mm", "peak_pressure_mpa", "area_above_10_mpa_mm2", "sliding_ratio",
               "wear_mean_ratio", "wear_peak_ratio", "peak_pressure_ratio", "complete", "reason", "cartilage_peak_mpa",
               "meniscus_peak_mpa"});
  for (const WearRow &row : rows)
    for (const int line : {0, 1, 2})
      add_line(table, row, line, reference_of(rows, row));
  return table;
}
} // namespace stifle

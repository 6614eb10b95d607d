#include "models/joint/tables.h"
#include "models/joint/cells.h"

namespace stifle
{
namespace
{
const std::vector<std::string> key_columns = {
    "plateau_angle_deg", "plateau_angle_target_deg", "ligament", "repair", "load_set", "activity", "stance_percent"};

std::vector<std::string> with_keys(const std::vector<std::string> &more)
{
  std::vector<std::string> all = key_columns;
  all.insert(all.end(), more.begin(), more.end());
  return all;
}

void add_keys(Table &table, const JointRow &row)
{
  table.begin_row();
  table.add(row.plateau_angle_deg);
  table.add(row.plateau_angle_target_deg);
  table.add(to_string(row.ligament));
  table.add(row.repair);
  table.add(to_string(row.set));
  table.add(row.activity);
  add_if(table, row.percent.has_value(), row.percent.value_or(0));
}

/// Adds numbers, or empty cells when the pose was not found.
void add_numbers(Table &table, bool known, const std::vector<double> &numbers)
{
  for (const double number : numbers)
    add_if(table, known, number);
}
} // namespace

void add_pose(Table &table, const JointState &state, const StanceLoad &load, const PoseKeys &keys)
{
  const auto add = [&](const std::string &name, const Vector3 &at, const Vector3 *force, const Vector3 *couple = nullptr) {
    keys.add(table);
    table.add(name);
    add_numbers(table, true, {at.x(), at.y(), at.z()});
    for (const Vector3 *vector : {force, couple})
      for (int i = 0; i < 3; ++i)
        add_if(table, vector != nullptr, vector ? (*vector)[i] : 0);
  };
  for (const PointForce &p : state.on_tibia)
    add(p.name, p.point_mm, &p.force_n, &p.moment_nmm);
  add("patella", state.patella, nullptr);
  add("femur_origin", state.femur_origin, nullptr);
  add("centre_of_pressure", load.centre_of_pressure, keys.ground ? &load.ground_force : nullptr);
  add("hock", load.hock_centre, &state.hock_on_tibia);
}

std::optional<double> repair_load_n(const JointRow &row)
{
  if (row.state.converged && row.repair == "suture")
    return row.state.repair_load_n;
  if (row.state.converged && row.repair == "advancement")
    return row.state.patellar_tendon_n;
  return std::nullopt;
}

Table joint_table(const std::vector<JointRow> &rows)
{
  Table table(with_keys({"stifle_angle_deg",
                         "ground_force_n",
                         "quadriceps_n",
                         "patellar_tendon_n",
                         "gastrocnemius_n",
                         "hamstrings_n",
                         "hock_force_n",
                         "joint_force_n",
                         "thrust_n",
                         "thrust_low_n",
                         "thrust_high_n",
                         "normal_n",
                         "cruciate_cranial_n",
                         "cruciate_caudal_n",
                         "collateral_medial_n",
                         "collateral_lateral_n",
                         "repair_load_n",
                         "contact_medial_n",
                         "contact_lateral_n",
                         "peak_pressure_mpa",
                         "translation_cranial_mm",
                         "rotation_internal_deg",
                         "tendon_angle_deg",
                         "iterations",
                         "converged",
                         "secondary_n",
                         "quadriceps_clipped",
                         "capsule_n",
                         "meniscus_medial_n",
                         "meniscus_lateral_n",
                         "contact_area_medial_mm2",
                         "contact_area_lateral_mm2",
                         "patella_contact_n",
                         "patella_pressure_mpa",
                         "varus_deg",
                         "reason",
                         "beyond_muscle_cap",
                         "stable",
                         "calcanean_clipped"}));
  for (const JointRow &row : rows)
  {
    const JointState &s = row.state;
    const bool ok = s.converged;
    add_keys(table, row);
    add_numbers(table, true, {degrees(row.load.stifle_angle_rad), row.load.ground_force.norm()});
    add_numbers(
        table, ok,
        {s.quadriceps_n, s.patellar_tendon_n, s.gastrocnemius_n, s.hamstrings_n, s.hock_force_n, s.joint_force_n, s.thrust_n});
    for (const std::optional<double> &end : {row.thrust_low_n, row.thrust_high_n})
      add_numbers(table, ok && end.has_value(), {end.value_or(0)});
    add_numbers(table, ok, {s.normal_n, s.cruciate_cranial_n, s.cruciate_caudal_n});
    const bool spatial = ok && row.spatial;
    add_numbers(table, spatial, {s.collateral_medial_n, s.collateral_lateral_n});
    const std::optional<double> load = repair_load_n(row);
    add_numbers(table, load.has_value(), {load.value_or(0)});
    add_numbers(table, ok, {s.contact_medial_n, s.contact_lateral_n, s.peak_pressure_mpa});
    add_numbers(table, ok && row.reference_converged, {s.translation_cranial_mm});
    add_numbers(table, spatial && row.reference_converged, {degrees(s.rotation_internal_rad)});
    add_numbers(table, ok, {degrees(s.tendon_angle_rad)});
    table.add(static_cast<double>(s.iterations));
    add_truth(table, ok);
    add_numbers(table, ok && !row.spatial, {s.secondary_n});
    add_truth_if(table, ok, s.quadriceps_clipped);
    add_numbers(table, spatial,
                {s.capsule_n, s.meniscus_n[medial], s.meniscus_n[lateral], s.contact_area_mm2[medial],
                 s.contact_area_mm2[lateral], s.patella_contact_n, s.patella_pressure_mpa, degrees(s.varus_rad)});
    table.add(s.reason);
    add_truth_if(table, ok, row.beyond_muscle_cap);
    add_truth_if(table, spatial, s.stable);
    add_truth_if(table, ok, s.calcanean_clipped);
  }
  return table;
}

Table joint_pose_table(const std::vector<JointRow> &rows)
{
  Table table(with_keys(pose_columns));
  for (const JointRow &row : rows)
    if (row.state.converged)
      add_pose(table, row.state, row.load, {[&](Table &t) { add_keys(t, row); }, row.set == LoadSet::stance});
  return table;
}

void write_joint_tables(const std::string &folder, const std::vector<JointRow> &rows)
{
  write_file(folder + "/joint.csv", joint_table(rows).csv());
  write_file(folder + "/joint_pose.csv", joint_pose_table(rows).csv());
}
} // namespace stifle

#include "models/joint/side_by_side.h"
#include "models/joint/cells.h"
#include "models/joint/tables.h"
#include "models/margins/yield.h"
#include <algorithm>

namespace stifle
{
namespace
{
bool near(double a, double b) { return std::abs(a - b) < 1e-9; }

bool shown(const Scenario &scenario, const JointRow &row)
{
  if (row.set != LoadSet::stance)
    return false;
  if (row.repair == "none")
    return near(row.plateau_angle_target_deg, scenario.tibia.plateau_angle_deg);
  if (row.ligament == LigamentState::intact)
    return false;
  const auto &targets = scenario.levelling.plateau_angles_deg;
  return row.repair != "levelling" ||
         std::any_of(targets.begin(), targets.end(), [&](double t) { return near(t, row.plateau_angle_target_deg); });
}

std::vector<RepairStrength> strength_of(const Scenario &scenario, const JointRow &row)
{
  if (!row.state.converged)
    return {};
  const RepairLoads loads{row.state.repair_load_n, std::max(0.0, row.state.patellar_tendon_n)};
  std::vector<RepairStrength> all = repair_strength(repair_kind(row.repair), loads, scenario.suture.line);
  std::sort(all.begin(), all.end(), [](const RepairStrength &a, const RepairStrength &b) { return a.capacity < b.capacity; });
  return all;
}

int place_of(const SideBySideRow &row)
{
  return row.joint->ligament == LigamentState::intact ? -1 : static_cast<int>(repair_kind(row.joint->repair));
}

/// Mode, capacity and margin of the weaker (0) or the stronger (1) limit.
void add_strength(Table &table, const std::vector<RepairStrength> &all, std::size_t which)
{
  const RepairStrength strength = which < all.size() ? all[which] : RepairStrength();
  const bool loaded = strength.demand > 0;
  const double margin = loaded ? strength.capacity / strength.demand : 0;
  table.add(strength.mode);
  add_if(table, which < all.size(), strength.capacity);
  add_if(table, loaded, margin);
  table.add(loaded ? verdict(margin) : std::string());
}
} // namespace

std::vector<SideBySideRow> side_by_side(const Scenario &scenario, const std::vector<JointRow> &rows)
{
  std::vector<std::string> activities;
  std::vector<SideBySideRow> all;
  for (const JointRow &row : rows)
  {
    if (!shown(scenario, row))
      continue;
    all.push_back({&row, strength_of(scenario, row)});
    if (std::find(activities.begin(), activities.end(), row.activity) == activities.end())
      activities.push_back(row.activity);
  }
  const auto rank = [&](const SideBySideRow &row)
  { return std::find(activities.begin(), activities.end(), row.joint->activity) - activities.begin(); };
  std::stable_sort(all.begin(), all.end(),
                   [&](const SideBySideRow &a, const SideBySideRow &b)
                   {
                     if (rank(a) != rank(b))
                       return rank(a) < rank(b);
                     if (*a.joint->percent != *b.joint->percent)
                       return *a.joint->percent < *b.joint->percent;
                     return place_of(a) < place_of(b);
                   });
  return all;
}

Table side_by_side_table(const std::vector<SideBySideRow> &rows)
{
  Table table({"activity",
               "stance_percent",
               "ligament",
               "repair",
               "plateau_angle_deg",
               "plateau_angle_target_deg",
               "subluxation_mm",
               "rotation_internal_deg",
               "thrust_n",
               "repair_load_n",
               "strength_low_mode",
               "strength_low_n",
               "margin_low",
               "verdict_low",
               "strength_high_mode",
               "strength_high_n",
               "margin_high",
               "verdict_high",
               "peak_pressure_mpa",
               "contact_area_mm2",
               "beyond_muscle_cap",
               "converged",
               "reason",
               "quadriceps_clipped",
               "stable",
               "calcanean_clipped"});
  for (const SideBySideRow &row : rows)
  {
    const JointRow &joint = *row.joint;
    const JointState &s = joint.state;
    const bool ok = s.converged;
    table.begin_row();
    table.add(joint.activity);
    table.add(*joint.percent);
    table.add(to_string(joint.ligament));
    table.add(joint.repair);
    table.add(joint.plateau_angle_deg);
    table.add(joint.plateau_angle_target_deg);
    add_if(table, ok && joint.reference_converged, s.translation_cranial_mm);
    add_if(table, ok && joint.spatial && joint.reference_converged, degrees(s.rotation_internal_rad));
    add_if(table, ok, s.thrust_n);
    const std::optional<double> load = repair_load_n(joint);
    add_if(table, load.has_value(), load.value_or(0));
    add_strength(table, row.strength, 0);
    add_strength(table, row.strength, 1);
    add_if(table, ok, s.peak_pressure_mpa);
    add_if(table, ok && joint.spatial, s.contact_area_mm2[medial] + s.contact_area_mm2[lateral]);
    add_truth_if(table, ok, joint.beyond_muscle_cap);
    add_truth(table, ok);
    table.add(s.reason);
    add_truth_if(table, ok, s.quadriceps_clipped);
    add_truth_if(table, ok, s.stable);
    add_truth_if(table, ok, s.calcanean_clipped);
  }
  return table;
}
} // namespace stifle
